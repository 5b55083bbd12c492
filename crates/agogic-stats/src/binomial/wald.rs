//! The Wald interval.

use super::Trials;
use crate::estimate::Interval;
use crate::level::Level;

/// The normal-approximation interval; kept to compare with, not to rely on.
///
/// # Definition
/// p ± z √(p(1−p)/n). The limits are not cut at 0 and 1, and at x = 0 or x = n
/// the width is 0. Its true coverage can be far below the level for rare events.
///
/// # Source
/// Newcombe (1998), Statistics in Medicine 17:857, method 1.
pub fn wald(trials: Trials, level: Level) -> Interval {
    let p = trials.proportion();
    let half = level.z() * (p * (1.0 - p) / trials.n()).sqrt();
    Interval { lo: p - half, hi: p + half }
}

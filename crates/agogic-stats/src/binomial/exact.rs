//! The exact interval of Clopper and Pearson.

use super::Trials;
use crate::estimate::Interval;
use crate::level::Level;
use crate::special::{beta_quantile, beta_upper_quantile};

/// The exact interval, whose coverage is never below the level.
///
/// # Definition
/// The lower limit is the p with P(X ≥ x) = α/2, the upper limit the p with
/// P(X ≤ x) = α/2. Both are quantiles of beta distributions, found on the logit
/// scale so that three events in 10⁹ trials are as precise as half of them.
///
/// # Source
/// Clopper & Pearson (1934), Biometrika 26:404; Newcombe (1998), Statistics in
/// Medicine 17:857, method 5.
pub fn clopper_pearson(trials: Trials, level: Level) -> Interval {
    exact_interval(trials.x(), trials.misses(), level)
}

/// The same for counts that need not be whole, as from an effective sample size.
pub(crate) fn exact_interval(events: f64, misses: f64, level: Level) -> Interval {
    let tail = level.tail();
    let lo = if events > 0.0 { beta_quantile(events, misses + 1.0, tail) } else { 0.0 };
    let hi = if misses > 0.0 { beta_upper_quantile(events + 1.0, misses, tail) } else { 1.0 };
    Interval { lo, hi }
}

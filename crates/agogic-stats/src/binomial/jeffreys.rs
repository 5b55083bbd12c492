//! The Jeffreys interval.

use super::Trials;
use crate::estimate::Interval;
use crate::level::Level;
use crate::special::{beta_quantile, beta_upper_quantile};

/// The equal-tailed Bayesian interval under Jeffreys' prior.
///
/// # Definition
/// The α/2 and 1 − α/2 quantiles of Beta(x + ½, n − x + ½), at all x alike. At
/// x = 0 the lower limit is therefore small but above 0, and the interval does
/// not enclose the observed proportion; likewise at x = n.
///
/// # Source
/// Brown, Cai & DasGupta (2001), Statistical Science 16:101, section 3.1.2.
pub fn jeffreys(trials: Trials, level: Level) -> Interval {
    let (a, b) = (trials.x() + 0.5, trials.misses() + 0.5);
    let tail = level.tail();
    Interval { lo: beta_quantile(a, b, tail), hi: beta_upper_quantile(a, b, tail) }
}

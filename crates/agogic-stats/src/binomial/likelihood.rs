//! The likelihood-ratio interval.

use super::Trials;
use crate::estimate::Interval;
use crate::level::Level;
use crate::special::{deviance::deviance, logistic, search::increasing_root};

/// The interval of p that the likelihood-ratio test does not reject.
///
/// # Definition
/// The p with 2[x ln(p̂/p) + (n−x) ln((1−p̂)/(1−p))] = z², p̂ = x/n. At x = 0 the
/// upper limit is 1 − exp(−z²/2n).
///
/// # Source
/// Newcombe (1998), Statistics in Medicine 17:857, method 8.
pub fn likelihood(trials: Trials, level: Level) -> Interval {
    let z = level.z();
    let (x, misses, n) = (trials.x(), trials.misses(), trials.n());
    if x == 0.0 {
        return Interval { lo: 0.0, hi: -libm::expm1(-z * z / (2.0 * n)) };
    }
    if misses == 0.0 {
        return Interval { lo: libm::exp(-z * z / (2.0 * n)), hi: 1.0 };
    }
    let peak = libm::log(x / misses);
    let root = |side: f64| {
        // The signed root of the deviance is increasing in the logit of p and
        // nearly linear, so Newton's method settles in a few steps.
        increasing_root(peak + side * z * (n / (x * misses)).sqrt(), |u| {
            let (p, q) = (logistic(u), logistic(-u));
            let drift = n * p - x;
            let signed = (2.0 * (deviance(x, n * p) + deviance(misses, n * q))).sqrt() * drift.signum();
            let slope = if signed == 0.0 { (n * p * q).sqrt() } else { drift / signed };
            (signed - side * z, slope)
        })
    };
    Interval { lo: logistic(root(-1.0)), hi: logistic(root(1.0)) }
}

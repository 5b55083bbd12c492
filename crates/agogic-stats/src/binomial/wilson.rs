//! The score interval, with and without continuity correction.

use super::Trials;
use crate::estimate::Interval;
use crate::level::Level;

/// Wilson's score interval.
///
/// # Definition
/// The p for which |x − np| = z √(np(1−p)). The lower limit is computed as
/// 2x(x/n) / (2x + z² + z√(z² + 4x(1−x/n))), the rationalised form of the
/// textbook expression, which loses no digits when x is small beside n.
///
/// # Source
/// Wilson (1927), JASA 22:209; Newcombe (1998), Statistics in Medicine 17:857,
/// method 3.
pub fn wilson(trials: Trials, level: Level) -> Interval {
    let z = level.z();
    let (x, misses, n) = (trials.x(), trials.misses(), trials.n());
    Interval {
        lo: lower(x, n, z),
        // Each half has the form that loses no digits there.
        hi: if 2.0 * x < n { upper(x, n, z) } else { 1.0 - lower(misses, n, z) },
    }
}

fn lower(x: f64, n: f64, z: f64) -> f64 {
    let p = x / n;
    2.0 * x * p / (2.0 * x + z * z + z * (z * z + 4.0 * x * (1.0 - p)).sqrt())
}

fn upper(x: f64, n: f64, z: f64) -> f64 {
    let p = x / n;
    (2.0 * x + z * z + z * (z * z + 4.0 * x * (1.0 - p)).sqrt()) / (2.0 * (n + z * z))
}

/// Wilson's score interval with continuity correction.
///
/// # Definition
/// The p for which |x − np| − ½ = z √(np(1−p)); the lower limit is 0 at x = 0
/// and the upper limit 1 at x = n.
///
/// # Source
/// Newcombe (1998), Statistics in Medicine 17:857, method 4.
pub fn wilson_cc(trials: Trials, level: Level) -> Interval {
    let z = level.z();
    let (x, misses, n) = (trials.x(), trials.misses(), trials.n());
    Interval {
        lo: lower_cc(x, misses, n, z),
        hi: if 2.0 * x < n { upper_cc(x, misses, n, z) } else { 1.0 - lower_cc(misses, x, n, z) },
    }
}

/// Score limit for x − ½ events: the root of (x − ½ − np)² = z²np(1−p) below.
fn lower_cc(x: f64, misses: f64, n: f64, z: f64) -> f64 {
    if x == 0.0 {
        return 0.0;
    }
    let shifted = x - 0.5;
    let other = misses + 0.5;
    let root = (z * z + 4.0 * shifted * other / n).sqrt();
    2.0 * shifted * (shifted / n) / (2.0 * shifted + z * z + z * root)
}

/// Score limit for x + ½ events, the root above.
fn upper_cc(x: f64, misses: f64, n: f64, z: f64) -> f64 {
    if misses == 0.0 {
        return 1.0;
    }
    let shifted = x + 0.5;
    let other = misses - 0.5;
    let root = (z * z + 4.0 * shifted * other / n).sqrt();
    (2.0 * shifted + z * z + z * root) / (2.0 * (n + z * z))
}

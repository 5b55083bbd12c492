//! The score interval.

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

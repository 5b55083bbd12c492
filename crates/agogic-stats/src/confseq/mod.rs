//! Confidence sequences: intervals that may be looked at as often as one likes.
//!
//! A fixed-n interval holds for one look. Looking again and again and stopping
//! when it pleases errs far more often. A confidence sequence holds at all
//! times together: P(some interval misses the mean) ≤ α. It may therefore end a
//! simulation as soon as the wanted precision is reached.
//!
//! [`EmpiricalBernstein`] and [`Betting`] hold exactly for bounded values, and
//! [`RatioBetting`] for ratios over clusters of bounded size. [`sequence_ratio`]
//! and [`sequence_difference`] hold for large samples and need no bounds.
//! [`look_at_ratio`] and [`look_at_difference`] decide when to stop; how often
//! they err is measured in `SEQUENTIAL.md` by the example `sequential`.

mod asymptotic;
mod betting;
mod empirical_bernstein;
mod ratio_betting;
mod stopping;

use thiserror::Error;

pub use asymptotic::{LEAST_CLUSTERS, LEAST_EFFECTIVE, mixture_radius, sequence_difference, sequence_ratio};
pub use betting::Betting;
pub use empirical_bernstein::EmpiricalBernstein;
pub use ratio_betting::RatioBetting;
pub use stopping::{Guarantee, Look, Precision, StopRule, look_at_difference, look_at_ratio};

use crate::clusters::ClusterError;
use crate::estimate::Interval;
use crate::level::Level;

/// Why a confidence sequence cannot be made or continued.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ConfSeqError {
    /// The bounds are empty or not finite.
    #[error("read the bounds {lo} to {hi}: both must be finite, the lower below the upper")]
    Bounds {
        /// Lower bound given.
        lo: f64,
        /// Upper bound given.
        hi: f64,
    },
    /// A value lies outside its bounds.
    #[error("read the value {value}: it must lie within the bounds {lo} to {hi} stated beforehand")]
    Value {
        /// The value.
        value: f64,
        /// Lower bound.
        lo: f64,
        /// Upper bound.
        hi: f64,
    },
    /// The sample size to be tuned for is not positive.
    #[error("tune the sequence for {0} units: it must be a positive, finite number")]
    Tuning(f64),
    /// The precision asked is not positive.
    #[error("stop at a half-width of {0}: it must be a positive, finite number")]
    Precision(f64),
    /// Two policies did not have the same opportunities.
    #[error("pair {first} opportunities with {second} in one cluster: an exact sequence needs the same on both sides")]
    Opportunities {
        /// Opportunities on the first side.
        first: f64,
        /// Opportunities on the second.
        second: f64,
    },
    /// Two sets of clusters cannot be paired.
    #[error(transparent)]
    Clusters(#[from] ClusterError),
}

/// Bounds of the values, and the running mean and variance on the scale 0 to 1.
///
/// The mean starts as if a ½, and the variance as if a ¼, had been seen.
#[derive(Debug, Clone, PartialEq)]
struct Running {
    bounds: Interval,
    n: u64,
    sum: f64,
    squares: f64,
}

impl Running {
    fn new(bounds: Interval) -> Result<Self, ConfSeqError> {
        let Interval { lo, hi } = bounds;
        if lo < hi && lo.is_finite() && hi.is_finite() {
            Ok(Running { bounds, n: 0, sum: 0.0, squares: 0.0 })
        } else {
            Err(ConfSeqError::Bounds { lo, hi })
        }
    }

    fn to_unit(&self, value: f64) -> Result<f64, ConfSeqError> {
        let Interval { lo, hi } = self.bounds;
        if self.bounds.contains(value) {
            Ok((value - lo) / (hi - lo))
        } else {
            Err(ConfSeqError::Value { value, lo, hi })
        }
    }

    fn within_bounds(&self, unit: Interval) -> Interval {
        let Interval { lo, hi } = self.bounds;
        Interval { lo: lo + unit.lo * (hi - lo), hi: lo + unit.hi * (hi - lo) }
    }

    /// Mean of what was seen so far.
    fn mean(&self) -> f64 {
        (0.5 + self.sum) / (self.n as f64 + 1.0)
    }

    /// λ for the next value, from the values before it alone.
    fn bet(&self, level: Level) -> f64 {
        let next = self.n as f64 + 1.0;
        let variance = (0.25 + self.squares) / next;
        libm::sqrt(2.0 * libm::log(2.0 / level.alpha()) / (variance * next * libm::log(next + 1.0)))
    }

    fn add(&mut self, x: f64) {
        self.n += 1;
        self.sum += x;
        let off = x - self.mean();
        self.squares += off * off;
    }
}

/// What two intervals share.
///
/// Both hold at all times together, so what they share does too. An empty
/// intersection, which happens with probability below α, leaves a point.
fn intersect(a: Interval, b: Interval) -> Interval {
    let lo = a.lo.max(b.lo);
    Interval { lo, hi: a.hi.min(b.hi).max(lo) }
}

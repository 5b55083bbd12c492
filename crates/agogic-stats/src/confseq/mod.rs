//! Confidence sequences: intervals that may be looked at as often as one likes.
//!
//! A fixed-n interval holds for one look. Looking again and again and stopping
//! when it pleases errs far more often. A confidence sequence holds at all
//! times together: P(some interval misses the mean) ≤ α. It may therefore end a
//! simulation as soon as the wanted precision is reached.
//!
//! [`RatioBetting`] holds exactly for ratios over clusters of bounded size. [`sequence_ratio`]
//! and [`sequence_difference`] hold for large samples and need no bounds.
//! [`look_at_ratio`] and [`look_at_difference`] decide when to stop; how often
//! they err is measured in `SEQUENTIAL.md` by the example `sequential`.

mod asymptotic;
mod ratio_betting;
mod stopping;

use thiserror::Error;

pub use asymptotic::{LEAST_CLUSTERS, LEAST_EFFECTIVE, mixture_radius, sequence_difference, sequence_ratio};
pub use ratio_betting::RatioBetting;
pub use stopping::{Guarantee, Look, Precision, StopRule, look_at_difference, look_at_ratio};

use crate::clusters::ClusterError;

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

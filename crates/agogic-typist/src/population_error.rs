//! Why a population was refused.

use crate::correlations::Contradiction;

/// Why a population was refused. The texts continue "failed to set up a population: …".
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PopulationError {
    /// A median or spread that cannot be.
    #[error("{name}: {what} must be {wanted}, not {value}")]
    Value {
        /// The trait or constant.
        name: &'static str,
        /// Which of its numbers.
        what: &'static str,
        /// What would be right.
        wanted: String,
        /// What was given.
        value: f64,
    },
    /// A correlation that cannot be.
    #[error("the correlation of {a} and {b} must be between -1 and 1, and between two different traits, not {value}")]
    Correlation {
        /// One trait.
        a: &'static str,
        /// The other.
        b: &'static str,
        /// What was given.
        value: f64,
    },
    /// A correlation stated twice.
    #[error("the correlation of {a} and {b} is stated twice: keep one")]
    Twice {
        /// One trait.
        a: &'static str,
        /// The other.
        b: &'static str,
    },
    /// The correlations contradict each other.
    #[error("{0}")]
    Impossible(Contradiction),
}

//! Incomplete beta and gamma functions that stay accurate for huge counts.
//!
//! Exact intervals for rare events ask for tails such as three events in 10⁹
//! trials. Both functions here are written as a power term times a continued
//! fraction or series. The power term is computed by Loader's saddle-point
//! expansion, so no large logarithms are subtracted from each other and the
//! relative error does not grow with the counts. Quantiles are found by a
//! bracketed Newton search on the logit or log scale, so a quantile of 10⁻¹⁰ is
//! as precise as one of ½.

pub(crate) mod deviance;
mod incomplete_beta;
mod incomplete_gamma;
mod polygamma;
pub(crate) mod search;

pub(crate) use incomplete_beta::{beta_logit_quantile, beta_tails};
pub use incomplete_beta::{beta_lower, beta_quantile, beta_upper, beta_upper_quantile};
pub use incomplete_gamma::{gamma_lower, gamma_quantile, gamma_upper, gamma_upper_quantile};
pub use polygamma::{digamma, trigamma};

/// Which tail a probability is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Tail {
    /// Probability at or below the point.
    Lower,
    /// Probability above the point.
    Upper,
}

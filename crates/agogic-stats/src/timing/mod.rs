//! Skewed distributions for waiting times.
//!
//! Five families share the interface [`Continuous`]. [`Family`] names them and
//! makes the [`Member`] of each with a wanted median and spread, so that a model
//! can change the shape of its times and nothing else. Every family is fitted by
//! maximum likelihood, with standard errors where the likelihood allows them.
//!
//! ```
//! use agogic_stats::timing::{Continuous, Family};
//!
//! // A median of 90 ms with a spread of .3 on the log scale.
//! for family in Family::ALL {
//!     let times = family.with_median_and_log_sd(90.0, 0.3)?;
//!     assert!((times.cdf(90.0) - 0.5).abs() < 1e-12);
//! }
//! # Ok::<(), agogic_stats::timing::TimingError>(())
//! ```

mod exgaussian;
mod family;
mod gamma;
mod loglogistic3;
mod lognormal;
mod sample;
mod weibull;

use rand::Rng;
use thiserror::Error;

pub use exgaussian::ExGaussian;
pub use family::{Family, Member, UnknownFamily};
pub use gamma::Gamma;
pub use loglogistic3::LogLogistic3;
pub use lognormal::LogNormal;
pub use weibull::Weibull;

/// Why a distribution of times cannot be made or fitted.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum TimingError {
    /// A parameter is out of range.
    #[error("read the {name} {value}: it must be {wanted}")]
    Parameter {
        /// What the parameter is called.
        name: &'static str,
        /// The number given.
        value: f64,
        /// What it must be.
        wanted: &'static str,
    },
    /// A value of the sample is out of range.
    #[error("fit to the value {value} at position {index}: it must be {wanted}")]
    Value {
        /// Position of the value.
        index: usize,
        /// The value.
        value: f64,
        /// What it must be.
        wanted: &'static str,
    },
    /// The sample is too small.
    #[error("fit to {found} values: at least {needed} are needed")]
    TooFew {
        /// Values given.
        found: usize,
        /// Values needed.
        needed: usize,
    },
    /// The likelihood has no maximum that the family allows.
    #[error("find the maximum of the likelihood: {0}")]
    NoMaximum(&'static str),
}

/// A continuous distribution of times.
pub trait Continuous {
    /// Names and values of the parameters, in the order of the constructor.
    fn parameters(&self) -> Vec<(&'static str, f64)>;

    /// Logarithm of the density; −∞ outside the support.
    fn ln_pdf(&self, x: f64) -> f64;

    /// Density.
    fn pdf(&self, x: f64) -> f64 {
        libm::exp(self.ln_pdf(x))
    }

    /// Probability of a value at most `x`.
    fn cdf(&self, x: f64) -> f64;

    /// Probability of a value above `x`, without cancellation.
    fn upper(&self, x: f64) -> f64;

    /// The point with probability `p` below it.
    ///
    /// # Undefined
    /// NaN unless 0 < p < 1.
    fn quantile(&self, p: f64) -> f64;

    /// The point with half the probability on each side.
    fn median(&self) -> f64 {
        self.quantile(0.5)
    }

    /// Mean.
    ///
    /// # Undefined
    /// `None` where the integral diverges.
    fn mean(&self) -> Option<f64>;

    /// Variance.
    ///
    /// # Undefined
    /// As [`Continuous::mean`].
    fn variance(&self) -> Option<f64>;

    /// Draws one value.
    ///
    /// The draw depends on `rng` and the parameters alone, through functions
    /// that round in the same way on every platform.
    fn sample<R: Rng + ?Sized>(&self, rng: &mut R) -> f64;
}

/// A distribution fitted by maximum likelihood.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit<T> {
    /// The member of the family with the greatest likelihood.
    pub member: T,
    /// Large-sample standard errors, in the order of [`Continuous::parameters`].
    ///
    /// # Undefined
    /// `None` where the curvature of the likelihood gives none.
    pub standard_errors: Option<Vec<f64>>,
    /// Logarithm of the likelihood at the maximum.
    pub log_likelihood: f64,
    /// Number of values.
    pub n: u64,
}

impl<T: Continuous> Fit<T> {
    /// Akaike's information criterion; less is better.
    ///
    /// # Definition
    /// 2p − 2 ln L, with p the number of parameters estimated.
    ///
    /// # Source
    /// Akaike (1974), IEEE Transactions on Automatic Control 19:716.
    pub fn aic(&self) -> f64 {
        2.0 * self.member.parameters().len() as f64 - 2.0 * self.log_likelihood
    }

    fn of(member: T, standard_errors: Option<Vec<f64>>, values: &[f64]) -> Self {
        let log_likelihood = sample::log_likelihood(&member, values);
        let standard_errors = standard_errors.filter(|errors| errors.iter().all(|e| e.is_finite() && *e > 0.0));
        Fit { member, standard_errors, log_likelihood, n: values.len() as u64 }
    }
}

/// Accepts a parameter that is positive and finite.
fn positive(name: &'static str, value: f64) -> Result<f64, TimingError> {
    if value > 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(TimingError::Parameter { name, value, wanted: "positive and finite" })
    }
}

/// Accepts a parameter that is finite.
fn finite(name: &'static str, value: f64) -> Result<f64, TimingError> {
    if value.is_finite() { Ok(value) } else { Err(TimingError::Parameter { name, value, wanted: "finite" }) }
}

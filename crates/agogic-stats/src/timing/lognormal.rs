//! The log-normal distribution.

use std::f64::consts::PI;

use rand::Rng;

use super::{Continuous, Fit, TimingError, finite, positive, sample};
use crate::normal::{normal_lower, normal_quantile, normal_upper};
use crate::uniform::open_unit;

/// A time whose logarithm is normal with mean μ and SD σ.
///
/// # Definition
/// f(x) = exp(−(ln x − μ)²/2σ²) / (xσ√(2π)) for x > 0.
///
/// # Units
/// μ is the logarithm of the median time; σ has none.
///
/// # Source
/// Johnson, Kotz & Balakrishnan (1994), Continuous Univariate Distributions 1,
/// chapter 14.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogNormal {
    log_mean: f64,
    log_sd: f64,
}

impl LogNormal {
    /// Makes a distribution with μ = `log_mean` and σ = `log_sd`.
    ///
    /// # Errors
    /// μ not finite, or σ not positive and finite.
    pub fn new(log_mean: f64, log_sd: f64) -> Result<Self, TimingError> {
        let log_mean = finite("mean of the logarithm", log_mean)?;
        Ok(LogNormal { log_mean, log_sd: positive("SD of the logarithm", log_sd)? })
    }

    /// μ, the mean of the logarithm.
    pub fn log_mean(&self) -> f64 {
        self.log_mean
    }

    /// σ, the SD of the logarithm.
    pub fn log_sd(&self) -> f64 {
        self.log_sd
    }

    /// Fits by maximum likelihood.
    ///
    /// # Definition
    /// μ and σ are the mean and the SD, with divisor n, of the logarithms; their
    /// standard errors are σ/√n and σ/√(2n).
    ///
    /// # Errors
    /// Fewer than two values, one not positive, or all the same.
    pub fn fit(values: &[f64]) -> Result<Fit<Self>, TimingError> {
        sample::check_positive(values, 2)?;
        let (log_mean, log_sd) = sample::mean_and_sd(values.iter().map(|&x| libm::log(x)));
        let n = values.len() as f64;
        let errors = vec![log_sd / libm::sqrt(n), log_sd / libm::sqrt(2.0 * n)];
        Ok(Fit::of(LogNormal::new(log_mean, log_sd)?, Some(errors), values))
    }

    fn z(&self, x: f64) -> f64 {
        (libm::log(x) - self.log_mean) / self.log_sd
    }
}

impl Continuous for LogNormal {
    fn parameters(&self) -> Vec<(&'static str, f64)> {
        vec![("log_mean", self.log_mean), ("log_sd", self.log_sd)]
    }

    fn ln_pdf(&self, x: f64) -> f64 {
        if x <= 0.0 {
            return f64::NEG_INFINITY;
        }
        let z = self.z(x);
        -0.5 * z * z - libm::log(x) - libm::log(self.log_sd) - 0.5 * libm::log(2.0 * PI)
    }

    fn cdf(&self, x: f64) -> f64 {
        if x <= 0.0 { 0.0 } else { normal_lower(self.z(x)) }
    }

    fn upper(&self, x: f64) -> f64 {
        if x <= 0.0 { 1.0 } else { normal_upper(self.z(x)) }
    }

    fn quantile(&self, p: f64) -> f64 {
        libm::exp(self.log_mean + self.log_sd * normal_quantile(p))
    }

    fn mean(&self) -> Option<f64> {
        Some(libm::exp(self.log_mean + 0.5 * self.log_sd * self.log_sd))
    }

    fn variance(&self) -> Option<f64> {
        let square = self.log_sd * self.log_sd;
        Some(libm::expm1(square) * libm::exp(2.0 * self.log_mean + square))
    }

    fn sample<R: Rng + ?Sized>(&self, rng: &mut R) -> f64 {
        self.quantile(open_unit(rng))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outside_the_support() {
        let d = LogNormal::new(0.0, 1.0).unwrap();
        for x in [0.0, -3.0] {
            assert_eq!((d.pdf(x), d.cdf(x), d.upper(x)), (0.0, 0.0, 1.0));
        }
        assert!(d.ln_pdf(f64::NAN).is_nan() && d.quantile(0.0).is_nan());
        for (m, s) in [(f64::NAN, 1.0), (0.0, 0.0), (0.0, -1.0), (0.0, f64::INFINITY)] {
            assert!(LogNormal::new(m, s).is_err());
        }
    }

    #[test]
    fn the_fit_recovers_logarithms() {
        let fit = LogNormal::fit(&[1.0, 4.0]).unwrap();
        let half = 2f64.ln();
        assert!((fit.member.log_mean() - half).abs() < 1e-15 && (fit.member.log_sd() - half).abs() < 1e-15);
        let errors = fit.standard_errors.unwrap();
        assert!((errors[1] - half / 2.0).abs() < 1e-15);
        assert!(LogNormal::fit(&[1.0, 0.0]).is_err());
    }
}

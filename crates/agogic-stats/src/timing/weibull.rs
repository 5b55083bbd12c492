//! The Weibull distribution.

use std::f64::consts::PI;

use rand::Rng;

use super::{Continuous, Fit, TimingError, positive, sample};
use crate::optimum::inverse;
use crate::special::search::increasing_root;
use crate::sum::compensated_sum;
use crate::uniform::open_unit;

/// Euler's constant γ.
const EULER: f64 = 0.577_215_664_901_532_9;

/// A Weibull-distributed time with shape k and scale λ.
///
/// # Definition
/// P(X > x) = exp(−(x/λ)ᵏ) for x > 0.
///
/// # Units
/// λ is a time; k has none.
///
/// # Source
/// Johnson, Kotz & Balakrishnan (1994), Continuous Univariate Distributions 1,
/// chapter 21.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weibull {
    shape: f64,
    scale: f64,
}

impl Weibull {
    /// Makes a distribution with k = `shape` and λ = `scale`.
    ///
    /// # Errors
    /// A parameter that is not positive and finite.
    pub fn new(shape: f64, scale: f64) -> Result<Self, TimingError> {
        Ok(Weibull { shape: positive("shape", shape)?, scale: positive("scale", scale)? })
    }

    /// k; larger is narrower.
    pub fn shape(&self) -> f64 {
        self.shape
    }

    /// λ, the point with probability 1 − 1/e below it.
    pub fn scale(&self) -> f64 {
        self.scale
    }

    /// Fits by maximum likelihood.
    ///
    /// # Definition
    /// Σxᵏ ln x / Σxᵏ − 1/k = mean of ln x, and λᵏ = mean of xᵏ. The standard
    /// errors invert the expected information.
    ///
    /// # Errors
    /// Fewer than two values, one not positive, or all the same.
    ///
    /// # Source
    /// Johnson, Kotz & Balakrishnan (1994), section 21.4.
    pub fn fit(values: &[f64]) -> Result<Fit<Self>, TimingError> {
        sample::check_positive(values, 2)?;
        let greatest = values.iter().copied().fold(0.0, f64::max);
        // Logarithms below 0, so that no power overflows.
        let logs: Vec<f64> = values.iter().map(|&x| libm::log(x / greatest)).collect();
        let (log_mean, log_sd) = sample::mean_and_sd(logs.iter().copied());
        let start = libm::log(PI / (libm::sqrt(6.0) * log_sd));
        let sums = |k: f64| {
            let power = |degree: i32| compensated_sum(logs.iter().map(|&y| libm::exp(k * y) * y.powi(degree)));
            let (zero, one, two) = (power(0), power(1), power(2));
            (zero, one / zero, two / zero)
        };
        let log_shape = increasing_root(start, |u| {
            let k = libm::exp(u);
            let (_, first, second) = sums(k);
            (first - 1.0 / k - log_mean, k * (second - first * first) + 1.0 / k)
        });
        let shape = libm::exp(log_shape);
        let n = values.len() as f64;
        let scale = greatest * libm::exp(libm::log(sums(shape).0 / n) / shape);
        let member = Weibull::new(shape, scale)?;
        let corner = (PI * PI / 6.0 + (1.0 - EULER) * (1.0 - EULER)) / (shape * shape);
        let off = -(1.0 - EULER) / scale;
        let information = [[n * corner, n * off], [n * off, n * (shape / scale) * (shape / scale)]];
        let errors = inverse(information).map(|c| vec![libm::sqrt(c[0][0]), libm::sqrt(c[1][1])]);
        Ok(Fit::of(member, errors, values))
    }

    fn moment(&self, degree: f64) -> f64 {
        libm::tgamma(1.0 + degree / self.shape)
    }
}

impl Continuous for Weibull {
    fn parameters(&self) -> Vec<(&'static str, f64)> {
        vec![("shape", self.shape), ("scale", self.scale)]
    }

    fn ln_pdf(&self, x: f64) -> f64 {
        if x <= 0.0 {
            return f64::NEG_INFINITY;
        }
        let log = libm::log(x / self.scale);
        libm::log(self.shape / self.scale) + (self.shape - 1.0) * log - libm::exp(self.shape * log)
    }

    fn cdf(&self, x: f64) -> f64 {
        if x <= 0.0 { 0.0 } else { -libm::expm1(-libm::pow(x / self.scale, self.shape)) }
    }

    fn upper(&self, x: f64) -> f64 {
        if x <= 0.0 { 1.0 } else { libm::exp(-libm::pow(x / self.scale, self.shape)) }
    }

    fn quantile(&self, p: f64) -> f64 {
        if !(p > 0.0 && p < 1.0) {
            return f64::NAN;
        }
        self.scale * libm::pow(-libm::log1p(-p), 1.0 / self.shape)
    }

    fn mean(&self) -> Option<f64> {
        Some(self.scale * self.moment(1.0))
    }

    fn variance(&self) -> Option<f64> {
        let mean = self.moment(1.0);
        Some(self.scale * self.scale * (self.moment(2.0) - mean * mean))
    }

    fn sample<R: Rng + ?Sized>(&self, rng: &mut R) -> f64 {
        self.quantile(open_unit(rng))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shape_one_is_exponential() {
        let d = Weibull::new(1.0, 20.0).unwrap();
        assert!((d.mean().unwrap() - 20.0).abs() < 1e-13 && (d.variance().unwrap() - 400.0).abs() < 1e-11);
        assert!((d.upper(60.0) - (-3f64).exp()).abs() < 1e-16);
        assert_eq!((d.pdf(0.0), d.cdf(-1.0), d.upper(-1.0)), (0.0, 0.0, 1.0));
        assert!(d.quantile(0.0).is_nan() && Weibull::new(1.0, f64::NAN).is_err());
    }

    /// The standard errors are k√(6/π² n) and λ/k √(1.108665/n): Johnson, Kotz &
    /// Balakrishnan (1994), section 21.4, with the constants computed.
    #[test]
    fn errors_of_the_fit() {
        let fit = Weibull::fit(&[12.0, 30.0, 18.0, 45.0, 22.0, 27.0]).unwrap();
        let (k, scale) = (fit.member.shape(), fit.member.scale());
        let errors = fit.standard_errors.unwrap();
        assert!((errors[0] / (k * (6.0 / (PI * PI) / 6.0).sqrt()) - 1.0).abs() < 1e-12);
        assert!((errors[1] / (scale / k * (1.108_665 / 6.0f64).sqrt()) - 1.0).abs() < 1e-6);
    }
}

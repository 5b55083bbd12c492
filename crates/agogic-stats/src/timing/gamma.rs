//! The gamma distribution.

use rand::Rng;

use super::{Continuous, Fit, TimingError, positive, sample};
use crate::normal::normal_quantile;
use crate::optimum::inverse;
use crate::special::search::increasing_root;
use crate::special::{digamma, gamma_lower, gamma_quantile, gamma_upper, gamma_upper_quantile, trigamma};
use crate::uniform::open_unit;

/// A gamma-distributed time with shape k and scale θ.
///
/// # Definition
/// f(x) = xᵏ⁻¹ e^(−x/θ) / (Γ(k) θᵏ) for x > 0.
///
/// # Units
/// θ is a time; k has none.
///
/// # Source
/// Johnson, Kotz & Balakrishnan (1994), Continuous Univariate Distributions 1,
/// chapter 17.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gamma {
    shape: f64,
    scale: f64,
}

impl Gamma {
    /// Makes a distribution with k = `shape` and θ = `scale`.
    ///
    /// # Errors
    /// A parameter that is not positive and finite.
    pub fn new(shape: f64, scale: f64) -> Result<Self, TimingError> {
        Ok(Gamma { shape: positive("shape", shape)?, scale: positive("scale", scale)? })
    }

    /// k; larger is narrower and less skewed.
    pub fn shape(&self) -> f64 {
        self.shape
    }

    /// θ, the mean divided by k.
    pub fn scale(&self) -> f64 {
        self.scale
    }

    /// Fits by maximum likelihood.
    ///
    /// # Definition
    /// ln k − ψ(k) = ln x̄ − mean of ln x, and θ = x̄/k. The standard errors invert
    /// the information n ((ψ′(k), 1/θ), (1/θ, k/θ²)).
    ///
    /// # Errors
    /// Fewer than two values, one not positive, or all the same.
    ///
    /// # Source
    /// Johnson, Kotz & Balakrishnan (1994), equations 17.45 to 17.47.
    pub fn fit(values: &[f64]) -> Result<Fit<Self>, TimingError> {
        sample::check_positive(values, 2)?;
        let (mean, _) = sample::mean_and_sd(values.iter().copied());
        let (log_mean, _) = sample::mean_and_sd(values.iter().map(|&x| libm::log(x / mean)));
        let gap = -log_mean;
        let start = (3.0 - gap + libm::sqrt((gap - 3.0) * (gap - 3.0) + 24.0 * gap)) / (12.0 * gap);
        let log_shape = increasing_root(libm::log(start), |u| {
            let k = libm::exp(u);
            (gap - u + digamma(k), k * trigamma(k) - 1.0)
        });
        let shape = libm::exp(log_shape);
        let member = Gamma::new(shape, mean / shape)?;
        let (n, scale) = (values.len() as f64, member.scale);
        let information = [[n * trigamma(shape), n / scale], [n / scale, n * shape / (scale * scale)]];
        let errors = inverse(information).map(|c| vec![libm::sqrt(c[0][0]), libm::sqrt(c[1][1])]);
        Ok(Fit::of(member, errors, values))
    }
}

impl Continuous for Gamma {
    fn parameters(&self) -> Vec<(&'static str, f64)> {
        vec![("shape", self.shape), ("scale", self.scale)]
    }

    fn ln_pdf(&self, x: f64) -> f64 {
        if x <= 0.0 {
            return f64::NEG_INFINITY;
        }
        let y = x / self.scale;
        (self.shape - 1.0) * libm::log(y) - y - libm::lgamma(self.shape) - libm::log(self.scale)
    }

    fn cdf(&self, x: f64) -> f64 {
        if x <= 0.0 { 0.0 } else { gamma_lower(self.shape, x / self.scale) }
    }

    fn upper(&self, x: f64) -> f64 {
        if x <= 0.0 { 1.0 } else { gamma_upper(self.shape, x / self.scale) }
    }

    fn quantile(&self, p: f64) -> f64 {
        // A probability near 1 is solved for from the other side.
        let standard = if p > 0.5 { gamma_upper_quantile(self.shape, 1.0 - p) } else { gamma_quantile(self.shape, p) };
        self.scale * standard
    }

    fn mean(&self) -> Option<f64> {
        Some(self.shape * self.scale)
    }

    fn variance(&self) -> Option<f64> {
        Some(self.shape * self.scale * self.scale)
    }

    /// Marsaglia & Tsang (2000), ACM Transactions on Mathematical Software
    /// 26:363. For k < 1 a draw with k + 1 is multiplied by U^(1/k).
    fn sample<R: Rng + ?Sized>(&self, rng: &mut R) -> f64 {
        let (shape, factor) = if self.shape < 1.0 {
            (self.shape + 1.0, libm::exp(libm::log(open_unit(rng)) / self.shape))
        } else {
            (self.shape, 1.0)
        };
        let d = shape - 1.0 / 3.0;
        let c = 1.0 / libm::sqrt(9.0 * d);
        loop {
            let z = normal_quantile(open_unit(rng));
            let root = 1.0 + c * z;
            if root > 0.0 {
                let v = root * root * root;
                if libm::log(open_unit(rng)) < 0.5 * z * z + d * (1.0 - v + libm::log(v)) {
                    return self.scale * factor * d * v;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shape_one_is_exponential() {
        let d = Gamma::new(1.0, 20.0).unwrap();
        for x in [0.5f64, 20.0, 300.0] {
            assert!((d.upper(x) / (-x / 20.0).exp() - 1.0).abs() < 1e-13, "{x}");
            assert!((d.pdf(x) - (-x / 20.0).exp() / 20.0).abs() < 1e-16, "{x}");
        }
        assert_eq!((d.pdf(-1.0), d.cdf(0.0), d.upper(0.0)), (0.0, 0.0, 1.0));
        assert!((d.quantile(0.999_999) / (20.0 * 1e6f64.ln()) - 1.0).abs() < 1e-9);
        assert!(d.quantile(1.0).is_nan() && Gamma::new(0.0, 1.0).is_err());
    }

    #[test]
    fn the_fit_solves_its_equation() {
        let values = [12.0, 30.0, 18.0, 45.0, 22.0];
        let fit = Gamma::fit(&values).unwrap();
        let k = fit.member.shape();
        let mean = values.iter().sum::<f64>() / 5.0;
        let log_mean = values.iter().map(|v: &f64| v.ln()).sum::<f64>() / 5.0;
        assert!((k.ln() - digamma(k) - mean.ln() + log_mean).abs() < 1e-14);
        assert!((fit.member.mean().unwrap() / mean - 1.0).abs() < 1e-15);
        assert!(fit.standard_errors.is_some());
    }
}

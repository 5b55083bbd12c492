//! The ex-Gaussian distribution.

use std::f64::consts::PI;

use rand::Rng;

use super::{Continuous, Fit, TimingError, finite, positive, sample};
use crate::normal::{ln_normal_lower, normal_lower, normal_quantile, normal_upper};
use crate::optimum::minimise_from;
use crate::special::search::increasing_root;
use crate::uniform::open_unit;

/// The sum of a normal time (μ, σ) and an exponential one (mean τ).
///
/// # Definition
/// f(x) = exp((μ − x)/τ + σ²/2τ²) Φ((x − μ)/σ − σ/τ) / τ. It has some mass below
/// zero, little if μ is several σ.
///
/// # Units
/// All three parameters are times.
///
/// # Source
/// Luce (1986), Response Times, section 3.2.1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExGaussian {
    mu: f64,
    sigma: f64,
    tau: f64,
}

impl ExGaussian {
    /// Makes a distribution with μ, σ and τ.
    ///
    /// # Errors
    /// μ not finite, or σ or τ not positive and finite.
    pub fn new(mu: f64, sigma: f64, tau: f64) -> Result<Self, TimingError> {
        Ok(ExGaussian { mu: finite("μ", mu)?, sigma: positive("σ", sigma)?, tau: positive("τ", tau)? })
    }

    /// μ, the mean of the normal part.
    pub fn mu(&self) -> f64 {
        self.mu
    }

    /// σ, the SD of the normal part.
    pub fn sigma(&self) -> f64 {
        self.sigma
    }

    /// τ, the mean of the exponential part.
    pub fn tau(&self) -> f64 {
        self.tau
    }

    /// Skewness, 2τ³/(σ² + τ²)^1.5: between 0 and 2.
    pub fn skewness(&self) -> f64 {
        let ratio = self.tau / libm::hypot(self.sigma, self.tau);
        2.0 * ratio * ratio * ratio
    }

    /// Fits by maximum likelihood, from the curvature its standard errors.
    ///
    /// # Errors
    /// Fewer than four values, all the same, or a sample for which σ or τ runs
    /// to 0: one without the skew, or without the rise, of an ex-Gaussian.
    ///
    /// # Source
    /// Lacouture & Cousineau (2008), Tutorials in Quantitative Methods for
    /// Psychology 4:35.
    pub fn fit(values: &[f64]) -> Result<Fit<Self>, TimingError> {
        sample::check(values, 4)?;
        let (mean, sd) = sample::mean_and_sd(values.iter().copied());
        let member = |&[m, s, t]: &[f64; 3]| ExGaussian::new(mean + sd * m, sd * libm::exp(s), sd * libm::exp(t));
        let cost = |point: &[f64; 3]| member(point).map_or(f64::INFINITY, |m| -sample::log_likelihood(&m, values));
        // The share of the SD that is exponential, from little to most of it.
        let start = |share: f64| [-share, 0.5 * libm::log1p(-share * share), libm::log(share)];
        let best = minimise_from(&[0.3, 0.6, 0.8, 0.95].map(start), cost)
            .ok_or(TimingError::NoMaximum("the likelihood must be finite somewhere"))?;
        // As τ goes to 0 the likelihood flattens out at that of the normal, so a
        // search stops anywhere on the way. Only a gain over it is a maximum.
        let normal = values.len() as f64 * (libm::log(sd) + 0.5 * libm::log(2.0 * PI) + 0.5);
        if best.at[1] < GONE || best.value > normal - 1e-6 {
            return Err(TimingError::NoMaximum("the values must show both a normal and an exponential part"));
        }
        let member = member(&best.at)?;
        let slopes = [sd, member.sigma, member.tau];
        let errors = best.covariance.map(|c| (0..3).map(|i| slopes[i] * libm::sqrt(c[i][i])).collect());
        Ok(Fit::of(member, errors, values))
    }

    fn z(&self, x: f64) -> f64 {
        (x - self.mu) / self.sigma
    }

    /// exp((μ − x)/τ + σ²/2τ²) Φ(z − σ/τ), in logarithms so that neither factor
    /// overflows.
    fn exponential_part(&self, x: f64) -> f64 {
        let ratio = self.sigma / self.tau;
        let z = self.z(x);
        libm::exp(ratio * (0.5 * ratio - z) + ln_normal_lower(z - ratio))
    }
}

/// Logarithm of the share of the SD below which the normal part counts as absent.
const GONE: f64 = -6.0;

impl Continuous for ExGaussian {
    fn parameters(&self) -> Vec<(&'static str, f64)> {
        vec![("mu", self.mu), ("sigma", self.sigma), ("tau", self.tau)]
    }

    fn ln_pdf(&self, x: f64) -> f64 {
        let ratio = self.sigma / self.tau;
        let z = self.z(x);
        // For a small τ two huge terms cancel, which leaves a relative error of
        // about 10⁻¹⁶ (σ/τ)².
        ratio * (0.5 * ratio - z) + ln_normal_lower(z - ratio) - libm::log(self.tau)
    }

    /// Exact to an absolute error of about 10⁻¹⁶.
    fn cdf(&self, x: f64) -> f64 {
        libm::fmax(normal_lower(self.z(x)) - self.exponential_part(x), 0.0)
    }

    fn upper(&self, x: f64) -> f64 {
        libm::fmin(normal_upper(self.z(x)) + self.exponential_part(x), 1.0)
    }

    fn quantile(&self, p: f64) -> f64 {
        if !(p > 0.0 && p < 1.0) {
            return f64::NAN;
        }
        let scale = self.sigma + self.tau;
        let start = (self.tau + self.sigma * normal_quantile(p)) / scale;
        let at = |u: f64| self.mu + scale * u;
        // The smaller tail is solved for: the other one has lost its digits.
        let root = if p < 0.5 {
            increasing_root(start, |u| (self.cdf(at(u)) - p, scale * self.pdf(at(u))))
        } else {
            let q = 1.0 - p;
            increasing_root(start, |u| (q - self.upper(at(u)), scale * self.pdf(at(u))))
        };
        at(root)
    }

    fn mean(&self) -> Option<f64> {
        Some(self.mu + self.tau)
    }

    fn variance(&self) -> Option<f64> {
        Some(self.sigma * self.sigma + self.tau * self.tau)
    }

    fn sample<R: Rng + ?Sized>(&self, rng: &mut R) -> f64 {
        let normal = self.mu + self.sigma * normal_quantile(open_unit(rng));
        normal - self.tau * libm::log(open_unit(rng))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_vanishing_exponential_part_leaves_the_normal() {
        let d = ExGaussian::new(80.0, 12.0, 1e-3).unwrap();
        for z in [-3.0, 0.0, 2.0] {
            let x = 80.0 + 12.0 * z;
            assert!((d.cdf(x) - normal_lower(z)).abs() < 1e-4, "{z}");
            let normal = libm::exp(-0.5 * z * z) / (12.0 * (2.0 * PI).sqrt());
            assert!((d.pdf(x) / normal - 1.0).abs() < 1e-3, "{z} {} {normal}", d.pdf(x));
        }
    }

    #[test]
    fn far_tails_are_finite_and_quantiles_invert() {
        let d = ExGaussian::new(80.0, 12.0, 30.0).unwrap();
        assert!(d.ln_pdf(-1e4).is_finite() && d.ln_pdf(1e5).is_finite());
        for p in [1e-9, 0.025, 0.5, 0.9, 1.0 - 1e-9] {
            assert!((d.cdf(d.quantile(p)) - p).abs() < 1e-14, "{p}");
        }
        assert!(d.quantile(0.0).is_nan());
        assert!(ExGaussian::new(0.0, 1.0, 0.0).is_err() && ExGaussian::new(f64::NAN, 1.0, 1.0).is_err());
    }

    #[test]
    fn a_sample_without_skew_is_refused() {
        let symmetric: Vec<f64> = (1..200).map(|i| normal_quantile(f64::from(i) / 200.0)).collect();
        assert!(matches!(ExGaussian::fit(&symmetric), Err(TimingError::NoMaximum(_))));
    }
}

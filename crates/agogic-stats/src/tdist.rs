//! Student's t distribution, accurate for all degrees of freedom.

use thiserror::Error;

use crate::level::Level;
use crate::special::{Tail, beta_logit_quantile, beta_tails};

/// Why a Student t distribution cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum StudentTError {
    /// The degrees of freedom are not positive and finite.
    #[error("read the degrees of freedom {0}: they must be positive and finite")]
    DegreesOfFreedom(f64),
}

/// Student's t distribution with ν degrees of freedom.
///
/// # Definition
/// P(T > t) = ½ I_x(ν/2, ½) with x = ν/(ν + t²), for t ≥ 0.
///
/// # Source
/// Abramowitz & Stegun (1964), 26.7.1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StudentT {
    df: f64,
}

impl StudentT {
    /// Makes a distribution with `df` degrees of freedom, whole or not.
    ///
    /// # Errors
    /// [`StudentTError::DegreesOfFreedom`] unless `df` is positive and finite.
    pub fn new(df: f64) -> Result<Self, StudentTError> {
        if df > 0.0 && df.is_finite() { Ok(StudentT { df }) } else { Err(StudentTError::DegreesOfFreedom(df)) }
    }

    /// For crate code whose degrees of freedom come from a count above zero.
    pub(crate) fn from_count(df: usize) -> Self {
        debug_assert!(df > 0);
        StudentT { df: df as f64 }
    }

    /// Probability of a value above `t`, without cancellation.
    pub fn upper(&self, t: f64) -> f64 {
        if t.is_infinite() {
            return if t > 0.0 { 0.0 } else { 1.0 };
        }
        let square = t * t;
        let total = self.df + square;
        let tails = beta_tails(0.5 * self.df, 0.5, self.df / total, square / total);
        if t >= 0.0 { 0.5 * tails.lower } else { 1.0 - 0.5 * tails.lower }
    }

    /// Probability of a value at most `t`.
    pub fn lower(&self, t: f64) -> f64 {
        self.upper(-t)
    }

    /// Probability of a value at least as far from zero as `t`.
    pub fn two_sided(&self, t: f64) -> f64 {
        2.0 * self.upper(t.abs())
    }

    /// The point with probability `q` above it.
    ///
    /// # Undefined
    /// NaN unless 0 < q < 1.
    pub fn upper_quantile(&self, q: f64) -> f64 {
        if !(q > 0.0 && q < 1.0) {
            return f64::NAN;
        }
        if q > 0.5 {
            return -self.upper_quantile(1.0 - q);
        }
        if q == 0.5 {
            return 0.0;
        }
        // t² = ν(1−x)/x, so the logit of x gives t without forming 1−x. The
        // smaller tail is the one solved for.
        let logit = if q < 0.25 {
            beta_logit_quantile(0.5 * self.df, 0.5, 2.0 * q, Tail::Lower)
        } else {
            beta_logit_quantile(0.5 * self.df, 0.5, 1.0 - 2.0 * q, Tail::Upper)
        };
        libm::sqrt(self.df) * libm::exp(-0.5 * logit)
    }

    /// The point with probability `p` below it.
    ///
    /// # Undefined
    /// NaN unless 0 < p < 1.
    pub fn quantile(&self, p: f64) -> f64 {
        -self.upper_quantile(p)
    }

    /// Two-sided critical value at a confidence level.
    pub fn critical(&self, level: Level) -> f64 {
        self.upper_quantile(level.tail())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cauchy_closed_form() {
        let t = StudentT::new(1.0).unwrap();
        for q in [1e-8f64, 0.025, 0.2, 0.3, 0.49] {
            let exact = 1.0 / (std::f64::consts::PI * q).tan();
            assert!((t.upper_quantile(q) / exact - 1.0).abs() < 1e-12, "{q}");
        }
    }

    #[test]
    fn two_degrees_closed_form() {
        let t = StudentT::new(2.0).unwrap();
        for x in [0.1f64, 1.0, 4.0, 30.0] {
            let exact = 0.5 * (1.0 - x / (2.0 + x * x).sqrt());
            assert!((t.upper(x) / exact - 1.0).abs() < 1e-11, "{x}");
            assert!((t.lower(x) + t.upper(x) - 1.0).abs() < 1e-15);
        }
    }

    #[test]
    fn tends_to_the_normal() {
        // First term of the Cornish–Fisher expansion: t ≈ z + (z³ + z)/(4ν).
        let z = Level::P95.z();
        for df in [1e4, 1e6, 1e9] {
            let expected = z + (z.powi(3) + z) / (4.0 * df);
            let found = StudentT::new(df).unwrap().critical(Level::P95);
            assert!((found - expected).abs() < 10.0 / (df * df) + 1e-10, "{df} {found}");
        }
    }

    #[test]
    fn edges_and_nonsense() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(StudentT::new(bad).is_err());
        }
        let t = StudentT::new(5.0).unwrap();
        assert_eq!(t.upper(0.0), 0.5);
        assert_eq!(t.upper(f64::INFINITY), 0.0);
        assert_eq!(t.lower(f64::NEG_INFINITY), 0.0);
        assert!(t.quantile(0.0).is_nan());
        assert!(t.upper(f64::NAN).is_nan());
    }
}

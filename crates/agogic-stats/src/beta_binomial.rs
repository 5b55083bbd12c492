//! The beta-binomial distribution of events in clusters.

use thiserror::Error;

/// Why a beta-binomial distribution cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum BetaBinomialError {
    /// A parameter is not positive and finite.
    #[error("read the {name} {value}: it must be positive and finite")]
    Parameter {
        /// Which parameter.
        name: &'static str,
        /// The number given.
        value: f64,
    },
}

/// Events in n trials whose probability varies between clusters as Beta(α, β).
///
/// # Definition
/// P(Y = y) = C(n, y) B(y + α, n − y + β)/B(α, β).
///
/// # Source
/// Skellam (1948), Journal of the Royal Statistical Society B 10:257.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BetaBinomial {
    alpha: f64,
    beta: f64,
}

impl BetaBinomial {
    /// Makes a distribution with α = `alpha` and β = `beta`.
    ///
    /// # Errors
    /// A parameter that is not positive and finite.
    pub fn new(alpha: f64, beta: f64) -> Result<Self, BetaBinomialError> {
        for (name, value) in [("α", alpha), ("β", beta)] {
            if !(value > 0.0 && value.is_finite()) {
                return Err(BetaBinomialError::Parameter { name, value });
            }
        }
        Ok(BetaBinomial { alpha, beta })
    }

    /// The member with a given mean and intracluster correlation.
    ///
    /// # Definition
    /// α + β = 1/ρ − 1 and α = mean (α + β).
    ///
    /// # Errors
    /// Unless both lie strictly between 0 and 1.
    pub fn with_mean_and_icc(mean: f64, icc: f64) -> Result<Self, BetaBinomialError> {
        let total = 1.0 / icc - 1.0;
        BetaBinomial::new(mean * total, (1.0 - mean) * total)
    }

    /// α.
    pub fn alpha(&self) -> f64 {
        self.alpha
    }

    /// β.
    pub fn beta(&self) -> f64 {
        self.beta
    }

    /// Mean probability of an event, α/(α + β).
    pub fn mean(&self) -> f64 {
        self.alpha / (self.alpha + self.beta)
    }

    /// Correlation of two trials of one cluster, 1/(α + β + 1).
    pub fn icc(&self) -> f64 {
        1.0 / (self.alpha + self.beta + 1.0)
    }

    /// Logarithm of the probability of `events` in `trials`; −∞ if there are
    /// more events than trials.
    pub fn ln_mass(&self, events: u64, trials: u64) -> f64 {
        if events > trials {
            return f64::NEG_INFINITY;
        }
        let (y, n) = (events as f64, trials as f64);
        let choose = ln_rising(1.0, n) - ln_rising(1.0, y) - ln_rising(1.0, n - y);
        choose + ln_rising(self.alpha, y) + ln_rising(self.beta, n - y) - ln_rising(self.alpha + self.beta, n)
    }
}

/// ln Γ(a + n) − ln Γ(a).
fn ln_rising(a: f64, n: f64) -> f64 {
    if n == 0.0 {
        return 0.0;
    }
    if a < 1e3 {
        return libm::lgamma(a + n) - libm::lgamma(a);
    }
    // Both logarithms are huge here; Stirling's form subtracts them on paper.
    let error = |x: f64| crate::special::deviance::stirling_error(x);
    n * (libm::log(a) - 1.0) + (a + n - 0.5) * libm::log1p(n / a) + error(a + n) - error(a)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_masses_sum_to_one_and_have_the_mean() {
        let d = BetaBinomial::new(0.7, 3.2).unwrap();
        let masses: Vec<f64> = (0..=30).map(|y| d.ln_mass(y, 30).exp()).collect();
        assert!((masses.iter().sum::<f64>() - 1.0).abs() < 1e-13);
        let mean: f64 = masses.iter().enumerate().map(|(y, m)| y as f64 * m).sum();
        assert!((mean / 30.0 - d.mean()).abs() < 1e-13);
        let variance: f64 = masses.iter().enumerate().map(|(y, m)| (y as f64 - mean).powi(2) * m).sum();
        let p = d.mean();
        assert!((variance / (30.0 * p * (1.0 - p) * (1.0 + 29.0 * d.icc())) - 1.0).abs() < 1e-12);
        assert_eq!(d.ln_mass(4, 3), f64::NEG_INFINITY);
    }

    #[test]
    fn uniform_and_binomial_limits() {
        let uniform = BetaBinomial::new(1.0, 1.0).unwrap();
        assert!((uniform.ln_mass(3, 9) + 10f64.ln()).abs() < 1e-13);
        let tight = BetaBinomial::with_mean_and_icc(0.25, 1e-12).unwrap();
        let binomial = 4.0 * 0.25 * 0.75f64.powi(3);
        assert!((tight.ln_mass(1, 4).exp() - binomial).abs() < 1e-11);
        assert!((tight.icc() / 1e-12 - 1.0).abs() < 1e-3);
    }

    #[test]
    fn rising_products_agree_where_the_method_changes() {
        for a in [999.999_999, 1_000.000_001] {
            let product: f64 = (0..50).map(|i| libm::log(a + f64::from(i))).sum();
            assert!((ln_rising(a, 50.0) / product - 1.0).abs() < 1e-12, "{a}");
        }
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(BetaBinomial::new(0.0, 1.0).is_err() && BetaBinomial::new(1.0, f64::NAN).is_err());
        assert!(BetaBinomial::with_mean_and_icc(0.5, 0.0).is_err());
    }
}

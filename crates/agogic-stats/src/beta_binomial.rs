//! The beta-binomial distribution of events in clusters.

use thiserror::Error;

use crate::clusters::Clusters;
use crate::optimum::minimise_from;
use crate::sum::compensated_sum;

/// Why a beta-binomial distribution cannot be made or fitted.
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
    /// The clusters do not hold whole counts of events.
    #[error("fit to {numerator} of {denominator} in cluster {index}: both must be whole numbers")]
    NotCounts {
        /// Position of the cluster.
        index: usize,
        /// Its numerator.
        numerator: f64,
        /// Its denominator.
        denominator: f64,
    },
    /// The clusters do not determine the parameters.
    #[error("fit to these clusters: {0}")]
    NoMaximum(&'static str),
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

/// A beta-binomial fitted by maximum likelihood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BetaBinomialFit {
    /// The distribution with the greatest likelihood.
    pub distribution: BetaBinomial,
    /// Standard errors of α and β; `None` where the curvature gives none.
    pub standard_errors: Option<[f64; 2]>,
    /// Logarithm of the likelihood at the maximum.
    pub log_likelihood: f64,
    /// Number of clusters with trials.
    pub n: u64,
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

    /// Fits by maximum likelihood.
    ///
    /// # Definition
    /// The search runs over the logit of the mean and the logarithm of α + β;
    /// standard errors come from the curvature at the maximum.
    ///
    /// # Errors
    /// Clusters that are not whole counts, fewer than two of them, nothing but
    /// events or none, or clusters no further apart than independent trials, for
    /// which α + β grows without end.
    ///
    /// # Source
    /// Griffiths (1973), Biometrics 29:637.
    pub fn fit(clusters: &Clusters) -> Result<BetaBinomialFit, BetaBinomialError> {
        let counts = counts(clusters)?;
        let (events, trials) = clusters.totals();
        if counts.len() < 2 {
            return Err(BetaBinomialError::NoMaximum("at least 2 clusters must have trials"));
        }
        if events == 0.0 || events == trials {
            return Err(BetaBinomialError::NoMaximum("there must be both events and misses"));
        }
        let rate = events / trials;
        let member = |&[u, v]: &[f64; 2]| {
            let (total, mean) = (libm::exp(v), 1.0 / (1.0 + libm::exp(-u)));
            BetaBinomial::new(total * mean, total * (1.0 - mean))
        };
        let likelihood = |d: &BetaBinomial| compensated_sum(counts.iter().map(|&(y, n)| d.ln_mass(y, n)));
        let cost = |point: &[f64; 2]| {
            if point[1].abs() > 25.0 { f64::INFINITY } else { member(point).map_or(f64::INFINITY, |d| -likelihood(&d)) }
        };
        let logit = libm::log(rate / (1.0 - rate));
        let best = minimise_from(&[0.0, 2.0, 4.0, 6.0].map(|v| [logit, v]), cost)
            .ok_or(BetaBinomialError::NoMaximum("the likelihood must be finite somewhere"))?;
        // At α + β = e²⁴ the distribution is binomial to every digit kept.
        let binomial = -cost(&[logit, 24.0]);
        if -best.value <= binomial + 1e-7 {
            return Err(BetaBinomialError::NoMaximum("the clusters must differ by more than chance"));
        }
        let distribution = member(&best.at)?;
        let (alpha, beta, mean) = (distribution.alpha, distribution.beta, distribution.mean());
        let standard_errors = best.covariance.map(|c| {
            let along = |[u, v]: [f64; 2]| libm::sqrt(u * u * c[0][0] + 2.0 * u * v * c[0][1] + v * v * c[1][1]);
            [along([alpha * (1.0 - mean), alpha]), along([-beta * mean, beta])]
        });
        let log_likelihood = -best.value;
        Ok(BetaBinomialFit { distribution, standard_errors, log_likelihood, n: counts.len() as u64 })
    }
}

/// Events and trials of the clusters that have trials.
fn counts(clusters: &Clusters) -> Result<Vec<(u64, u64)>, BetaBinomialError> {
    let pairs = clusters.numerators().iter().zip(clusters.denominators());
    let mut counts = Vec::with_capacity(clusters.len());
    for (index, (&numerator, &denominator)) in pairs.enumerate() {
        if !clusters.is_proportion() || numerator.fract() != 0.0 || denominator.fract() != 0.0 {
            return Err(BetaBinomialError::NotCounts { index, numerator, denominator });
        }
        if denominator > 0.0 {
            counts.push((numerator as u64, denominator as u64));
        }
    }
    Ok(counts)
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
    fn what_has_no_maximum_is_refused() {
        let fit = |pairs: &[(u64, u64)]| BetaBinomial::fit(&Clusters::counts("typist", pairs.iter().copied()).unwrap());
        assert!(fit(&[(3, 10)]).is_err());
        assert!(fit(&[(0, 10), (0, 9)]).is_err() && fit(&[(9, 9), (3, 3)]).is_err());
        // More alike than chance.
        assert!(fit(&[(5, 10), (5, 10), (5, 10), (5, 10)]).is_err());
        let part = Clusters::proportion("typist", [(0.5, 2.0), (1.0, 3.0)]).unwrap();
        assert!(matches!(BetaBinomial::fit(&part), Err(BetaBinomialError::NotCounts { index: 0, .. })));
        assert!(BetaBinomial::new(0.0, 1.0).is_err() && BetaBinomial::new(1.0, f64::NAN).is_err());
        assert!(BetaBinomial::with_mean_and_icc(0.5, 0.0).is_err());
    }
}

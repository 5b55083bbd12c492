//! Binomial probabilities, accurate for any number of trials.

use super::Trials;
use crate::special::{beta_tails, deviance};

/// Probability of exactly x events in n trials when each has probability `p`.
///
/// # Undefined
/// NaN unless 0 ≤ p ≤ 1.
///
/// # Source
/// Loader (2000), "Fast and accurate computation of binomial probabilities".
pub fn binomial_mass(trials: Trials, p: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    let (x, n, misses) = (trials.x(), trials.n(), trials.misses());
    if trials.events == 0 {
        return libm::exp(n * libm::log1p(-p));
    }
    if trials.events == trials.trials {
        return libm::exp(n * libm::log(p));
    }
    if p == 0.0 || p == 1.0 {
        return 0.0;
    }
    let exponent = deviance::stirling_error(n)
        - deviance::stirling_error(x)
        - deviance::stirling_error(misses)
        - deviance::deviance(x, n * p)
        - deviance::deviance(misses, n * (1.0 - p));
    libm::sqrt(n / (2.0 * std::f64::consts::PI * x * misses)) * libm::exp(exponent)
}

/// Probability of at most x events in n trials when each has probability `p`.
///
/// # Undefined
/// NaN unless 0 ≤ p ≤ 1.
pub fn binomial_lower(trials: Trials, p: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if trials.events == trials.trials {
        return 1.0;
    }
    beta_tails(trials.x() + 1.0, trials.misses(), p, 1.0 - p).upper
}

/// Probability of at least x events in n trials when each has probability `p`.
///
/// # Undefined
/// NaN unless 0 ≤ p ≤ 1.
pub fn binomial_upper(trials: Trials, p: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if trials.events == 0 {
        return 1.0;
    }
    beta_tails(trials.x(), trials.misses() + 1.0, p, 1.0 - p).lower
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn masses_sum_to_one_and_to_the_tails() {
        for p in [0.0, 0.01, 0.5, 0.93, 1.0] {
            let mut below = 0.0;
            for x in 0..=30 {
                let t = Trials::new(x, 30).unwrap();
                assert!((binomial_upper(t, p) - (1.0 - below)).abs() < 1e-12, "{x} {p}");
                below += binomial_mass(t, p);
                assert!((binomial_lower(t, p) - below).abs() < 1e-12, "{x} {p}");
            }
            assert!((below - 1.0).abs() < 1e-13);
        }
    }

    #[test]
    fn a_hundred_million_trials() {
        // By symmetry P(X ≤ n/2) = ½ + ½ P(X = n/2), and P(X = n/2) → √(2/πn).
        let t = Trials::new(50_000_000, 100_000_000).unwrap();
        let mass = binomial_mass(t, 0.5);
        assert!((mass / (2e-8 / std::f64::consts::PI).sqrt() - 1.0).abs() < 1e-8);
        assert!((binomial_lower(t, 0.5) - (0.5 + 0.5 * mass)).abs() < 1e-12);
    }

    #[test]
    fn nonsense_probabilities() {
        let t = Trials::new(1, 2).unwrap();
        for p in [-0.1, 1.1, f64::NAN] {
            assert!(binomial_mass(t, p).is_nan());
            assert!(binomial_lower(t, p).is_nan());
            assert!(binomial_upper(t, p).is_nan());
        }
    }
}

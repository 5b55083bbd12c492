//! What the fits need from a sample.

use super::{Continuous, TimingError};
use crate::sum::compensated_sum;

const NO_SPREAD: &str = "the values must not all be the same";

/// Checks that all values are finite, differ, and number at least `needed`.
pub(super) fn check(values: &[f64], needed: usize) -> Result<(), TimingError> {
    if let Some((index, &value)) = values.iter().enumerate().find(|(_, v)| !v.is_finite()) {
        return Err(TimingError::Value { index, value, wanted: "finite" });
    }
    if values.len() < needed {
        return Err(TimingError::TooFew { found: values.len(), needed });
    }
    if values.iter().all(|v| *v == values[0]) { Err(TimingError::NoMaximum(NO_SPREAD)) } else { Ok(()) }
}

/// The same for a family of positive times.
pub(super) fn check_positive(values: &[f64], needed: usize) -> Result<(), TimingError> {
    check(values, needed)?;
    match values.iter().enumerate().find(|(_, v)| **v <= 0.0) {
        Some((index, &value)) => Err(TimingError::Value { index, value, wanted: "positive" }),
        None => Ok(()),
    }
}

/// Mean and SD with divisor n, of at least one value.
pub(super) fn mean_and_sd(values: impl Iterator<Item = f64> + Clone) -> (f64, f64) {
    let n = values.clone().count() as f64;
    let mean = compensated_sum(values.clone()) / n;
    let squares = compensated_sum(values.map(|v| (v - mean) * (v - mean)));
    (mean, libm::sqrt(squares / n))
}

/// Σ ln f(x).
pub(super) fn log_likelihood(member: &impl Continuous, values: &[f64]) -> f64 {
    compensated_sum(values.iter().map(|&x| member.ln_pdf(x)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn samples_without_information_are_refused() {
        assert_eq!(check(&[1.0], 2), Err(TimingError::TooFew { found: 1, needed: 2 }));
        assert!(matches!(check(&[2.0, 2.0], 2), Err(TimingError::NoMaximum(_))));
        assert!(matches!(check(&[1.0, f64::NAN], 2), Err(TimingError::Value { index: 1, .. })));
        assert!(matches!(check_positive(&[1.0, 0.0], 2), Err(TimingError::Value { index: 1, .. })));
        assert!(check(&[1.0, -1.0], 2).is_ok());
    }

    #[test]
    fn divisor_n() {
        let (mean, sd) = mean_and_sd([1.0, 3.0].into_iter());
        assert_eq!((mean, sd), (2.0, 1.0));
    }
}

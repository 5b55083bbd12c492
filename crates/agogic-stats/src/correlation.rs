//! Pearson's correlation and its interval.

use thiserror::Error;

use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::moments::mean;
use crate::sum::compensated_sum;

/// Why a correlation cannot be computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum CorrelationError {
    /// The two series differ in length.
    #[error("correlate {first} values with {second}: both series must have the same length")]
    Lengths {
        /// Length of the first series.
        first: usize,
        /// Length of the second series.
        second: usize,
    },
    /// There are fewer than two pairs, or a value is not finite.
    #[error("correlate the series: at least 2 pairs of finite values are needed")]
    Values,
    /// One series does not vary.
    #[error("correlate the series: each must vary")]
    Constant,
}

/// Pearson's product-moment correlation.
///
/// # Errors
/// Series of different length, fewer than two pairs, values that are not
/// finite, or a series without spread.
pub fn pearson(first: &[f64], second: &[f64]) -> Result<f64, CorrelationError> {
    if first.len() != second.len() {
        let (first, second) = (first.len(), second.len());
        return Err(CorrelationError::Lengths { first, second });
    }
    let (Some(center_a), Some(center_b)) = (mean(first), mean(second)) else {
        return Err(CorrelationError::Values);
    };
    if first.len() < 2 {
        return Err(CorrelationError::Values);
    }
    let a = || first.iter().map(|v| v - center_a);
    let b = || second.iter().map(|v| v - center_b);
    let squares_a = compensated_sum(a().map(|v| v * v));
    let squares_b = compensated_sum(b().map(|v| v * v));
    if !(squares_a > 0.0 && squares_b > 0.0) {
        return Err(CorrelationError::Constant);
    }
    let products = compensated_sum(a().zip(b()).map(|(a, b)| a * b));
    Ok((products / squares_a.sqrt() / squares_b.sqrt()).clamp(-1.0, 1.0))
}

/// Pearson's correlation with Fisher's interval.
///
/// # Definition
/// tanh(atanh r ± z/√(n − 3)). The standard error is that of r by the delta
/// method, (1 − r²)/√(n − 3).
///
/// # Undefined
/// With fewer than four pairs, or |r| = 1, the error and limits are missing.
///
/// # Errors
/// As [`pearson`].
///
/// # Source
/// Fisher (1921), Metron 1:3.
pub fn pearson_fisher(first: &[f64], second: &[f64], level: Level, unit: &str) -> Result<Estimate, CorrelationError> {
    let r = pearson(first, second)?;
    let estimate = Estimate::new(r, "pearson, fisher z", level, unit, first.len() as u64);
    if first.len() < 4 {
        return Ok(estimate.because("fisher's interval needs at least 4 pairs"));
    }
    if r.abs() == 1.0 {
        return Ok(estimate.because("fisher's interval needs a correlation between -1 and 1"));
    }
    let spread = 1.0 / (first.len() as f64 - 3.0).sqrt();
    let (center, half) = (libm::atanh(r), level.z() * spread);
    let interval = Interval { lo: libm::tanh(center - half), hi: libm::tanh(center + half) };
    Ok(estimate.with_mcse((1.0 - r * r) * spread).with_interval(interval))
}

/// Spearman's rank correlation: Pearson's of the ranks, equal values at their mean rank.
///
/// # Errors
/// As [`pearson`].
///
/// # Source
/// Spearman (1904), American Journal of Psychology 15:72; from memory.
pub fn spearman(first: &[f64], second: &[f64]) -> Result<f64, CorrelationError> {
    pearson(&ranks(first), &ranks(second))
}

/// Ranks from 1, equal values at their mean rank.
fn ranks(values: &[f64]) -> Vec<f64> {
    let rank = |value: &f64| {
        let below = values.iter().filter(|other| *other < value).count() as f64;
        let equal = values.iter().filter(|other| *other == value).count() as f64;
        below + (equal + 1.0) / 2.0
    };
    values.iter().map(rank).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranks_by_hand() {
        assert_eq!(ranks(&[3.0, 1.0, 3.0, 2.0]), [3.5, 1.0, 3.5, 2.0]);
        // One exchange among four: 1 - 6 * 2 / (4 * 15).
        assert!((spearman(&[1.0, 2.0, 3.0, 4.0], &[10.0, 30.0, 20.0, 99.0]).unwrap() - 0.8).abs() < 1e-15);
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(pearson(&[1.0], &[1.0, 2.0]).is_err());
        assert!(pearson(&[1.0], &[2.0]).is_err());
        assert!(pearson(&[], &[]).is_err());
        assert_eq!(pearson(&[1.0, 1.0], &[1.0, 2.0]), Err(CorrelationError::Constant));
        assert!(pearson(&[1.0, f64::NAN], &[1.0, 2.0]).is_err());
    }

    #[test]
    fn perfect_and_short_series_have_no_interval() {
        let perfect = pearson_fisher(&[1.0, 2.0, 3.0, 4.0], &[2.0, 4.0, 6.0, 8.0], Level::P95, "x");
        let perfect = perfect.unwrap();
        assert_eq!(perfect.value, Some(1.0));
        assert!(perfect.interval().is_none() && perfect.reason.is_some());
        let short = pearson_fisher(&[1.0, 2.0, 3.0], &[2.0, 1.0, 6.0], Level::P95, "x").unwrap();
        assert!(short.interval().is_none() && short.reason.is_some());
    }
}

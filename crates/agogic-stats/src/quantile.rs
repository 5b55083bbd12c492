//! Sample quantiles.

use thiserror::Error;

/// Why a sample quantile cannot be given.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum QuantileError {
    /// There are no values.
    #[error("take a quantile of no values: at least 1 is needed")]
    Empty,
    /// A value is not finite.
    #[error("read the value {value} at position {index}: it must be finite")]
    Value {
        /// Position of the value.
        index: usize,
        /// The value.
        value: f64,
    },
    /// The probability is not between 0 and 1.
    #[error("read the probability {0}: it must lie between 0 and 1")]
    Probability(f64),
    /// The limit that values are held against is not a number.
    #[error("compare values with the limit {0}: it must be a number")]
    Limit(f64),
}

/// Sample quantile of type 7, the default of R and NumPy.
///
/// # Definition
/// With the values sorted and h = (n − 1)p, the value at ⌊h⌋ (from 0) plus
/// (h − ⌊h⌋) of the step to the next.
///
/// # Errors
/// No values, a value that is not finite, or p outside 0 to 1.
///
/// # Source
/// Hyndman & Fan (1996), The American Statistician 50:361, definition 7.
pub fn quantile(values: &[f64], p: f64) -> Result<f64, QuantileError> {
    if values.is_empty() {
        return Err(QuantileError::Empty);
    }
    if let Some((index, &value)) = values.iter().enumerate().find(|(_, v)| !v.is_finite()) {
        return Err(QuantileError::Value { index, value });
    }
    if !(0.0..=1.0).contains(&p) {
        return Err(QuantileError::Probability(p));
    }
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    Ok(quantile_of_sorted(&sorted, p))
}

/// The same as [`quantile`] for finite values already in ascending order.
///
/// # Panics
/// There are no values.
pub fn quantile_of_sorted(sorted: &[f64], p: f64) -> f64 {
    let place = (sorted.len() - 1) as f64 * p;
    let below = (place.floor() as usize).min(sorted.len() - 1);
    let above = (below + 1).min(sorted.len() - 1);
    let fraction = place - below as f64;
    sorted[below] + fraction * (sorted[above] - sorted[below])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_and_at_the_values() {
        let values = [4.0, 1.0, 3.0, 2.0];
        for (p, expected) in [(0.0, 1.0), (1.0, 4.0), (0.5, 2.5), (0.25, 1.75), (1.0 / 3.0, 2.0)] {
            assert!((quantile(&values, p).unwrap() - expected).abs() < 1e-15, "{p}");
        }
        assert_eq!(quantile(&[7.0], 0.3), Ok(7.0));
    }

    #[test]
    fn nonsense_is_refused() {
        assert_eq!(quantile(&[], 0.5), Err(QuantileError::Empty));
        assert!(quantile(&[1.0, f64::NAN], 0.5).is_err());
        assert!(quantile(&[1.0], 1.5).is_err());
        assert!(quantile(&[1.0], f64::NAN).is_err());
    }
}

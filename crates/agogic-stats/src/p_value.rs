//! What a p-value must be.

use thiserror::Error;

/// Why numbers are not p-values.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum PValueError {
    /// A number is not a probability.
    #[error("read the p-value {value} at position {index}: it must lie between 0 and 1")]
    OutOfRange {
        /// Position of the number.
        index: usize,
        /// The number given.
        value: f64,
    },
}

/// Checks p-values and returns their positions in ascending order.
pub(crate) fn ascending(p_values: &[f64]) -> Result<Vec<usize>, PValueError> {
    if let Some((index, &value)) = p_values.iter().enumerate().find(|(_, p)| !(0.0..=1.0).contains(*p)) {
        return Err(PValueError::OutOfRange { index, value });
    }
    let mut order: Vec<usize> = (0..p_values.len()).collect();
    order.sort_by(|&a, &b| p_values[a].total_cmp(&p_values[b]));
    Ok(order)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_probabilities() {
        assert_eq!(ascending(&[0.5, 0.0, 1.0]), Ok(vec![1, 0, 2]));
        assert_eq!(ascending(&[]), Ok(Vec::new()));
        assert!(ascending(&[0.5, 1.1]).is_err() && ascending(&[f64::NAN]).is_err());
    }
}

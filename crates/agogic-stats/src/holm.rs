//! Holm's correction for several tests.

use crate::p_value::{PValueError, ascending};

/// p-values adjusted so that the chance of any false rejection stays below α.
///
/// # Definition
/// With the m p-values in ascending order, the i-th becomes the greatest of
/// (m − j + 1) pⱼ over j ≤ i, at most 1. Rejecting where the result is at most α
/// holds the family-wise error at α, whatever the dependence.
///
/// # Shape
/// In the order given.
///
/// # Errors
/// A number outside 0 to 1.
///
/// # Source
/// Holm (1979), Scandinavian Journal of Statistics 6:65.
pub fn holm(p_values: &[f64]) -> Result<Vec<f64>, PValueError> {
    let order = ascending(p_values)?;
    let m = p_values.len();
    let mut adjusted = vec![0.0; m];
    let mut greatest = 0.0f64;
    for (rank, &position) in order.iter().enumerate() {
        greatest = greatest.max((m - rank) as f64 * p_values[position]).min(1.0);
        adjusted[position] = greatest;
    }
    Ok(adjusted)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_hand() {
        let adjusted = holm(&[0.01, 0.04, 0.03]).unwrap();
        // 3 × .01; 2 × .03; then .04 is raised to it.
        for (found, expected) in adjusted.iter().zip([0.03, 0.06, 0.06]) {
            assert!((found - expected).abs() < 1e-16);
        }
        assert_eq!(holm(&[0.7, 0.9]), Ok(vec![1.0, 1.0]));
        assert_eq!(holm(&[0.2]), Ok(vec![0.2]));
        assert_eq!(holm(&[]), Ok(Vec::new()));
        assert!(holm(&[-0.1]).is_err());
    }

    #[test]
    fn ties_are_treated_alike() {
        let adjusted = holm(&[0.02, 0.02, 0.5]).unwrap();
        assert_eq!(adjusted[0], adjusted[1]);
    }
}

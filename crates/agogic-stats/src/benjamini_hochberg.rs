//! The false discovery rate of Benjamini and Hochberg.

use crate::p_value::{PValueError, ascending};

/// p-values adjusted so that the expected share of false rejections stays below
/// q.
///
/// # Definition
/// With the m p-values in ascending order, the i-th becomes the least of
/// m pⱼ/j over j ≥ i, at most 1. Rejecting where the result is at most q holds
/// the false discovery rate at q for independent or positively dependent tests.
///
/// # Shape
/// In the order given.
///
/// # Errors
/// A number outside 0 to 1.
///
/// # Source
/// Benjamini & Hochberg (1995), Journal of the Royal Statistical Society B
/// 57:289, section 3.1.
pub fn benjamini_hochberg(p_values: &[f64]) -> Result<Vec<f64>, PValueError> {
    let order = ascending(p_values)?;
    let m = p_values.len() as f64;
    let mut adjusted = vec![0.0; p_values.len()];
    let mut least = 1.0f64;
    for (rank, &position) in order.iter().enumerate().rev() {
        least = least.min(m / (rank + 1) as f64 * p_values[position]);
        adjusted[position] = least;
    }
    Ok(adjusted)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_hand() {
        let adjusted = benjamini_hochberg(&[0.03, 0.01, 0.04]).unwrap();
        // .04 × 3/3; then .03 × 3/2 is lowered to it; .01 × 3.
        for (found, expected) in adjusted.iter().zip([0.04, 0.03, 0.04]) {
            assert!((found - expected).abs() < 1e-16);
        }
        assert_eq!(benjamini_hochberg(&[]), Ok(Vec::new()));
        assert!(benjamini_hochberg(&[f64::NAN]).is_err());
    }

    #[test]
    fn never_above_holm() {
        let p_values = [0.001, 0.2, 0.03, 0.04, 0.9, 0.012];
        let fdr = benjamini_hochberg(&p_values).unwrap();
        let family = crate::holm::holm(&p_values).unwrap();
        assert!(fdr.iter().zip(&family).all(|(a, b)| a <= b));
    }
}

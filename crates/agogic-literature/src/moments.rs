//! Skewness and kurtosis, as printed by the studies.

use agogic_stats::mean;

/// Central moment of order `k` with divisor n.
fn central(values: &[f64], k: usize) -> Option<f64> {
    let center = mean(values)?;
    mean(&values.iter().map(|v| std::iter::repeat_n(v - center, k).product()).collect::<Vec<f64>>())
}

/// Skewness.
///
/// # Definition
/// m₃ / m₂^1.5 with central moments of divisor n.
///
/// # Undefined
/// `None` for no values, values that are not finite, or no spread.
pub fn skewness(values: &[f64]) -> Option<f64> {
    let m2 = central(values, 2)?;
    (m2 > 0.0).then_some(central(values, 3)? / m2.powf(1.5))
}

/// Excess kurtosis: zero for a normal distribution.
///
/// # Definition
/// m₄ / m₂² − 3 with central moments of divisor n.
///
/// # Undefined
/// As [`skewness`].
pub fn excess_kurtosis(values: &[f64]) -> Option<f64> {
    let m2 = central(values, 2)?;
    (m2 > 0.0).then_some(central(values, 4)? / (m2 * m2) - 3.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_hand() {
        // 0, 0, 0, 4: mean 1, m2 = 3, m3 = 6, m4 = 21.
        let values = [0.0, 0.0, 0.0, 4.0];
        assert!((skewness(&values).unwrap() - 6.0 / 3.0_f64.powf(1.5)).abs() < 1e-12);
        assert!((excess_kurtosis(&values).unwrap() - (21.0 / 9.0 - 3.0)).abs() < 1e-12);
    }

    #[test]
    fn undefined_without_spread() {
        for values in [&[][..], &[2.0, 2.0], &[1.0, f64::NAN]] {
            assert_eq!((skewness(values), excess_kurtosis(values)), (None, None));
        }
    }
}

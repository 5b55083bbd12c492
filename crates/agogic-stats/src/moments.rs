//! Mean, standard deviation and lag-1 autocorrelation.

use crate::sum::compensated_sum;

/// Mean of the values, with compensated summation.
///
/// # Undefined
/// `None` for no values, or if one is not finite.
pub fn mean(values: &[f64]) -> Option<f64> {
    if values.is_empty() || values.iter().any(|v| !v.is_finite()) {
        return None;
    }
    Some(compensated_sum(values.iter().copied()) / values.len() as f64)
}

/// Sample variance, with divisor n − 1.
///
/// # Definition
/// Σ(x − x̄)²/(n − 1) in two passes, less the square of what rounding left in
/// Σ(x − x̄).
///
/// # Undefined
/// `None` for fewer than two values, or if one is not finite.
///
/// # Source
/// Chan, Golub & LeVeque (1983), The American Statistician 37:242, equation 1.7.
pub fn variance(values: &[f64]) -> Option<f64> {
    let center = mean(values)?;
    if values.len() < 2 {
        return None;
    }
    let n = values.len() as f64;
    let squares = compensated_sum(values.iter().map(|v| (v - center) * (v - center)));
    let left = compensated_sum(values.iter().map(|v| v - center));
    Some((squares - left * left / n) / (n - 1.0))
}

/// Sample standard deviation, with divisor n − 1.
///
/// # Undefined
/// As [`variance`].
pub fn standard_deviation(values: &[f64]) -> Option<f64> {
    variance(values).map(f64::sqrt)
}

/// Lag-1 autocorrelation.
///
/// # Definition
/// r₁ = Σ(xᵢ − x̄)(xᵢ₊₁ − x̄) / Σ(xᵢ − x̄)², with the mean over all values in both.
///
/// # Undefined
/// `None` for fewer than two values, if one is not finite, or without spread.
///
/// # Source
/// Box & Jenkins (1976), Time Series Analysis, equation 2.1.11.
pub fn lag1_autocorrelation(values: &[f64]) -> Option<f64> {
    let center = mean(values)?;
    let squares = compensated_sum(values.iter().map(|v| (v - center) * (v - center)));
    if squares <= 0.0 {
        return None;
    }
    let products = values.windows(2).map(|pair| (pair[0] - center) * (pair[1] - center));
    Some(compensated_sum(products) / squares)
}

/// Count, mean and spread of values seen one at a time.
///
/// Two of them merge exactly as if the values had come in one stream, up to
/// rounding. For bit-identical results merge in a fixed order.
///
/// # Source
/// Welford (1962), Technometrics 4:419; Chan, Golub & LeVeque (1983), The
/// American Statistician 37:242, equation 2.1, for the merge.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Moments {
    count: u64,
    mean: f64,
    squares: f64,
}

impl Moments {
    /// No values yet.
    pub fn new() -> Self {
        Moments::default()
    }

    /// Adds a value; a value that is not finite makes mean and spread undefined.
    pub fn push(&mut self, value: f64) {
        self.count += 1;
        let before = value - self.mean;
        self.mean += before / self.count as f64;
        self.squares += before * (value - self.mean);
    }

    /// Adds the values of another.
    pub fn merge(&mut self, other: &Moments) {
        if other.count == 0 {
            return;
        }
        if self.count == 0 {
            *self = *other;
            return;
        }
        let (n, m) = (self.count as f64, other.count as f64);
        let apart = other.mean - self.mean;
        self.count += other.count;
        self.mean += apart * m / (n + m);
        self.squares += other.squares + apart * apart * n * m / (n + m);
    }

    /// Number of values.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// Mean; `None` before the first value or after one that is not finite.
    pub fn mean(&self) -> Option<f64> {
        (self.count > 0 && self.mean.is_finite()).then_some(self.mean)
    }

    /// Variance with divisor n − 1; `None` before the second value.
    pub fn variance(&self) -> Option<f64> {
        (self.count > 1 && self.squares.is_finite()).then(|| self.squares / (self.count as f64 - 1.0))
    }

    /// Standard deviation with divisor n − 1; `None` before the second value.
    pub fn standard_deviation(&self) -> Option<f64> {
        self.variance().map(f64::sqrt)
    }

    /// Standard error of the mean; `None` before the second value.
    pub fn standard_error(&self) -> Option<f64> {
        self.variance().map(|variance| (variance / self.count as f64).sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_few_values() {
        assert_eq!((mean(&[]), variance(&[1.0])), (None, None));
        assert_eq!(lag1_autocorrelation(&[2.0, 2.0]), None);
        assert_eq!(mean(&[1.0, f64::NAN]), None);
        let mut one = Moments::new();
        assert_eq!(one.mean(), None);
        one.push(3.0);
        assert_eq!((one.mean(), one.variance(), one.standard_error()), (Some(3.0), None, None));
        one.push(f64::INFINITY);
        assert_eq!((one.mean(), one.variance()), (None, None));
    }

    #[test]
    fn merging_equals_one_stream() {
        let values: Vec<f64> = (0..40).map(|i| 1e6 + f64::from(i * i % 17)).collect();
        for split in [0, 1, 13, 40] {
            let mut parts = [Moments::new(), Moments::new()];
            for (i, value) in values.iter().enumerate() {
                parts[usize::from(i >= split)].push(*value);
            }
            let [mut left, right] = parts;
            left.merge(&right);
            assert_eq!(left.count(), 40);
            let exact = (mean(&values).unwrap(), variance(&values).unwrap());
            assert!((left.mean().unwrap() - exact.0).abs() < 1e-9);
            assert!((left.variance().unwrap() / exact.1 - 1.0).abs() < 1e-9);
        }
    }
}

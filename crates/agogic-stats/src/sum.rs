//! Compensated summation.

/// Sum of the values with the rounding error carried along.
///
/// # Source
/// Neumaier (1974), ZAMM 54:39.
pub(crate) fn compensated_sum(values: impl IntoIterator<Item = f64>) -> f64 {
    let (mut sum, mut lost) = (0.0f64, 0.0f64);
    for value in values {
        let next = sum + value;
        lost += if sum.abs() >= value.abs() { (sum - next) + value } else { (value - next) + sum };
        sum = next;
    }
    sum + lost
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keeps_what_a_plain_sum_loses() {
        let values = [1.0, 1e100, 1.0, -1e100];
        assert_eq!(values.iter().sum::<f64>(), 0.0);
        assert_eq!(compensated_sum(values), 2.0);
        assert_eq!(compensated_sum([]), 0.0);
    }
}

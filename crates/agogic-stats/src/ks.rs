//! The Kolmogorov–Smirnov test with the exact distribution.

use std::f64::consts::PI;

use thiserror::Error;

/// Up to this size the matrix method is used in the body of the distribution.
const MATRIX_UP_TO: u64 = 500;

/// From this n d² on, twice the one-sided tail is exact to ten digits: both
/// sides together exceed the limit with a probability of order exp(−8 n d²).
const ONE_SIDED_FROM: f64 = 4.0;

/// Why a Kolmogorov–Smirnov test cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum KsError {
    /// There are no values.
    #[error("test no values: at least 1 is needed")]
    Empty,
    /// A value is not a number.
    #[error("read the value {value} at position {index}: it must be a number")]
    Value {
        /// Position of the value.
        index: usize,
        /// The value.
        value: f64,
    },
    /// The distribution to test against is not one.
    #[error("read the probability {probability} at the value {value}: it must lie between 0 and 1")]
    Probability {
        /// Where it was asked for.
        value: f64,
        /// The probability given.
        probability: f64,
    },
}

/// Result of a one-sample Kolmogorov–Smirnov test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KolmogorovSmirnov {
    /// Greatest distance between the two distribution functions.
    pub statistic: f64,
    /// Probability of a distance at least as great.
    pub p_value: f64,
    /// Number of values.
    pub n: u64,
}

/// Tests whether values come from a fully specified continuous distribution.
///
/// # Definition
/// D = max over i of max(i/n − F(xᵢ), F(xᵢ) − (i − 1)/n), with p from
/// [`ks_upper`]. If parameters of F were fitted to the same values, p is far
/// too large.
///
/// # Errors
/// No values, one that is NaN, or a function that leaves 0 to 1.
///
/// # Source
/// Massey (1951), Journal of the American Statistical Association 46:68.
pub fn kolmogorov_smirnov(values: &[f64], cdf: impl Fn(f64) -> f64) -> Result<KolmogorovSmirnov, KsError> {
    if values.is_empty() {
        return Err(KsError::Empty);
    }
    if let Some((index, &value)) = values.iter().enumerate().find(|(_, v)| v.is_nan()) {
        return Err(KsError::Value { index, value });
    }
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let n = sorted.len() as f64;
    let mut statistic = 0.0f64;
    for (i, &value) in sorted.iter().enumerate() {
        let probability = cdf(value);
        if !(0.0..=1.0).contains(&probability) {
            return Err(KsError::Probability { value, probability });
        }
        statistic = statistic.max((i + 1) as f64 / n - probability).max(probability - i as f64 / n);
    }
    let n = sorted.len() as u64;
    Ok(KolmogorovSmirnov { statistic, p_value: ks_upper(n, statistic), n })
}

/// Probability that D of n values is at least `d`.
///
/// # Definition
/// The matrix method for n ≤ 500; the Pelz–Good expansion beyond, with an error
/// below 10⁻⁶; in the upper tail twice the one-sided probability of Smirnov.
///
/// # Undefined
/// NaN for n = 0 or NaN.
///
/// # Source
/// Marsaglia, Tsang & Wang (2003), Journal of Statistical Software 8(18);
/// Simard & L'Ecuyer (2011), Journal of Statistical Software 39(11).
pub fn ks_upper(n: u64, d: f64) -> f64 {
    let size = n as f64;
    if n == 0 || d.is_nan() {
        f64::NAN
    } else if d <= 0.5 / size {
        1.0
    } else if d >= 1.0 {
        0.0
    } else if d >= 0.5 || size * d * d >= ONE_SIDED_FROM {
        2.0 * one_sided(size, d)
    } else if n <= MATRIX_UP_TO {
        1.0 - by_matrix(n, d)
    } else {
        1.0 - pelz_good(size, d)
    }
}

/// P(D⁺ ≥ d) = d Σ C(n, j) (d + j/n)ʲ⁻¹ (1 − d − j/n)ⁿ⁻ʲ over j ≤ n(1 − d).
fn one_sided(n: f64, d: f64) -> f64 {
    let whole = libm::lgamma(n + 1.0);
    let mut sum = 0.0;
    let mut j = 0.0;
    while j < n * (1.0 - d) {
        let (below, above) = (d + j / n, 1.0 - d - j / n);
        if above > 0.0 {
            let choose = whole - libm::lgamma(j + 1.0) - libm::lgamma(n - j + 1.0);
            sum += libm::exp(choose + (j - 1.0) * libm::log(below) + (n - j) * libm::log(above));
        }
        j += 1.0;
    }
    (d * sum).min(1.0)
}

/// P(D < d) as an entry of the n-th power of a matrix, with its scale kept apart.
fn by_matrix(n: u64, d: f64) -> f64 {
    let size = n as f64;
    let k = (size * d).floor() as usize + 1;
    let m = 2 * k - 1;
    let h = k as f64 - size * d;
    let mut matrix = vec![0.0; m * m];
    for i in 0..m {
        for j in 0..m.min(i + 2) {
            matrix[i * m + j] = 1.0;
        }
    }
    for i in 0..m {
        matrix[i * m] -= libm::pow(h, (i + 1) as f64);
        matrix[(m - 1) * m + i] -= libm::pow(h, (m - i) as f64);
    }
    if 2.0 * h > 1.0 {
        matrix[(m - 1) * m] += libm::pow(2.0 * h - 1.0, m as f64);
    }
    for i in 0..m {
        for j in 0..m.min(i + 2) {
            for divisor in 1..=(i + 1).saturating_sub(j) {
                matrix[i * m + j] /= divisor as f64;
            }
        }
    }
    let (power, mut exponent) = power(&matrix, m, n);
    let mut result = power[(k - 1) * m + k - 1];
    for i in 1..=n {
        result *= i as f64 / size;
        if result < 1e-140 {
            result *= 1e140;
            exponent -= 140;
        }
    }
    result * libm::pow(10.0, f64::from(exponent))
}

/// The n-th power of a square matrix as (matrix, power of ten).
fn power(matrix: &[f64], m: usize, n: u64) -> (Vec<f64>, i32) {
    let product = |a: &[f64], b: &[f64]| {
        let mut c = vec![0.0; m * m];
        for i in 0..m {
            for l in 0..m {
                let factor = a[i * m + l];
                for j in 0..m {
                    c[i * m + j] += factor * b[l * m + j];
                }
            }
        }
        c
    };
    if n == 1 {
        return (matrix.to_vec(), 0);
    }
    let (half, exponent) = power(matrix, m, n / 2);
    let square = product(&half, &half);
    let (mut result, mut exponent) = (square, 2 * exponent);
    if n % 2 == 1 {
        result = product(matrix, &result);
    }
    if result[(m / 2) * m + m / 2] > 1e140 {
        result.iter_mut().for_each(|v| *v *= 1e-140);
        exponent += 140;
    }
    (result, exponent)
}

/// P(D < d) by the expansion of Pelz & Good (1976), as given by Simard &
/// L'Ecuyer (2011), equations 4 to 8.
fn pelz_good(n: f64, d: f64) -> f64 {
    let z = libm::sqrt(n) * d;
    let square = z * z;
    let p2 = PI * PI;
    let power = |degree: i32| z.powi(degree);
    let terms = libm::ceil(16.0 * z / PI) as i32;
    let (mut k0, mut k1, mut k2, mut k3) = (0.0, 0.0, 0.0, 0.0);
    let (mut k2_even, mut k3_even) = (0.0, 0.0);
    for k in (1..=terms).rev() {
        let m2 = f64::from((2 * k - 1) * (2 * k - 1));
        let odd = libm::exp(-p2 * m2 / (8.0 * square));
        k0 += odd;
        k1 += odd * (-square + p2 / 4.0 * m2);
        k2 += odd
            * (6.0 * power(6)
                + 2.0 * power(4)
                + (2.0 * power(4) - 5.0 * square) * p2 / 4.0 * m2
                + p2 * p2 * (1.0 - 2.0 * square) / 16.0 * m2 * m2);
        k3 += odd
            * (-30.0 * power(6) - 90.0 * power(8)
                + p2 * (135.0 * power(4) - 96.0 * power(6)) / 4.0 * m2
                + p2 * p2 * (-60.0 * square + 212.0 * power(4)) / 16.0 * m2 * m2
                + p2 * p2 * p2 * (5.0 - 30.0 * square) / 64.0 * m2 * m2 * m2);
        let whole = f64::from(k * k);
        let even = libm::exp(-p2 * whole / (2.0 * square));
        k2_even += whole * even;
        k3_even += (3.0 * square - p2 * whole) * whole * even;
    }
    let root = libm::sqrt(2.0 * PI);
    let first = root / z * k0;
    let second = root / (6.0 * power(4)) * k1;
    let third = root / (72.0 * power(7)) * k2 - root * p2 / (36.0 * power(3)) * k2_even;
    let fourth = root / (6480.0 * power(10)) * k3 + root * p2 / (216.0 * power(6)) * k3_even;
    (first + second / libm::sqrt(n) + third / n + fourth / (n * libm::sqrt(n))).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_and_two_values_closed_form() {
        // P(D₁ < d) = 2d − 1; P(D₂ < d) = 2(2d − ½)² for ¼ ≤ d ≤ ½.
        for d in [0.55, 0.8, 0.99] {
            assert!((ks_upper(1, d) - (2.0 - 2.0 * d)).abs() < 1e-14, "{d}");
        }
        for d in [0.26, 0.4, 0.49] {
            assert!((ks_upper(2, d) - 1.0 + 2.0 * (2.0 * d - 0.5f64).powi(2)).abs() < 1e-14, "{d}");
        }
    }

    #[test]
    fn methods_agree_where_they_meet() {
        for z in [0.5, 0.9, 1.3, 1.9f64] {
            let d = z / 500f64.sqrt();
            let (exact, expansion) = (by_matrix(500, d), pelz_good(500.0, d));
            assert!((exact - expansion).abs() < 1e-6, "{z} {exact} {expansion}");
        }
        let d = (4.0 / 300.0f64).sqrt();
        let (tail, matrix) = (2.0 * one_sided(300.0, d), 1.0 - by_matrix(300, d));
        assert!((tail / matrix - 1.0).abs() < 1e-8, "{tail} {matrix}");
    }

    #[test]
    fn the_statistic_by_hand() {
        // F is the identity on 0 to 1: distances .5 − .1 at the second value.
        let test = kolmogorov_smirnov(&[0.1, 0.05, 0.9, 0.8], |x| x).unwrap();
        assert!((test.statistic - 0.4).abs() < 1e-15);
        assert!(test.p_value > 0.3 && test.p_value < 0.6);
    }

    #[test]
    fn edges_and_nonsense() {
        assert_eq!((ks_upper(10, 0.05), ks_upper(10, 1.0)), (1.0, 0.0));
        assert!(ks_upper(0, 0.5).is_nan() && ks_upper(3, f64::NAN).is_nan());
        assert_eq!(kolmogorov_smirnov(&[], |x| x), Err(KsError::Empty));
        assert!(kolmogorov_smirnov(&[f64::NAN], |x| x).is_err());
        assert!(kolmogorov_smirnov(&[2.0], |x| x).is_err());
    }
}

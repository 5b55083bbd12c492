//! The standard normal distribution.

use std::f64::consts::{FRAC_1_SQRT_2, PI, SQRT_2};

use statrs::function::erf::erfc_inv;

/// Density of the standard normal at `z`.
pub fn normal_density(z: f64) -> f64 {
    libm::exp(-0.5 * z * z) / libm::sqrt(2.0 * PI)
}

/// Probability that a standard normal is at most `z`.
pub fn normal_lower(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// Probability that a standard normal exceeds `z`, without cancellation.
pub fn normal_upper(z: f64) -> f64 {
    0.5 * libm::erfc(z * FRAC_1_SQRT_2)
}

/// Logarithm of [`normal_lower`], also where that underflows.
pub(crate) fn ln_normal_lower(z: f64) -> f64 {
    if z > -20.0 {
        return libm::log(normal_lower(z));
    }
    // Abramowitz & Stegun (1964), 26.2.12; the next term is below 10⁻¹².
    let s = 1.0 / (z * z);
    let series = 1.0 - s * (1.0 - 3.0 * s * (1.0 - 5.0 * s * (1.0 - 7.0 * s)));
    -0.5 * z * z - libm::log(-z * libm::sqrt(2.0 * PI)) + libm::log(series)
}

/// The point with probability `p` below it.
///
/// # Undefined
/// NaN unless 0 < p < 1.
pub fn normal_quantile(p: f64) -> f64 {
    -normal_upper_quantile(p)
}

/// The point with probability `q` above it.
///
/// # Undefined
/// NaN unless 0 < q < 1.
pub fn normal_upper_quantile(q: f64) -> f64 {
    if q > 0.0 && q < 1.0 { SQRT_2 * erfc_inv(2.0 * q) } else { f64::NAN }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_quantile_inverts_the_tail() {
        for q in [1e-300, 1e-20, 1e-9, 0.025, 0.3, 0.5, 0.7, 0.999] {
            let back = normal_upper(normal_upper_quantile(q));
            // The tail amplifies an error in z by about z².
            let tolerance = 1e-14 * (1.0 - 2.0 * q.ln()).max(1.0);
            assert!((back / q - 1.0).abs() < tolerance, "{q} {back}");
        }
    }

    #[test]
    fn the_log_tail_is_smooth_where_the_method_changes() {
        let [above, below] = [-19.999_999_999, -20.000_000_001].map(ln_normal_lower);
        // The slope there is −z to one part in z².
        assert!((below - above + 20.05 * 2e-9).abs() < 1e-9, "{above} {below}");
        assert!((ln_normal_lower(-37.0) / libm::log(normal_lower(-37.0)) - 1.0).abs() < 1e-14);
        assert!(ln_normal_lower(-1e6).is_finite());
    }

    #[test]
    fn symmetric_and_total() {
        assert_eq!(normal_quantile(0.5).abs(), 0.0);
        assert_eq!(normal_lower(1.3) + normal_upper(1.3), 1.0);
        assert!((normal_density(0.0) - 0.398_942_280_401_432_7).abs() < 1e-16);
        for bad in [0.0, 1.0, -1.0, f64::NAN] {
            assert!(normal_quantile(bad).is_nan());
        }
    }
}

//! The standard normal distribution.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

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

/// The point with probability `q` above it, to about 16 digits.
///
/// Only operations that round in the same way on every platform are used, since
/// random draws are made with it.
///
/// # Undefined
/// NaN unless 0 < q < 1.
///
/// # Source
/// Wichura (1988), Applied Statistics 37:477, algorithm AS 241, PPND16.
pub fn normal_upper_quantile(q: f64) -> f64 {
    if !(q > 0.0 && q < 1.0) {
        return f64::NAN;
    }
    let center = 0.5 - q;
    if center.abs() <= 0.425 {
        let r = 0.180625 - center * center;
        return center * rational(r, &RATIOS[0]);
    }
    let r = libm::sqrt(-libm::log(if center > 0.0 { q } else { 1.0 - q }));
    let size = if r <= 5.0 { rational(r - 1.6, &RATIOS[1]) } else { rational(r - 5.0, &RATIOS[2]) };
    if center > 0.0 { size } else { -size }
}

/// Quotient of two polynomials whose highest coefficients come first.
fn rational(x: f64, [above, below]: &[[f64; 8]; 2]) -> f64 {
    let value = |coefficients: &[f64; 8]| coefficients.iter().fold(0.0, |sum, c| sum * x + c);
    value(above) / value(below)
}

/// Numerator and denominator of AS 241 for |q − ½| ≤ .425, beyond, and far out.
#[expect(clippy::excessive_precision, reason = "digits as printed")]
const RATIOS: [[[f64; 8]; 2]; 3] = [
    [
        [
            2509.0809287301226727,
            33430.575583588128105,
            67265.770927008700853,
            45921.953931549871457,
            13731.693765509461125,
            1971.5909503065514427,
            133.14166789178437745,
            3.387132872796366608,
        ],
        [
            5226.495278852545925,
            28729.085735721942674,
            39307.89580009271061,
            21213.794301586595867,
            5394.1960214247511077,
            687.1870074920579083,
            42.313330701600911252,
            1.0,
        ],
    ],
    [
        [
            7.7454501427834140764e-4,
            0.0227238449892691845833,
            0.24178072517745061177,
            1.27045825245236838258,
            3.64784832476320460504,
            5.7694972214606914055,
            4.6303378461565452959,
            1.42343711074968357734,
        ],
        [
            1.05075007164441684324e-9,
            5.475938084995344946e-4,
            0.0151986665636164571966,
            0.14810397642748007459,
            0.68976733498510000455,
            1.6763848301838038494,
            2.05319162663775882187,
            1.0,
        ],
    ],
    [
        [
            2.01033439929228813265e-7,
            2.71155556874348757815e-5,
            0.0012426609473880784386,
            0.026532189526576123093,
            0.29656057182850489123,
            1.7848265399172913358,
            5.4637849111641143699,
            6.6579046435011037772,
        ],
        [
            2.04426310338993978564e-15,
            1.4215117583164458887e-7,
            1.8463183175100546818e-5,
            7.868691311456132591e-4,
            0.0148753612908506148525,
            0.13692988092273580531,
            0.59983220655588793769,
            1.0,
        ],
    ],
];

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

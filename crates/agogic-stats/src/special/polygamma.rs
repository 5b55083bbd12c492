//! Digamma and trigamma functions.

/// Below this the argument is moved up by the recurrence before the asymptotic
/// series is summed; the first term left out is then below 10⁻¹⁷.
const SERIES_FROM: f64 = 12.0;

/// ψ(x), the slope of ln Γ(x), for x > 0.
///
/// # Definition
/// ψ(x + 1) = ψ(x) + 1/x until the argument is 12, then
/// ln x − 1/(2x) − Σ B₂ₖ/(2k x²ᵏ).
///
/// # Undefined
/// NaN unless x > 0.
///
/// # Source
/// Abramowitz & Stegun (1964), 6.3.5 and 6.3.18.
pub fn digamma(x: f64) -> f64 {
    if x.is_nan() || x <= 0.0 {
        return f64::NAN;
    }
    let (mut x, mut moved) = (x, 0.0);
    while x < SERIES_FROM {
        moved += 1.0 / x;
        x += 1.0;
    }
    let s = 1.0 / (x * x);
    let series = s
        * (1.0 / 12.0
            - s * (1.0 / 120.0
                - s * (1.0 / 252.0
                    - s * (1.0 / 240.0 - s * (1.0 / 132.0 - s * (691.0 / 32760.0 - s * (1.0 / 12.0)))))));
    libm::log(x) - 0.5 / x - series - moved
}

/// ψ′(x), the slope of [`digamma`], for x > 0.
///
/// # Definition
/// ψ′(x + 1) = ψ′(x) − 1/x² until the argument is 12, then
/// 1/x + 1/(2x²) + Σ B₂ₖ/x²ᵏ⁺¹.
///
/// # Undefined
/// NaN unless x > 0.
///
/// # Source
/// Abramowitz & Stegun (1964), 6.4.6 and 6.4.12.
pub fn trigamma(x: f64) -> f64 {
    if x.is_nan() || x <= 0.0 {
        return f64::NAN;
    }
    let (mut x, mut moved) = (x, 0.0);
    while x < SERIES_FROM {
        moved += 1.0 / (x * x);
        x += 1.0;
    }
    let s = 1.0 / (x * x);
    let series = s
        * (1.0 / 6.0
            - s * (1.0 / 30.0
                - s * (1.0 / 42.0 - s * (1.0 / 30.0 - s * (5.0 / 66.0 - s * (691.0 / 2730.0 - s * (7.0 / 6.0)))))));
    moved + 1.0 / x + 0.5 * s + series / x
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    const EULER: f64 = 0.577_215_664_901_532_9;

    /// Abramowitz & Stegun (1964), 6.3.2, 6.3.3 and 6.4.4.
    #[test]
    fn closed_forms() {
        assert!((digamma(1.0) + EULER).abs() < 1e-15);
        assert!((digamma(0.5) + EULER + 2.0 * 2f64.ln()).abs() < 4e-15);
        assert!((trigamma(1.0) - PI * PI / 6.0).abs() < 4e-16);
        assert!((trigamma(0.5) - PI * PI / 2.0).abs() < 2e-15);
    }

    #[test]
    fn the_recurrence_holds_across_the_change_of_method() {
        for x in [0.1, 3.7, 11.9, 12.1, 500.0, 1e8] {
            let relative = |found: f64, expected: f64| (found / expected - 1.0).abs();
            assert!(relative(digamma(x + 1.0), digamma(x) + 1.0 / x) < 1e-14, "{x}");
            assert!(relative(trigamma(x + 1.0), trigamma(x) - 1.0 / (x * x)) < 1e-13, "{x}");
        }
        for bad in [0.0, -1.0, f64::NAN] {
            assert!(digamma(bad).is_nan() && trigamma(bad).is_nan());
        }
    }
}

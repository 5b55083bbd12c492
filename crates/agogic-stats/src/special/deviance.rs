//! The two pieces of Loader's saddle-point expansion.
//!
//! Source: C. Loader (2000), "Fast and accurate computation of binomial
//! probabilities", Bell Labs technical report, sections 2 and 3.

/// ln √(2π).
const LN_SQRT_2PI: f64 = 0.918_938_533_204_672_8;

/// Above this the asymptotic series for [`stirling_error`] is exact to rounding.
const SERIES_FROM: f64 = 15.0;

/// Error of Stirling's formula, ln Γ(n+1) − [(n+½) ln n − n + ln √(2π)].
///
/// The series keeps five terms. The first one left out is below 3·10⁻¹⁶ at
/// n = 15.
pub(crate) fn stirling_error(n: f64) -> f64 {
    if n <= SERIES_FROM {
        return libm::lgamma(n + 1.0) - (n + 0.5) * libm::log(n) + n - LN_SQRT_2PI;
    }
    const TERMS: [f64; 5] = [1.0 / 12.0, -1.0 / 360.0, 1.0 / 1260.0, -1.0 / 1680.0, 1.0 / 1188.0];
    let inverse_square = 1.0 / (n * n);
    let series = TERMS.iter().rev().fold(0.0, |sum, term| sum * inverse_square + term);
    series / n
}

/// Poisson deviance without cancellation, x ln(x/μ) + μ − x.
///
/// Near x = μ the direct formula loses all digits, so a series in
/// (x − μ)/(x + μ) is used there.
pub(crate) fn deviance(x: f64, mean: f64) -> f64 {
    if x == 0.0 {
        return mean;
    }
    if (x - mean).abs() < 0.1 * (x + mean) {
        let v = (x - mean) / (x + mean);
        let mut sum = (x - mean) * v;
        let mut term = 2.0 * x * v;
        let v2 = v * v;
        let mut odd = 1.0;
        loop {
            term *= v2;
            odd += 2.0;
            let next = sum + term / odd;
            if next == sum {
                return sum;
            }
            sum = next;
        }
    }
    x * libm::log(x / mean) + mean - x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stirling_error_is_continuous_at_the_switch() {
        // ln 15! = 27.899271383840890; the series and the direct form must agree.
        let direct = stirling_error(SERIES_FROM);
        let series = stirling_error(SERIES_FROM + 1e-12);
        assert!((direct - series).abs() < 2e-14, "{direct} {series}");
    }

    #[test]
    fn stirling_error_reproduces_factorials() {
        let mut ln_factorial = 0.0f64;
        for n in 1..=60u32 {
            let n = f64::from(n);
            ln_factorial += n.ln();
            let stirling = (n + 0.5) * n.ln() - n + LN_SQRT_2PI + stirling_error(n);
            assert!((stirling - ln_factorial).abs() < 1e-12 * ln_factorial.max(1.0), "{n}");
        }
    }

    #[test]
    fn deviance_has_no_cancellation() {
        // For μ = x(1 + ε): x[ε²/2 − ε³/3 + …].
        let (x, epsilon) = (1e9, 1e-6);
        let exact = x * (epsilon * epsilon / 2.0 - epsilon * epsilon * epsilon / 3.0);
        let relative = deviance(x, x * (1.0 + epsilon)) / exact - 1.0;
        assert!(relative.abs() < 1e-9, "{relative}");
        assert_eq!(deviance(0.0, 3.5), 3.5);
        assert_eq!(deviance(7.0, 7.0), 0.0);
    }
}

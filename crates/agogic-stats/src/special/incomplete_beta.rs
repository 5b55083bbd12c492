//! The regularised incomplete beta function and its inverse.

use super::Tail;
use super::deviance::{deviance, stirling_error};
use super::search::increasing_root;

/// Steps after which the continued fraction is declared not to converge.
///
/// It needs about 5·√max(a, b) steps in the worst place, the mean, so this
/// covers parameters up to about 10¹¹.
const MAX_STEPS: u32 = 2_000_000;

/// Both tails of a beta distribution at one point, and the power term.
#[derive(Debug, Clone, Copy)]
pub(crate) struct BetaTails {
    /// I_x(a, b).
    pub(crate) lower: f64,
    /// 1 − I_x(a, b), without cancellation.
    pub(crate) upper: f64,
    /// xᵃ(1−x)ᵇ / B(a, b), which is also dI/d(logit x).
    pub(crate) power: f64,
}

/// Computes both tails at `x`, with `y` = 1 − x given apart.
///
/// Passing both keeps precision when one of them is tiny. The continued
/// fraction is used on the side of the mean where it converges fast; the other
/// tail is the complement, which is never the smaller by much.
pub(crate) fn beta_tails(a: f64, b: f64, x: f64, y: f64) -> BetaTails {
    if !(a > 0.0 && b > 0.0 && a.is_finite() && b.is_finite() && x >= 0.0 && y >= 0.0) {
        return BetaTails { lower: f64::NAN, upper: f64::NAN, power: f64::NAN };
    }
    if x == 0.0 {
        return BetaTails { lower: 0.0, upper: 1.0, power: 0.0 };
    }
    if y == 0.0 {
        return BetaTails { lower: 1.0, upper: 0.0, power: 0.0 };
    }
    let power = power_term(a, b, x, y);
    if x <= (a + 1.0) / (a + b + 2.0) {
        let lower = power / continued_fraction(a, b, x, y);
        BetaTails { lower, upper: 1.0 - lower, power }
    } else {
        let upper = power / continued_fraction(b, a, y, x);
        BetaTails { lower: 1.0 - upper, upper, power }
    }
}

/// xᵃ(1−x)ᵇ / B(a, b) by the saddle-point expansion.
fn power_term(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let n = a + b;
    let exponent = stirling_error(n) - stirling_error(a) - stirling_error(b) - deviance(a, n * x) - deviance(b, n * y);
    libm::sqrt(a * b / (2.0 * std::f64::consts::PI * n)) * libm::exp(exponent)
}

/// Denominator F with I_x(a, b) = power / F, by the modified Lentz method.
///
/// Source: DiDonato & Morris (1992), "Algorithm 708", ACM TOMS 18:360,
/// equation 9.
fn continued_fraction(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let drift = a * y - b * x + 1.0;
    let denominator = |m: f64| {
        let odd = a + 2.0 * m;
        let mut value = m + (a + m) * (drift + m * (2.0 - x)) / (odd + 1.0);
        if m > 0.0 {
            value += m * (b - m) * x / (odd - 1.0);
        }
        value
    };
    let tiny = f64::MIN_POSITIVE;
    let mut fraction = denominator(0.0);
    let (mut c, mut d) = (fraction, 0.0);
    for step in 1..=MAX_STEPS {
        let m = f64::from(step);
        let odd = a + 2.0 * m - 1.0;
        let numerator = m * ((a + m - 1.0) / odd) * ((a + b + m - 1.0) / odd) * (b - m) * x * x;
        let partial = denominator(m);
        d = partial + numerator * d;
        if d == 0.0 {
            d = tiny;
        }
        c = partial + numerator / c;
        if c == 0.0 {
            c = tiny;
        }
        d = 1.0 / d;
        let factor = c * d;
        fraction *= factor;
        if (factor - 1.0).abs() <= f64::EPSILON {
            return fraction;
        }
    }
    f64::NAN
}

/// logit(x) where the given tail of Beta(a, b) holds `probability`.
pub(crate) fn beta_logit_quantile(a: f64, b: f64, probability: f64, tail: Tail) -> f64 {
    if !(probability > 0.0 && probability < 1.0) {
        return f64::NAN;
    }
    let target = libm::log(probability);
    increasing_root(libm::log(a / b), |u| {
        let tails = beta_tails(a, b, logistic(u), logistic(-u));
        match tail {
            Tail::Lower => (libm::log(tails.lower) - target, tails.power / tails.lower),
            Tail::Upper => (target - libm::log(tails.upper), tails.power / tails.upper),
        }
    })
}

/// 1 / (1 + e⁻ᵘ).
fn logistic(u: f64) -> f64 {
    1.0 / (1.0 + libm::exp(-u))
}

/// Probability that a Beta(`a`, `b`) variable is at most `x`.
///
/// # Definition
/// I_x(a, b) = ∫₀ˣ tᵃ⁻¹(1−t)ᵇ⁻¹ dt / B(a, b).
///
/// # Undefined
/// NaN unless a and b are positive and finite and 0 ≤ x ≤ 1.
pub fn beta_lower(a: f64, b: f64, x: f64) -> f64 {
    beta_tails(a, b, x, 1.0 - x).lower
}

/// Probability that a Beta(`a`, `b`) variable exceeds `x`.
///
/// # Undefined
/// As [`beta_lower`].
pub fn beta_upper(a: f64, b: f64, x: f64) -> f64 {
    beta_tails(a, b, x, 1.0 - x).upper
}

/// The point with probability `p` below it under Beta(`a`, `b`).
///
/// # Undefined
/// NaN unless a and b are positive and finite and 0 < p < 1.
pub fn beta_quantile(a: f64, b: f64, p: f64) -> f64 {
    logistic(beta_logit_quantile(a, b, p, Tail::Lower))
}

/// The point with probability `q` above it under Beta(`a`, `b`).
///
/// Separate from [`beta_quantile`] because 1 − q cannot hold a small q.
///
/// # Undefined
/// As [`beta_quantile`].
pub fn beta_upper_quantile(a: f64, b: f64, q: f64) -> f64 {
    logistic(beta_logit_quantile(a, b, q, Tail::Upper))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closed_forms() {
        for x in [1e-9, 0.1, 0.5, 0.9, 0.999] {
            assert!((beta_lower(1.0, 1.0, x) / x - 1.0).abs() < 1e-14);
            let power = -f64::exp_m1(7.0 * f64::ln_1p(-x));
            assert!((beta_lower(1.0, 7.0, x) / power - 1.0).abs() < 1e-14);
            assert!((beta_lower(7.0, 1.0, x) / x.powi(7) - 1.0).abs() < 1e-13);
        }
    }

    #[test]
    fn edges_and_nonsense() {
        assert_eq!(beta_lower(2.0, 3.0, 0.0), 0.0);
        assert_eq!(beta_upper(2.0, 3.0, 1.0), 0.0);
        assert!(beta_lower(0.0, 1.0, 0.5).is_nan());
        assert!(beta_lower(1.0, f64::INFINITY, 0.5).is_nan());
        assert!(beta_quantile(1.0, 1.0, f64::NAN).is_nan());
        assert!(beta_quantile(1.0, 1.0, 1.0).is_nan());
    }

    #[test]
    fn the_quantile_inverts_the_tail() {
        for (a, b) in [(0.5, 0.5), (3.0, 1e9), (1e9, 3.0), (5e8, 5e8), (0.1, 40.0)] {
            for p in [1e-9, 0.025, 0.5, 0.975] {
                let u = beta_logit_quantile(a, b, p, Tail::Lower);
                let back = beta_tails(a, b, logistic(u), logistic(-u)).lower;
                assert!((back / p - 1.0).abs() < 1e-9, "{a} {b} {p} {back}");
            }
        }
    }
}

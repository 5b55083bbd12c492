//! The regularised incomplete gamma functions and their inverses.

use super::Tail;
use super::deviance::{deviance, stirling_error};
use super::search::increasing_root;

/// Steps after which the series or fraction is declared not to converge.
const MAX_STEPS: u32 = 5_000_000;

/// Both tails of a gamma distribution at one point, and the power term.
#[derive(Debug, Clone, Copy)]
struct GammaTails {
    lower: f64,
    upper: f64,
    /// xᵃe⁻ˣ / Γ(a), which is also dP/d(ln x).
    power: f64,
}

/// Series below a + 1, continued fraction above it; both positive-termed there.
///
/// Source: Abramowitz & Stegun (1964), 6.5.29 and 6.5.31.
fn gamma_tails(a: f64, x: f64) -> GammaTails {
    if !(a > 0.0 && a.is_finite() && x >= 0.0) {
        return GammaTails { lower: f64::NAN, upper: f64::NAN, power: f64::NAN };
    }
    if x == 0.0 {
        return GammaTails { lower: 0.0, upper: 1.0, power: 0.0 };
    }
    if x.is_infinite() {
        return GammaTails { lower: 1.0, upper: 0.0, power: 0.0 };
    }
    let exponent = -stirling_error(a) - deviance(a, x);
    let power = libm::sqrt(a / (2.0 * std::f64::consts::PI)) * libm::exp(exponent);
    if x < a + 1.0 {
        let lower = power * series(a, x);
        GammaTails { lower, upper: 1.0 - lower, power }
    } else {
        let upper = power / continued_fraction(a, x);
        GammaTails { lower: 1.0 - upper, upper, power }
    }
}

/// Σ xⁿ / (a(a+1)…(a+n)).
fn series(a: f64, x: f64) -> f64 {
    let mut term = 1.0 / a;
    let mut sum = term;
    for step in 1..=MAX_STEPS {
        term *= x / (a + f64::from(step));
        sum += term;
        if term <= sum * (0.5 * f64::EPSILON) {
            return sum;
        }
    }
    f64::NAN
}

/// Denominator F with Q(a, x) = power / F, by the modified Lentz method.
fn continued_fraction(a: f64, x: f64) -> f64 {
    let mut partial = x + 1.0 - a;
    let tiny = f64::MIN_POSITIVE;
    let mut fraction = if partial == 0.0 { tiny } else { partial };
    let (mut c, mut d) = (fraction, 0.0);
    for step in 1..=MAX_STEPS {
        let m = f64::from(step);
        let numerator = m * (a - m);
        partial += 2.0;
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

fn log_quantile(a: f64, probability: f64, tail: Tail) -> f64 {
    if !(probability > 0.0 && probability < 1.0) {
        return f64::NAN;
    }
    let target = libm::log(probability);
    increasing_root(libm::log(a), |u| {
        let tails = gamma_tails(a, libm::exp(u));
        match tail {
            Tail::Lower => (libm::log(tails.lower) - target, tails.power / tails.lower),
            Tail::Upper => (target - libm::log(tails.upper), tails.power / tails.upper),
        }
    })
}

/// Probability that a gamma variable of shape `a` and scale 1 is at most `x`.
///
/// # Definition
/// P(a, x) = ∫₀ˣ tᵃ⁻¹e⁻ᵗ dt / Γ(a).
///
/// # Undefined
/// NaN unless a is positive and finite and x ≥ 0.
pub fn gamma_lower(a: f64, x: f64) -> f64 {
    gamma_tails(a, x).lower
}

/// Probability that a gamma variable of shape `a` and scale 1 exceeds `x`.
///
/// # Undefined
/// As [`gamma_lower`].
pub fn gamma_upper(a: f64, x: f64) -> f64 {
    gamma_tails(a, x).upper
}

/// The point with probability `p` below it, for shape `a` and scale 1.
///
/// # Undefined
/// NaN unless a is positive and finite and 0 < p < 1. Points below 10⁻³²³
/// underflow to the smallest positive number.
pub fn gamma_quantile(a: f64, p: f64) -> f64 {
    libm::exp(log_quantile(a, p, Tail::Lower))
}

/// The point with probability `q` above it, for shape `a` and scale 1.
///
/// # Undefined
/// As [`gamma_quantile`].
pub fn gamma_upper_quantile(a: f64, q: f64) -> f64 {
    libm::exp(log_quantile(a, q, Tail::Upper))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exponential_closed_form() {
        for x in [1e-12, 0.3, 1.0, 2.0, 50.0] {
            assert!((gamma_lower(1.0, x) / -f64::exp_m1(-x) - 1.0).abs() < 1e-13);
            assert!((gamma_upper(1.0, x) / f64::exp(-x) - 1.0).abs() < 1e-13);
        }
    }

    #[test]
    fn a_small_shape_has_a_tiny_quantile() {
        // P(a, x) ≈ xᵃ/Γ(a+1) for small x, so x = (pΓ(1.1))^10.
        let expected = (1e-12 * libm::tgamma(1.1)).powi(10);
        let found = gamma_quantile(0.1, 1e-12);
        assert!((found / expected - 1.0).abs() < 1e-10, "{found} {expected}");
    }

    #[test]
    fn edges_and_nonsense() {
        assert_eq!(gamma_lower(2.0, 0.0), 0.0);
        assert_eq!(gamma_upper(2.0, f64::INFINITY), 0.0);
        assert!(gamma_lower(-1.0, 1.0).is_nan());
        assert!(gamma_lower(1.0, -1.0).is_nan());
        assert!(gamma_quantile(1.0, 0.0).is_nan());
    }

    #[test]
    fn the_quantile_inverts_the_tail() {
        for a in [0.5, 4.0, 1e3, 1e8] {
            for q in [1e-9, 0.025, 0.5] {
                let back = gamma_upper(a, gamma_upper_quantile(a, q));
                assert!((back / q - 1.0).abs() < 1e-9, "{a} {q} {back}");
            }
        }
    }
}

//! The mid-P interval.

use super::Trials;
use crate::estimate::Interval;
use crate::level::Level;
use crate::special::{beta_tails, logistic, search::increasing_root};

/// The mid-P interval: like the exact one, counting half of P(X = x).
///
/// # Definition
/// The lower limit is the p with P(X > x) + ½P(X = x) = α/2, the upper limit
/// the p with P(X < x) + ½P(X = x) = α/2; 0 at x = 0 and 1 at x = n. Shorter
/// than the exact interval; its coverage averages near the level.
///
/// # Source
/// Newcombe (1998), Statistics in Medicine 17:857, method 6.
pub fn mid_p(trials: Trials, level: Level) -> Interval {
    let (x, misses) = (trials.x(), trials.misses());
    let u = |x: f64, misses: f64| lower_logit(x, misses, level.tail());
    Interval {
        lo: if x > 0.0 { logistic(u(x, misses)) } else { 0.0 },
        // Events and misses exchanged: the logit changes sign.
        hi: if misses > 0.0 { logistic(-u(misses, x)) } else { 1.0 },
    }
}

/// Logit of the p where ½P(X ≥ x) + ½P(X ≥ x+1) = `tail`, for x > 0.
fn lower_logit(x: f64, misses: f64, tail: f64) -> f64 {
    let target = libm::log(tail);
    let start = libm::log(x / (misses + 1.0));
    increasing_root(start, |u| {
        let (p, q) = (logistic(u), logistic(-u));
        let at_least = beta_tails(x, misses + 1.0, p, q);
        let (above, above_slope) = if misses > 0.0 {
            let tails = beta_tails(x + 1.0, misses, p, q);
            (tails.lower, tails.power)
        } else {
            (0.0, 0.0)
        };
        let mean = 0.5 * (at_least.lower + above);
        let slope = 0.5 * (at_least.power + above_slope);
        (libm::log(mean) - target, slope / mean)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::binomial::{binomial_mass, binomial_upper};

    #[test]
    fn closed_form_at_zero_events() {
        // ½(1−p)²⁰ = .025.
        let interval = mid_p(Trials::new(0, 20).unwrap(), Level::P95);
        let exact = 1.0 - 0.05f64.powf(1.0 / 20.0);
        assert_eq!(interval.lo, 0.0);
        assert!((interval.hi - exact).abs() < 1e-14);
    }

    #[test]
    fn the_defining_equation_holds() {
        for (x, n) in [(1, 1), (1, 29), (15, 148), (3, 10_000_000)] {
            let t = Trials::new(x, n).unwrap();
            let lo = mid_p(t, Level::P95).lo;
            let half = binomial_upper(t, lo) - 0.5 * binomial_mass(t, lo);
            assert!((half - 0.025).abs() < 1e-10, "{x}/{n} {half}");
        }
    }
}

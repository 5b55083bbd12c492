//! Newcombe's hybrid score intervals for a difference of two proportions.

use crate::binomial::{Trials, wilson};
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::paired_counts::PairedCounts;

/// Difference of two independent proportions, p₁ − p₂.
///
/// # Definition
/// The distances from each proportion to its Wilson limits are combined as if
/// they were standard errors: the lower limit lies √[(p₁−l₁)² + (u₂−p₂)²] below,
/// the upper √[(u₁−p₁)² + (p₂−l₂)²] above.
///
/// # Undefined
/// No standard error is given: the interval does not rest on one.
///
/// # Source
/// Newcombe (1998), Statistics in Medicine 17:873, method 10.
pub fn newcombe_unpaired(first: Trials, second: Trials, level: Level, unit: &str) -> Estimate {
    let (p1, p2) = (first.proportion(), second.proportion());
    let (w1, w2) = (wilson(first, level), wilson(second, level));
    let interval = combine(p1, w1, p2, w2, 0.0);
    let n = first.trials() + second.trials();
    Estimate::new(p1 - p2, "newcombe, unpaired", level, unit, n).with_interval(interval)
}

/// Difference of two proportions of the same trials, p₁ − p₂.
///
/// # Definition
/// As [`newcombe_unpaired`] with the cross terms −2φ(p₁−l₁)(u₂−p₂) and
/// −2φ(u₁−p₁)(p₂−l₂). φ is the correlation of the two outcomes,
/// (eh − fg)/√[(e+f)(g+h)(e+g)(f+h)], with its numerator lessened by n/2 but not
/// below 0 if positive, and φ = 0 if a margin is 0.
///
/// # Undefined
/// No standard error is given: the interval does not rest on one.
///
/// # Source
/// Newcombe (1998), Statistics in Medicine 17:2635, method 10.
pub fn newcombe_paired(counts: PairedCounts, level: Level, unit: &str) -> Estimate {
    let n = counts.pairs();
    let margin = |events: u64| {
        let (x, n) = (events as f64, n as f64);
        (x / n, events)
    };
    let (p1, x1) = margin(counts.both + counts.first_only);
    let (p2, x2) = margin(counts.both + counts.second_only);
    let score = |events: u64| Trials::new(events, n).map(|trials| wilson(trials, level));
    let value = (counts.first_only as f64 - counts.second_only as f64) / n as f64;
    let estimate = Estimate::new(value, "newcombe, paired", level, unit, n);
    match (score(x1), score(x2)) {
        (Ok(w1), Ok(w2)) => estimate.with_interval(combine(p1, w1, p2, w2, phi(counts))),
        (Err(error), _) | (_, Err(error)) => estimate.because(&error.to_string()),
    }
}

fn combine(p1: f64, w1: Interval, p2: f64, w2: Interval, phi: f64) -> Interval {
    let distance = |a: f64, b: f64| (a * a - 2.0 * phi * a * b + b * b).max(0.0).sqrt();
    let difference = p1 - p2;
    Interval {
        lo: (difference - distance(p1 - w1.lo, w2.hi - p2)).max(-1.0),
        hi: (difference + distance(w1.hi - p1, p2 - w2.lo)).min(1.0),
    }
}

fn phi(counts: PairedCounts) -> f64 {
    let [e, f, g, h] = [counts.both, counts.first_only, counts.second_only, counts.neither].map(|c| c as f64);
    let margins = (e + f) * (g + h) * (e + g) * (f + h);
    if margins == 0.0 {
        return 0.0;
    }
    let product = e * h - f * g;
    let corrected = if product > 0.0 { (product - 0.5 * (e + f + g + h)).max(0.0) } else { product };
    corrected / margins.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exchange_reverses_the_sign() {
        let (a, b) = (Trials::new(7, 30).unwrap(), Trials::new(12, 25).unwrap());
        let one = newcombe_unpaired(a, b, Level::P95, "event").interval().unwrap();
        let other = newcombe_unpaired(b, a, Level::P95, "event").interval().unwrap();
        assert!((one.lo + other.hi).abs() < 1e-15 && (one.hi + other.lo).abs() < 1e-15);
        let table = |f, g| PairedCounts::new(9, f, g, 4).unwrap();
        let one = newcombe_paired(table(5, 2), Level::P95, "event").interval().unwrap();
        let other = newcombe_paired(table(2, 5), Level::P95, "event").interval().unwrap();
        assert!((one.lo + other.hi).abs() < 1e-15 && (one.hi + other.lo).abs() < 1e-15);
    }

    #[test]
    fn the_level_matters() {
        let table = PairedCounts::new(20, 12, 2, 16).unwrap();
        let width = |level| newcombe_paired(table, level, "event").interval().unwrap().width();
        assert!(width(Level::P90) < width(Level::P95));
    }
}

//! The difference of two estimates that have nothing in common.

use crate::estimate::{Estimate, Interval};

/// The difference of two independent estimates, `first − second`, from their own intervals.
///
/// # Definition
/// With estimates a, b and limits (a₋, a₊), (b₋, b₊) the limits are
/// a − b − √((a − a₋)² + (b₊ − b)²) and a − b + √((a₊ − a)² + (b − b₋)²): each interval says on each side how far its estimate
/// may be off, so that skewed limits stay skewed (MOVER).
///
/// # Undefined
/// - No value where one of both has none, no interval where one has no limits; the reason is that one's.
///
/// # Source
/// Zou & Donner (2008), Construction of confidence limits about effect measures: a general approach, Statistics in Medicine
/// 27:1693-1702 (from memory). For two proportions with Wilson's limits it is Newcombe (1998), Statistics in Medicine
/// 17:873-890, method 10, whose worked example is the test.
///
/// # Panics
/// The levels differ.
pub fn independent_difference(first: &Estimate, second: &Estimate) -> Estimate {
    assert_eq!(first.level, second.level, "one level for both");
    let blank = Estimate {
        value: None,
        reason: None,
        mcse: None,
        lo: None,
        hi: None,
        informative: None,
        critical: None,
        critical_mcse: None,
        cautions: Vec::new(),
        method: format!("independent: limits of both by Zou & Donner ({}; {})", first.method, second.method),
        level: first.level,
        unit: first.unit.clone(),
        n: first.n + second.n,
    };
    let why = |lacks: fn(&Estimate) -> bool| {
        [first, second].into_iter().find(|own| lacks(own)).and_then(|own| own.reason.clone())
    };
    let (Some(a), Some(b)) = (first.value, second.value) else {
        return Estimate { reason: why(|own| own.value.is_none()), ..blank };
    };
    let estimate = Estimate { value: Some(a - b), ..blank };
    match (first.lo, first.hi, second.lo, second.hi) {
        (Some(a_lo), Some(a_hi), Some(b_lo), Some(b_hi)) => {
            let (down, up) = (libm::hypot(a - a_lo, b_hi - b), libm::hypot(a_hi - a, b - b_lo));
            estimate.with_interval(Interval { lo: a - b - down, hi: a - b + up })
        }
        _ => Estimate { reason: why(|own| own.lo.is_none() || own.hi.is_none()), ..estimate },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Level, Trials, wilson};

    /// Newcombe (1998), table II, first column: 56/70 against 48/80, method 10: 0.0524 to 0.3339 (from memory).
    #[test]
    fn with_wilson_limits_it_is_newcombes_tenth_method() {
        let of = |events, trials| {
            let limits = wilson(Trials::new(events, trials).unwrap(), Level::P95);
            Estimate::new(events as f64 / trials as f64, "Wilson", Level::P95, "trial", trials).with_interval(limits)
        };
        let found = independent_difference(&of(56, 70), &of(48, 80));
        let near = |value: Option<f64>, wanted: f64| (value.unwrap() - wanted).abs() < 5e-5;
        assert!(near(found.value, 0.2) && near(found.lo, 0.0524) && near(found.hi, 0.3339), "{found:?}");
    }

    #[test]
    fn what_is_unknown_stays_unknown_with_its_reason() {
        let known = Estimate::new(1.0, "m", Level::P95, "u", 9).with_interval(Interval { lo: 0.5, hi: 2.0 });
        let bare = Estimate::new(3.0, "m", Level::P95, "u", 4).because("too few");
        let found = independent_difference(&known, &bare);
        assert_eq!((found.value, found.lo, found.reason.as_deref()), (Some(-2.0), None, Some("too few")));
        let none = Estimate::unknown("nothing to count", "m", Level::P95, "u", 0);
        let found = independent_difference(&none, &known);
        assert_eq!((found.value, found.reason.as_deref()), (None, Some("nothing to count")));
    }
}

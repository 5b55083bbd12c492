//! One-sided limits at whatever small error a race allows.

use crate::binomial::{Trials, binomial_upper, clopper_pearson};
use crate::clusters::Clusters;
use crate::estimate::{Estimate, Interval};
use crate::korn_graubard::{DfAdjustment, korn_graubard};
use crate::level::Level;
use crate::paired::paired_difference;
use crate::ratio::ratio;

/// The two-sided level whose limits each err with probability `alpha`.
fn sides(alpha: f64) -> Option<Level> {
    Level::new(1.0 - 2.0 * alpha).ok()
}

/// Limits of a share of units, exact.
pub(super) fn share(served: (u64, u64), alpha: f64) -> Option<Interval> {
    let trials = Trials::new(served.0, served.1).ok()?;
    Some(clopper_pearson(trials, sides(alpha)?))
}

/// The fewest units of `fresh` that have to be served for the lower limit of the share to reach `least`; `None` where
/// all of them would not be enough.
pub(super) fn needed(least: f64, fresh: u64, alpha: f64) -> Option<u64> {
    let level = sides(alpha)?;
    let passes = |events: u64| Trials::new(events, fresh).is_ok_and(|t| clopper_pearson(t, level).lo >= least);
    if !passes(fresh) {
        return None;
    }
    // Passing is monotone in the number served.
    let (mut fails, mut holds) = (0, fresh);
    while holds - fails > 1 {
        let middle = fails + (holds - fails) / 2;
        if passes(middle) { holds = middle } else { fails = middle }
    }
    Some(holds)
}

/// The smallest true share that `fresh` units confirm with probability `power`; above 1 where none can be.
pub(super) fn confirmable(least: f64, fresh: u64, alpha: f64, power: f64) -> f64 {
    let Some(needed) = needed(least, fresh, alpha) else { return 2.0 };
    let Ok(trials) = Trials::new(needed, fresh) else { return 2.0 };
    let (mut low, mut high) = (least, 1.0);
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if binomial_upper(trials, middle) >= power { high = middle } else { low = middle }
    }
    high
}

/// Limits of a ratio over all units.
pub(super) fn pooled(clusters: &Clusters, alpha: f64) -> Option<Interval> {
    let level = sides(alpha)?;
    let own = if clusters.is_proportion() {
        korn_graubard(clusters, DfAdjustment::Adjusted, level)
    } else {
        ratio(clusters, level)
    };
    own.interval()
}

/// The difference of two losses over the same units.
pub(super) fn difference(first: &Clusters, second: &Clusters, alpha: f64) -> Option<Estimate> {
    paired_difference(first, second, sides(alpha)?).ok()
}

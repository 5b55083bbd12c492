//! One-sided limits at whatever small error a race allows.

use crate::binomial::{Trials, clopper_pearson};
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

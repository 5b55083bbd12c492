//! What is asked of a setting, held against typists.

use agogic_sim::{TypistRow, clusters};
use agogic_stats::race::{Demands, Tally};
use agogic_stats::{Clusters, Estimate, Level};
use agogic_study::AdvicePlan;

use crate::estimate::exact_share;

/// What is asked, in plain ratios.
pub(super) fn demands(plan: &AdvicePlan) -> Demands {
    Demands {
        served: plan.asks_of_typists().then_some(plan.served),
        limits: plan.limits_of_all.iter().map(|line| line.value / line.info.scale).collect(),
    }
}

/// What typists say of one of the settings they were judged by.
pub(super) fn tally(plan: &AdvicePlan, rows: &[TypistRow], at: usize) -> Tally {
    Tally {
        loss: clusters(rows, plan.objective, at),
        served: rows.iter().map(|row| plan.served(&row.scores[at])).collect(),
        limited: plan.limits_of_all.iter().map(|line| clusters(rows, line.info, at)).collect(),
    }
}

/// Typists within the limits, 1 of 1 or 0 of 1 each; those without an answer 0 of 0.
pub(super) fn served_clusters(plan: &AdvicePlan, rows: &[TypistRow], at: usize) -> Clusters {
    let parts = rows.iter().map(|row| match plan.served(&row.scores[at]) {
        Some(is) => (u64::from(is), 1),
        None => (0, 0),
    });
    Clusters::counts("typist", parts).expect("one or none of one")
}

/// Typists within the limits per 100, exact.
pub(crate) fn served_estimate(
    plan: &AdvicePlan,
    rows: &[TypistRow],
    at: usize,
    level: Level,
    members: &[usize],
) -> Estimate {
    const METHOD: &str = "share of typists, exact, per session as long as those judged";
    let of: Box<dyn Iterator<Item = &TypistRow>> =
        if members.is_empty() { Box::new(rows.iter()) } else { Box::new(members.iter().map(|&i| &rows[i])) };
    let (served, all) = of
        .filter_map(|row| plan.served(&row.scores[at]))
        .fold((0, 0), |(served, all), is| (served + u64::from(is), all + 1));
    let none = "no typist had every opportunity that is limited";
    exact_share((served, all), METHOD, level, "typist", none).times(100.0)
}

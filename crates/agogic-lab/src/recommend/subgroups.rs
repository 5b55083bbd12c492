//! Whom a setting serves, and whom it fails.

use std::borrow::Cow;

use agogic_sim::{TypistRow, clusters};
use agogic_stats::Estimate;
use agogic_study::{AdvicePlan, Study};
use serde::{Deserialize, Serialize};

use super::asked::served_estimate;
use crate::estimate::{ALL, groups, rate};

/// Name of the share of typists within all limits, beside the estimands.
pub(super) const SERVED: &str = "served";

/// Its unit.
pub(super) const SERVED_UNIT: &str = "typists per 100";

/// One figure of one group of fresh typists.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SubgroupRow {
    /// The group; `all` for everybody.
    pub group: Cow<'static, str>,
    /// `served`, `within LIMIT` or an estimand.
    pub figure: String,
    /// Its unit.
    pub unit: Cow<'static, str>,
    /// The estimate, with an interval for itself.
    pub estimate: Estimate,
}

/// Everybody, and the ends by speed and by rollover, each with its members.
pub(super) fn members(rows: &[TypistRow]) -> Vec<(&'static str, Vec<usize>)> {
    let mut all = vec![(ALL, (0..rows.len()).collect())];
    let people: Vec<_> = rows.iter().map(|row| row.person).collect();
    all.extend(groups::all(&people));
    all
}

/// The figures of each group: served, each limit for itself, the objective.
pub(super) fn rows(study: &Study, plan: &AdvicePlan, rows: &[TypistRow], at: usize) -> Vec<SubgroupRow> {
    let level = study.inference.level;
    let mut all = Vec::new();
    for (group, members) in members(rows) {
        let row = |figure: String, unit: &'static str, estimate| SubgroupRow {
            group: group.into(),
            figure,
            unit: unit.into(),
            estimate,
        };
        if plan.asks_of_typists() {
            let estimate = served_estimate(plan, rows, at, level, &members);
            all.push(row(SERVED.into(), SERVED_UNIT, estimate));
        }
        for line in plan.limits.iter().filter(|_| plan.limits.len() > 1) {
            let one = AdvicePlan { limits: vec![*line], ..plan.clone() };
            let figure = format!("within {}", AdvicePlan::limits_in_words(&one.limits));
            let estimate = served_estimate(&one, rows, at, level, &members);
            all.push(row(figure, SERVED_UNIT, estimate));
        }
        let objective = plan.objective;
        let own = groups::only(&clusters(rows, objective, at), &members);
        let estimate = objective.scaled(rate(&own, &study.inference, study.seed, objective));
        all.push(row(objective.name.into(), objective.unit, estimate));
    }
    all
}

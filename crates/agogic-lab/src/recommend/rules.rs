//! What a simpler rule costs: the best setting of each rule, on the fresh typists.

use std::borrow::Cow;

use agogic_sim::{TrainedArm, TypistRow, clusters};
use agogic_stats::Estimate;
use agogic_study::{AdvicePlan, Study};
use serde::{Deserialize, Serialize};

use super::asked::served_estimate;
use super::search::Search;
use super::what_if;
use crate::candidates::Candidate;
use crate::estimate::{default_difference, rate};

/// The best setting of one rule.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RuleRow {
    /// The rule.
    pub rule: Cow<'static, str>,
    /// The setting that the search puts first among those of the rule.
    pub setting: String,
    /// Whether the search puts it among those that meet what is asked; otherwise it is the one that comes nearest.
    pub seems_to_meet: bool,
    /// Its loss, with an interval for itself.
    pub loss: Estimate,
    /// Typists within the limits per 100, with an exact interval for itself; `None` where no limit asks.
    pub served: Option<Estimate>,
    /// Its loss less that of the setting advised, with an interval for itself.
    pub more_loss: Estimate,
}

/// The best candidate of each rule, with whether it seems to meet what is asked.
pub(super) fn best_of_each(
    plan: &AdvicePlan,
    search: &Search,
    arm: &TrainedArm<'_>,
) -> Vec<(&'static str, usize, bool)> {
    let rule = |at: usize| search.candidates[at].rule(arm);
    let mut rules: Vec<&'static str> = (0..search.candidates.len()).map(rule).collect();
    rules.sort_unstable();
    rules.dedup();
    rules
        .into_iter()
        .filter_map(|name| {
            let of_rule = |at: usize| rule(at) == name;
            let found = what_if::best_as_asked(plan, search, of_rule).map(|at| (at, true));
            let (at, meets) = found.or_else(|| Some((search.nearest(1, of_rule).first().copied()?, false)))?;
            Some((name, at, meets))
        })
        .collect()
}

/// The rows, with those of more loss last.
pub(super) fn rows(
    study: &Study,
    plan: &AdvicePlan,
    chosen: (&[TypistRow], usize),
    best: &[(&'static str, usize, bool)],
    judged: (&[&Candidate], &[TypistRow]),
) -> Vec<RuleRow> {
    let (inference, objective) = (&study.inference, plan.objective);
    let own = clusters(chosen.0, objective, chosen.1);
    let mut rows: Vec<RuleRow> = best
        .iter()
        .enumerate()
        .map(|(place, (rule, _, seems_to_meet))| {
            let other = clusters(judged.1, objective, place);
            let more = default_difference(&other, &own, inference.level);
            RuleRow {
                rule: (*rule).into(),
                setting: judged.0[place].label.clone(),
                seems_to_meet: *seems_to_meet,
                loss: objective.scaled(rate(&other, inference, study.seed, objective)),
                served: plan.asks_of_typists().then(|| served_estimate(plan, judged.1, place, inference.level, &[])),
                more_loss: objective.scaled(more),
            }
        })
        .collect();
    let loss = |row: &RuleRow| row.loss.value.unwrap_or(f64::INFINITY);
    rows.sort_by(|a, b| b.seems_to_meet.cmp(&a.seems_to_meet).then(loss(a).total_cmp(&loss(b))));
    rows
}

//! The floor of a study: what an ideal observer, who sees no more than its rules, would have made of the same presses.

use std::borrow::Cow;

use agogic_floor::{FloorCurve, OddsCounts, PairedErrors, loss_above_floor};
use agogic_keys::Span;
use agogic_sim::{ArmScores, TypistOdds, TypistRow, deadlines};
use agogic_stats::Estimate;
use agogic_study::Study;

use crate::estimate::{ALL, ResultRow, Role, Statistic};

/// The floor of one arm.
#[derive(Clone, Debug, PartialEq)]
pub struct Floor {
    /// The odds of the presses of each compared typist, in the order of their numbers.
    pub odds: Vec<OddsCounts>,
    /// Pooled floors, shortest deadline first; the last has none.
    pub curves: Vec<FloorCurve>,
}

impl Floor {
    /// The floor from the odds of each compared typist.
    pub(crate) fn of(each: Vec<TypistOdds>) -> Self {
        let curve = |(at, deadline): (usize, Option<Span>)| {
            let mut pooled = OddsCounts::new();
            each.iter().for_each(|odds| pooled.merge(&odds[at]));
            FloorCurve::new(deadline, &pooled)
        };
        let curves = deadlines().enumerate().filter_map(curve).collect();
        let odds = each.into_iter().map(|[.., without]| without).collect();
        Self { odds, curves }
    }

    /// What a rule loses above the floor, from its false and missed holds with each compared typist.
    pub(crate) fn loss(&self, study: &Study, errors: impl IntoIterator<Item = [u64; 2]>) -> Estimate {
        let paired: Vec<PairedErrors<'_>> = errors
            .into_iter()
            .zip(&self.odds)
            .map(|([false_holds, missed_holds], odds)| PairedErrors { false_holds, missed_holds, odds })
            .collect();
        loss_above_floor(&paired, study.floor.costs, study.inference.level)
    }
}

/// What is lost, as an estimand: see [`loss_above_floor`].
pub(crate) const LOSS: (&str, &str) = ("role_loss", "per 1000 dual-role presses");

/// What each policy loses above the floor, on the presses of the compared typists.
pub(crate) fn floor_rows<'a>(
    study: &Study,
    arms: impl Iterator<Item = (&'a ArmScores, Option<&'a Floor>)>,
) -> Vec<ResultRow> {
    let mut rows = Vec::new();
    for (arm, (typists, floor)) in study.arms.iter().zip(arms) {
        let Some(floor) = floor else { continue };
        let watched: Vec<TypistRow> = typists.iter().take(floor.odds.len()).collect();
        for (at, policy) in study.policies.iter().enumerate() {
            let errors = watched.iter().map(|row| {
                let counts = &row.scores[at].counts;
                [counts.false_holds, counts.missed_holds]
            });
            let (estimand, unit) = LOSS;
            rows.push(ResultRow {
                arm: arm.label.clone(),
                policy: policy.clone(),
                group: Cow::Borrowed(ALL),
                estimand: Cow::Borrowed(estimand),
                role: Role::Secondary,
                statistic: Statistic::AboveFloor,
                unit: Cow::Borrowed(unit),
                minus: None,
                against: None,
                estimate: floor.loss(study, errors),
            });
        }
    }
    rows
}

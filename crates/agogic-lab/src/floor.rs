//! The floor of a study: what the ideal observer would have made of the same presses.

use agogic_floor::{FloorCurve, OddsCounts, PairedErrors, Sight, Stage, TypistObserver, floor_distance};
use agogic_keys::Span;
use agogic_policy::EncounterScan;
use agogic_typist::{Performer, Typist};
use rayon::prelude::*;

use crate::estimate::{ALL, EstimandInfo, ResultRow, Statistic};
use crate::run::ArmResult;
use crate::study::{Arm, Study};

/// How the floor is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FloorPlan {
    /// Typists, the first of each arm, on whose presses policies and observer are compared; 0 for no floor.
    pub typists: u64,
    /// Presses from which an observer learns how often its typist comes into each situation.
    pub rehearsal: usize,
}

impl Default for FloorPlan {
    /// 100 typists, rehearsals of 20 000 presses.
    fn default() -> Self {
        Self { typists: 100, rehearsal: 20_000 }
    }
}

/// Deadlines after the press for which a floor is drawn, beside the one without a deadline.
const DEADLINES: [Span; 2] = [Span(60_000), Span(120_000)];

/// The floor of one arm.
#[derive(Clone, Debug, PartialEq)]
pub struct Floor {
    /// The odds of the presses of each compared typist, in the order of their numbers.
    pub odds: Vec<OddsCounts>,
    /// Pooled floors, shortest deadline first; the last has none.
    pub curves: Vec<FloorCurve>,
}

/// Lets an observer who knows each typist judge the presses that the policies judged.
///
/// The observer sees the times of the fingers. Policies see them through the clock of the arm, which can only
/// make them worse, so the floor holds for them too.
pub(crate) fn floor(study: &Study, arm: &Arm, typists: u64, progress: &(dyn Fn(u64) + Sync)) -> Option<Floor> {
    let count = study.floor.typists.min(typists);
    if count == 0 {
        return None;
    }
    let performer = Performer::new(&arm.board, &arm.assignment);
    let (plan, workload) = (&arm.plan, &arm.workload);
    let rehearsal = study.floor.rehearsal;
    let stage = Stage { performer: &performer, plan, workload, seed: study.seed, rehearsal };
    let each: Vec<[OddsCounts; DEADLINES.len() + 1]> = (0..count)
        .into_par_iter()
        .map(|number| {
            let typist = Typist::draw(&arm.population, study.seed, number);
            let observer = TypistObserver::new(&stage, &typist, Sight::AnyKey);
            let session = performer.perform(&typist, plan, workload, study.seed, 0, arm.keys);
            let mut counts: [OddsCounts; DEADLINES.len() + 1] = Default::default();
            EncounterScan::new().each(
                &session.presses,
                |code| arm.assignment.modifier(code).is_some(),
                |code| performer.movement().hand(code),
                |press, encounter| {
                    let is_hold = session.truths[press].hold;
                    for (counts, deadline) in counts.iter_mut().zip(DEADLINES.map(Some).into_iter().chain([None])) {
                        counts.add(observer.log_odds(encounter, deadline), is_hold);
                    }
                },
            );
            progress(1);
            counts
        })
        .collect();
    let curves = DEADLINES
        .map(Some)
        .into_iter()
        .chain([None])
        .enumerate()
        .filter_map(|(at, deadline)| {
            let mut pooled = OddsCounts::new();
            each.iter().for_each(|counts| pooled.merge(&counts[at]));
            FloorCurve::new(deadline, &pooled)
        })
        .collect();
    let odds = each.into_iter().map(|[.., without]| without).collect();
    Some(Floor { odds, curves })
}

/// How far each policy stands from the floor, on the presses of the compared typists.
pub(crate) fn floor_rows(study: &Study, arms: &[ArmResult]) -> Vec<ResultRow> {
    let mut rows = Vec::new();
    for arm in arms {
        let Some(floor) = &arm.floor else { continue };
        for (at, policy) in study.policies.iter().enumerate() {
            let paired: Vec<PairedErrors<'_>> = arm
                .typists
                .iter()
                .zip(&floor.odds)
                .map(|(row, odds)| PairedErrors {
                    false_holds: row.scores[at].counts.false_holds,
                    missed_holds: row.scores[at].counts.missed_holds,
                    odds,
                })
                .collect();
            let distance = floor_distance(&paired, study.inference.level);
            let mut add = |estimand, statistic, unit, estimate| {
                rows.push(ResultRow {
                    arm: arm.label.clone(),
                    policy: policy.clone(),
                    group: ALL,
                    estimand,
                    statistic,
                    unit,
                    minus: None,
                    against: None,
                    estimate,
                });
            };
            let missed = EstimandInfo::by_name("missed_holds").expect("names of our own table");
            add(missed.name, Statistic::AboveFloor, missed.unit, missed.scaled(distance.missed_above));
            add("wrong_roles", Statistic::Removable, "per 1000 dual-role presses", distance.removable_per_1000);
        }
    }
    rows
}

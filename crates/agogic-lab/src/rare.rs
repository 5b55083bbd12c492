//! Rates of errors too rare for the run: estimated again by importance sampling.

use std::ops::Range;

use agogic_rare::{Batch, ErrorKind, RareOutcome, RareSpec, rare_rate_on};
use agogic_sim::{ArmScores, Decider, Engine};
use agogic_stats::Estimate;
use agogic_study::{Arm, EstimandInfo, RarePlan, Study};
use rayon::prelude::*;

use crate::estimate::{ResultRow, Statistic};

/// The errors that can be looked for, by the name of their rate.
const KINDS: [(&str, ErrorKind); 2] = [("false_holds", ErrorKind::FalseHold), ("missed_holds", ErrorKind::MissedHold)];

/// Typists on all cores, their answers in order.
struct AllCores;

impl Batch for AllCores {
    fn each<T: Send>(&self, numbers: Range<u64>, job: impl Fn(u64) -> T + Sync) -> Vec<T> {
        numbers.into_par_iter().map(&job).collect()
    }
}

/// Estimates every rate that rests on too few events, in a row of its own beside the pooled one.
pub(crate) fn rare_rows(engine: &Engine<'_>, plan: &RarePlan, typists: &[&ArmScores]) -> Vec<ResultRow> {
    let mut rows = Vec::new();
    let study = engine.study;
    for (trained, found) in engine.arms.iter().zip(typists) {
        let arm = trained.arm();
        let kinds = KINDS.map(|(name, error)| {
            let info = EstimandInfo::by_name(name).expect("names of our own table");
            (info, error, found.clusters(info))
        });
        for (at, decider) in trained.deciders.iter().enumerate() {
            for (info, error, clusters) in &kinds {
                let (events, _) = clusters[at].totals();
                if events >= plan.below_events as f64 {
                    continue;
                }
                let estimate = info.scaled(one(study, plan, arm, decider, *error));
                rows.push(ResultRow::of(&arm.label, &study.policies[at], info, Statistic::PooledRare, estimate));
            }
        }
    }
    rows
}

fn one(study: &Study, plan: &RarePlan, arm: &Arm, decider: &Decider, error: ErrorKind) -> Estimate {
    const METHOD: &str = "importance sampling";
    let level = study.inference.level;
    let Decider::Common(setting) = decider else {
        let reason = "values fitted to each typist cannot be carried over to the typists of an importance sample";
        return Estimate::unknown(reason, METHOD, level, "typist", 0);
    };
    let spec = RareSpec {
        population: &arm.population,
        plan: &arm.plan,
        workload: &arm.workload,
        board: &arm.board,
        assignment: &arm.assignment,
        setting,
        error,
        keys_per_typist: arm.keys,
        precision: plan.precision,
        budget_keys: plan.budget_keys,
        seed: study.seed,
        level,
    };
    match rare_rate_on(&spec, &AllCores) {
        RareOutcome::Estimated(found) => {
            let d = found.diagnostics;
            let said = format!(
                "{}; {} presses, {:.0} effective typists of {}; waiting for the errors would take {:.2e} presses",
                found.method, found.keystrokes, d.effective, d.typists, found.brute_force.keystrokes
            );
            Estimate { method: said, ..found.estimate }
        }
        RareOutcome::Refused(refused) => Estimate::unknown(&refused.reason.to_string(), METHOD, level, "typist", 0),
    }
}

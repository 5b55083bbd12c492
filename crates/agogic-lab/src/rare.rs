//! Rates of errors too rare for the run: estimated again by importance sampling.

use std::ops::Range;

use agogic_rare::{Batch, ErrorKind, RareOutcome, RareSpec, rare_rate_on};
use agogic_stats::Estimate;
use rayon::prelude::*;

use crate::decider::Decider;
use crate::estimate::{EstimandInfo, ResultRow, Statistic};
use crate::run::ArmResult;
use crate::study::{Arm, Study};

/// When and how rare errors are looked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RarePlan {
    /// Half-width of the interval wanted, over the rate.
    pub precision: f64,
    /// Presses that may be simulated for each rate.
    pub budget_keys: u64,
    /// Rates with fewer events than this are estimated again.
    pub below_events: u64,
}

impl Default for RarePlan {
    /// ±10 %, at most 50 million presses, for rates that rest on fewer than 20 events.
    fn default() -> Self {
        Self { precision: 0.1, budget_keys: 50_000_000, below_events: 20 }
    }
}

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
pub(crate) fn rare_rows(study: &Study, plan: &RarePlan, arms: &[ArmResult]) -> Vec<ResultRow> {
    let mut rows = Vec::new();
    for (arm, found) in study.arms.iter().zip(arms) {
        let kinds = KINDS.map(|(name, error)| {
            let info = EstimandInfo::by_name(name).expect("names of our own table");
            (info, error, info.clusters_of_all(&found.typists))
        });
        for (at, decider) in arm.deciders.iter().enumerate() {
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

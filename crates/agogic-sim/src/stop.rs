//! Stopping a run once it is precise enough, by limits that allow looking at any time.

use agogic_stats::confseq::{self, Look, Precision, StopRule, look_at_ratio};
use agogic_stats::{Clusters, Estimate, Level};
use agogic_study::{Arm, EstimandInfo, Guarantee, StopPlan};

use crate::scores::ArmScores;

/// What is known of one policy at any look: of the estimand that has to be precise, and of wrong keys, which a reader
/// looks at as well.
pub fn stop_estimands(plan: &StopPlan) -> Vec<&'static EstimandInfo> {
    let wrong_keys = EstimandInfo::by_name("wrong_keys").expect("a name of our own table");
    if plan.estimand.name == wrong_keys.name { vec![plan.estimand] } else { vec![plan.estimand, wrong_keys] }
}

/// Looks at one policy of an arm after some typists, whose parts of `info` are given. The estimate is in the unit of
/// `info`. Limits are exact where that is promised and can be.
pub fn look(plan: &StopPlan, arm: &Arm, info: &EstimandInfo, clusters: &Clusters, level: Level) -> Look {
    let rule = StopRule {
        precision: match plan.precision {
            Precision::Absolute(width) => Precision::Absolute(width / info.scale),
            relative => relative,
        },
        level,
        least: plan.least,
        guarantee: match plan.guarantee {
            // No typist has more opportunities than presses.
            Guarantee::Exact if info.proportion => confseq::Guarantee::Exact { cap: arm.keys as f64 },
            _ => confseq::Guarantee::Asymptotic { tuned_for: plan.least.max(100) as f64 },
        },
    };
    match look_at_ratio(clusters, &rule) {
        Ok(look) => Look { estimate: info.scaled(look.estimate), ..look },
        Err(refused) => Look { estimate: unknown(clusters, level, &refused.to_string()), stop: false, promise: "" },
    }
}

/// Whether every policy is precise enough.
pub fn precise_enough(plan: &StopPlan, arm: &Arm, typists: &ArmScores, level: Level) -> bool {
    if typists.len() < plan.least {
        return false;
    }
    let all = typists.clusters(plan.estimand);
    plan.policies.iter().all(|&at| look(plan, arm, plan.estimand, &all[at], level).stop)
}

fn unknown(clusters: &Clusters, level: Level, reason: &str) -> Estimate {
    Estimate::unknown(reason, "confidence sequence", level, clusters.unit(), clusters.used() as u64)
}

//! Stopping a run once it is precise enough, by limits that allow looking at any time.

use agogic_stats::confseq::{Guarantee, Look, Precision, StopRule, look_at_ratio};
use agogic_stats::{Clusters, Estimate, Level};

use crate::estimate::EstimandInfo;
use crate::scores::ArmScores;
use crate::study::Arm;

/// What the limits at the stop promise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Promise {
    /// They hold for any number of typists. For proportions.
    Exact,
    /// They hold when typists are many.
    Asymptotic,
}

/// When a run may stop before its last typist.
#[derive(Clone, Debug)]
pub struct StopPlan {
    /// What has to be precise.
    pub estimand: &'static EstimandInfo,
    /// How precise, in the unit of the estimand or as a share of it.
    pub precision: Precision,
    /// What is promised.
    pub promise: Promise,
    /// Indices of the policies for which it has to be.
    pub policies: Vec<usize>,
    /// Typists between looks.
    pub block: u64,
    /// Typists before the first stop.
    pub least: usize,
}

impl StopPlan {
    /// Looks at one policy of an arm after some typists, whose parts of the estimand are given. The estimate is in the unit of the estimand.
    pub(crate) fn look(&self, arm: &Arm, clusters: &Clusters, level: Level) -> Look {
        let info = self.estimand;
        let rule = StopRule {
            precision: match self.precision {
                Precision::Absolute(width) => Precision::Absolute(width / info.scale),
                relative => relative,
            },
            level,
            least: self.least,
            guarantee: match self.promise {
                // No typist has more opportunities than presses.
                Promise::Exact => Guarantee::Exact { cap: arm.keys as f64 },
                Promise::Asymptotic => Guarantee::Asymptotic { tuned_for: self.least.max(100) as f64 },
            },
        };
        match look_at_ratio(clusters, &rule) {
            Ok(look) => Look { estimate: info.scaled(look.estimate), ..look },
            Err(refused) => Look { estimate: unknown(clusters, level, &refused.to_string()), stop: false, promise: "" },
        }
    }

    /// Whether every policy is precise enough.
    pub(crate) fn done(&self, arm: &Arm, typists: &ArmScores, level: Level) -> bool {
        if typists.len() < self.least {
            return false;
        }
        let all = self.estimand.clusters_of_all(typists);
        self.policies.iter().all(|&at| self.look(arm, &all[at], level).stop)
    }
}

fn unknown(clusters: &Clusters, level: Level, reason: &str) -> Estimate {
    Estimate::unknown(reason, "confidence sequence", level, clusters.unit(), clusters.used() as u64)
}

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
    /// What is known of one policy at any look: of the estimand that has to be precise, and of wrong keys, which a reader
    /// looks at as well.
    pub(crate) fn estimands(&self) -> Vec<&'static EstimandInfo> {
        let wrong_keys = EstimandInfo::by_name("wrong_keys").expect("a name of our own table");
        if self.estimand.name == wrong_keys.name { vec![self.estimand] } else { vec![self.estimand, wrong_keys] }
    }

    /// Looks at one policy of an arm after some typists, whose parts of `info` are given. The estimate is in the unit of
    /// `info`. Limits are exact where that is promised and can be.
    pub(crate) fn look(&self, arm: &Arm, info: &EstimandInfo, clusters: &Clusters, level: Level) -> Look {
        let rule = StopRule {
            precision: match self.precision {
                Precision::Absolute(width) => Precision::Absolute(width / info.scale),
                relative => relative,
            },
            level,
            least: self.least,
            guarantee: match self.promise {
                // No typist has more opportunities than presses.
                Promise::Exact if info.proportion => Guarantee::Exact { cap: arm.keys as f64 },
                _ => Guarantee::Asymptotic { tuned_for: self.least.max(100) as f64 },
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
        self.policies.iter().all(|&at| self.look(arm, self.estimand, &all[at], level).stop)
    }
}

fn unknown(clusters: &Clusters, level: Level, reason: &str) -> Estimate {
    Estimate::unknown(reason, "confidence sequence", level, clusters.unit(), clusters.used() as u64)
}

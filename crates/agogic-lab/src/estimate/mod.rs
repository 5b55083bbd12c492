//! From counts of typists to estimates with intervals.
//!
//! The unit of replication is the typist. [`estimate`] gives one long table: for each arm, policy and
//! estimand the pooled rate, its difference from the reference policy, and its distribution over typists.

mod cautions;
mod compare;
pub(crate) mod groups;
mod methods;
mod role;
mod spread;
mod texts;

use std::borrow::Cow;

use agogic_sim::ArmScores;
use agogic_stats::{Clusters, Estimate};
use agogic_study::{Arm, ESTIMANDS, EstimandInfo, Study};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

pub use cautions::{CautionNote, cautions_of};
pub(crate) use methods::rate;
pub use methods::{default_difference, default_rate};
pub use role::Role;
pub(crate) use spread::exact_share;

/// What an estimate says about an estimand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Statistic {
    /// The rate or mean, pooled over typists.
    Pooled,
    /// The same at the end of a run that stopped early, with limits that hold whenever it stops.
    PooledAnytime,
    /// The same by importance sampling, where the run saw too few events.
    PooledRare,
    /// The same for other people, another text or other shortcuts, of a study with rules that learn; the group says which.
    PooledElsewhere,
    /// The largest of the pooled rate and those elsewhere; the group says where that is. See `TransferRow::worst`.
    WorstElsewhere,
    /// The expected loss of a policy above that of the ideal observer at the same costs, on the same presses of the first
    /// typists; see [`agogic_floor::loss_above_floor`].
    AboveFloor,
    /// The pooled value less that of the policy it is compared with, over the same presses.
    Difference,
    /// The difference with an interval that holds for all policies of the arm at once (max-t).
    DifferenceJoint,
    /// The pooled value over that of the policy it is compared with, with a t interval on the logarithm.
    Ratio,
    /// p-value of "no difference", adjusted for all policies of the arm (Holm).
    PHolm,
    /// p-value of "worse than the other by the margin or more"; small values speak for "no worse".
    PNotWorse,
    /// p-value of "differs from the other by the margin or more" (two one-sided tests).
    PEquivalent,
    /// True rate of the median typist: what finite sessions add is taken out.
    MedianTypist,
    /// True rate that 90 % of typists do not exceed.
    P90Typist,
    /// True rate that 95 % of typists do not exceed.
    P95Typist,
    /// Share of typists whose true rate is at or under the limit of the spec.
    ShareWithinLimit,
    /// Value of the median typist in a session of the study's length.
    MedianSession,
    /// Value that 90 % of such sessions do not exceed.
    P90Session,
    /// Value that 95 % of such sessions do not exceed.
    P95Session,
    /// Share of such sessions at or under the limit of the spec.
    ShareOfSessionsWithinLimit,
    /// Share of typists with less than under the policy it is compared with, in a session of the study's length.
    ShareLess,
    /// Share of typists with more.
    ShareMore,
    /// Share of typists with as much.
    ShareTied,
    /// The pooled value, with an interval that holds for texts like those of the study.
    PooledOverTexts,
    /// The difference, with such an interval.
    DifferenceOverTexts,
    /// Intracluster correlation: how alike the events of one typist are.
    Icc,
    /// Variance of the pooled rate over that of as many independent presses.
    DesignEffect,
}

impl Statistic {
    /// Name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Pooled => "pooled",
            Self::PooledAnytime => "pooled_anytime",
            Self::PooledRare => "pooled_rare",
            Self::PooledElsewhere => "pooled_elsewhere",
            Self::WorstElsewhere => "worst_elsewhere",
            Self::AboveFloor => "above_floor",
            Self::Difference => "difference",
            Self::Ratio => "ratio",
            Self::DifferenceJoint => "difference_joint",
            Self::PHolm => "p_holm",
            Self::PNotWorse => "p_not_worse",
            Self::PEquivalent => "p_equivalent",
            Self::MedianTypist => "median_typist",
            Self::P90Typist => "p90_typist",
            Self::P95Typist => "p95_typist",
            Self::ShareWithinLimit => "share_within_limit",
            Self::MedianSession => "median_session",
            Self::P90Session => "p90_session",
            Self::P95Session => "p95_session",
            Self::ShareOfSessionsWithinLimit => "share_of_sessions_within_limit",
            Self::ShareLess => "share_less",
            Self::ShareMore => "share_more",
            Self::ShareTied => "share_tied",
            Self::PooledOverTexts => "pooled_over_texts",
            Self::DifferenceOverTexts => "difference_over_texts",
            Self::Icc => "icc",
            Self::DesignEffect => "design_effect",
        }
    }
}

/// One estimate of one policy in one arm: a line of `results.json` in a result folder.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ResultRow {
    /// Label of the arm.
    pub arm: String,
    /// Label of the policy.
    pub policy: String,
    /// Which typists of the arm: `all`, a group such as `slowest third`, or those of one text, as `text tide-station`. Where
    /// rules are judged elsewhere: in which world.
    pub group: Cow<'static, str>,
    /// Name of the estimand.
    pub estimand: Cow<'static, str>,
    /// Whether the study is about it.
    pub role: Role,
    /// What is said about it.
    pub statistic: Statistic,
    /// Unit.
    pub unit: Cow<'static, str>,
    /// Label of the policy it is compared with; `None` for what concerns the policy alone.
    pub minus: Option<String>,
    /// The limit or margin of the spec that it is held against.
    pub against: Option<f64>,
    /// The estimate.
    pub estimate: Estimate,
}

impl ResultRow {
    /// What is said about an estimand of one policy over all typists of an arm, in the unit of the estimand.
    pub(crate) fn of(
        arm: &str,
        policy: &str,
        info: &'static EstimandInfo,
        statistic: Statistic,
        estimate: Estimate,
    ) -> Self {
        Self {
            arm: arm.to_owned(),
            policy: policy.to_owned(),
            group: Cow::Borrowed(ALL),
            estimand: Cow::Borrowed(info.name),
            role: Role::Secondary,
            statistic,
            unit: Cow::Borrowed(info.unit),
            minus: None,
            against: None,
            estimate,
        }
    }
}

/// Estimates everything of every policy, from the scores of the typists of each arm.
///
/// # Shape
/// Arm by arm, estimand by estimand, policy by policy in the order of the study.
pub fn estimate(study: &Study, typists: &[&ArmScores]) -> Vec<ResultRow> {
    let mut rows = Vec::new();
    for (arm, typists) in study.arms.iter().zip(typists) {
        let groups = groups::all(typists.people());
        let texts = texts::Texts::of(study, typists.people());
        let at_once = PARTS / (typists.len() * study.policies.len()).max(1);
        for infos in ESTIMANDS.chunks(at_once.max(SIDE_BY_SIDE)) {
            let infos: Vec<&'static EstimandInfo> = infos.iter().collect();
            let clusters = typists.clusters_of(&infos);
            // Each estimand draws from its own stream, and their order is kept.
            let of = |(info, clusters): (_, Vec<Clusters>)| of_estimand(study, arm, info, &clusters, &groups, &texts);
            rows.par_extend(infos.into_par_iter().zip(clusters).flat_map_iter(of));
        }
    }
    rows
}

/// Parts of estimates that are unpacked at once, of 16 bytes each: few, so that memory hardly follows the number of typists.
const PARTS: usize = 1_000_000;

/// Estimands that are worked on side by side at least, however many typists there are.
const SIDE_BY_SIDE: usize = 2;

/// The group of all typists.
pub const ALL: &str = "all";

fn of_estimand(
    study: &Study,
    arm: &Arm,
    info: &'static EstimandInfo,
    clusters: &[Clusters],
    groups: &[(&'static str, Vec<usize>)],
    texts: &texts::Texts,
) -> Vec<ResultRow> {
    let inference = &study.inference;
    let mut rows = Vec::new();
    let row = |at: usize, statistic, unit: &'static str, compared: bool, against, estimate| ResultRow {
        unit: Cow::Borrowed(unit),
        minus: compared.then(|| study.policies[inference.versus[at]].clone()),
        against,
        ..ResultRow::of(&arm.label, &study.policies[at], info, statistic, estimate)
    };
    for (at, own) in clusters.iter().enumerate() {
        let pooled = methods::rate(own, inference, study.seed, info);
        rows.push(row(at, Statistic::Pooled, info.unit, false, None, info.scaled(pooled)));
    }
    for compare::Compared { at, statistic, against, estimate } in compare::all(study, info, clusters) {
        let p = matches!(statistic, Statistic::PHolm | Statistic::PNotWorse | Statistic::PEquivalent);
        let unit = match statistic {
            Statistic::Ratio => "factor",
            _ if p => "probability",
            _ => info.unit,
        };
        rows.push(row(at, statistic, unit, true, against, estimate));
    }
    if !info.spread {
        return rows;
    }
    let keys = arm.keys;
    for (at, own) in clusters.iter().enumerate() {
        for spread::Spread { statistic, unit, against, estimate } in spread::all(inference, info, own, keys) {
            rows.push(row(at, statistic, unit, false, against, estimate));
        }
        let other = inference.versus[at];
        if other != at {
            for (statistic, estimate) in spread::shares(inference, own, &clusters[other], keys) {
                rows.push(row(at, statistic, "share of typists", true, None, estimate));
            }
        }
    }
    for (at, own) in clusters.iter().enumerate() {
        for (text, estimate) in texts.each(own, inference, study.seed, info) {
            rows.push(ResultRow { group: text, ..row(at, Statistic::Pooled, info.unit, false, None, estimate) });
        }
        let pooled = texts.over(own, None, inference.level).map(|found| info.scaled(found));
        rows.extend(pooled.map(|found| row(at, Statistic::PooledOverTexts, info.unit, false, None, found)));
        let other = inference.versus[at];
        if other != at {
            let difference = texts.over(own, Some(&clusters[other]), inference.level).map(|found| info.scaled(found));
            rows.extend(difference.map(|found| row(at, Statistic::DifferenceOverTexts, info.unit, true, None, found)));
        }
    }
    for (group, members) in groups {
        let within: Vec<_> = clusters.iter().map(|all| groups::only(all, members)).collect();
        for (at, own) in within.iter().enumerate() {
            let pooled = methods::rate(own, inference, study.seed, info);
            let grouped = |row: ResultRow| ResultRow { group: Cow::Borrowed(group), ..row };
            rows.push(grouped(row(at, Statistic::Pooled, info.unit, false, None, info.scaled(pooled))));
            let other = inference.versus[at];
            if other != at {
                let difference = info.scaled(methods::default_difference(own, &within[other], inference.level));
                rows.push(grouped(row(at, Statistic::Difference, info.unit, true, None, difference)));
            }
        }
    }
    rows
}

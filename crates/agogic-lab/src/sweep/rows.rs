//! The long table of a sweep: one row per arm, setting and estimand.

use std::borrow::Cow;

use agogic_stats::Estimate;
use agogic_study::{EstimandInfo, Study};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::swept::{ArmSweep, Swept};
use crate::estimate::rate;

/// Name of the rows of the study's own policies.
const POLICIES: &str = "policies";

/// Estimands that every setting has a row for, known or not.
const ALWAYS: [&str; 3] = ["false_holds", "missed_holds", "tap_delay"];

/// One estimate of one setting in one arm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SweepRow {
    /// Label of the arm.
    pub arm: String,
    /// Label of the sweep; `policies` for the policies of the study.
    pub sweep: String,
    /// Place of the setting in its sweep, from 0.
    pub point: usize,
    /// Label of the setting.
    pub setting: String,
    /// What was swept, with its values; empty for the policies of the study.
    pub values: Vec<(Cow<'static, str>, f64)>,
    /// Name of the estimand.
    pub estimand: Cow<'static, str>,
    /// Unit.
    pub unit: Cow<'static, str>,
    /// The estimate, pooled over typists.
    pub estimate: Estimate,
}

/// A setting whose rows are to be made.
struct Job<'a> {
    sweep: &'a str,
    point: usize,
    swept: &'a Swept,
    values: Vec<(Cow<'static, str>, f64)>,
}

/// The rows of an arm.
pub(super) fn rows(study: &Study, arm: &ArmSweep) -> Vec<SweepRow> {
    let policies = arm.policies.iter().enumerate();
    let policies = policies.map(|(point, swept)| Job { sweep: POLICIES, point, swept, values: Vec::new() });
    let sweeps = study.sweeps.iter().zip(&arm.sweeps).flat_map(|(plan, points)| {
        points.iter().enumerate().map(move |(point, swept)| {
            let names = plan.axes.iter().map(|axis| Cow::Borrowed(axis.param.name));
            let values = names.zip(swept.values.iter().copied()).collect();
            Job { sweep: &plan.label, point, swept, values }
        })
    });
    let jobs: Vec<Job<'_>> = policies.chain(sweeps).collect();
    // Each row is computed on its own, and the order of the jobs is kept.
    jobs.into_par_iter()
        .flat_map_iter(|Job { sweep, point, swept, values }| {
            estimates(study, swept).into_iter().map(move |(info, estimate)| SweepRow {
                arm: arm.label.clone(),
                sweep: sweep.to_owned(),
                point,
                setting: swept.label.clone(),
                values: values.clone(),
                estimand: info.name.into(),
                unit: info.unit.into(),
                estimate,
            })
        })
        .collect()
}

fn estimates(study: &Study, swept: &Swept) -> Vec<(&'static EstimandInfo, Estimate)> {
    let mut all: Vec<_> = swept
        .found
        .iter()
        .map(|(info, clusters)| (*info, info.scaled(rate(clusters, &study.inference, study.seed, info))))
        .collect();
    for name in ALWAYS {
        if swept.clusters(name).is_none() {
            let info = EstimandInfo::by_name(name).expect("names of our own table");
            let reason = "the delay cannot be had in one pass for this value; design = \"grid\" runs each setting";
            let level = study.inference.level;
            all.push((info, Estimate::unknown(reason, "exact curve", level, "typist", study.typists)));
        }
    }
    all
}

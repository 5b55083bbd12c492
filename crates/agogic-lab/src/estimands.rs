//! What is estimated, and how: rates per typist pooled over typists, with the typist as unit of replication.

use agogic_score::Counts;
use agogic_stats::{Clusters, Estimate, paired_difference, ratio};
use serde::Serialize;

use crate::run::TypistRow;
use crate::study::Study;

/// A quantity estimated for every policy.
#[derive(Clone, Copy, Debug)]
pub struct EstimandInfo {
    /// Name in files.
    pub name: &'static str,
    /// Unit.
    pub unit: &'static str,
    /// What it is, in a sentence.
    pub doc: &'static str,
    /// Numerator and denominator of one typist.
    pub parts: fn(&Counts) -> (f64, f64),
    /// Factor from the ratio to the unit.
    pub scale: f64,
    /// The numerator counts a part of the denominator, so the ratio lies between 0 and 1.
    pub proportion: bool,
}

/// Every estimand, in the order of the files.
pub const ESTIMANDS: &[EstimandInfo] = &[
    EstimandInfo {
        name: "false_holds",
        unit: "per 1000 taps",
        doc: "dual-role presses meant as taps and decided as holds",
        parts: |c| (c.false_holds as f64, c.taps as f64),
        scale: 1000.0,
        proportion: true,
    },
    EstimandInfo {
        name: "missed_holds",
        unit: "per 100 holds",
        doc: "dual-role presses meant as holds and decided as taps",
        parts: |c| (c.missed_holds as f64, c.holds as f64),
        scale: 100.0,
        proportion: true,
    },
    EstimandInfo {
        name: "wrong_keys",
        unit: "per 1000 words",
        doc: "keys a writer has to mend: letters lost to false holds, letters written by missed holds, keys that \
              arrive with wrong modifiers",
        parts: |c| (c.wrong_keys() as f64, c.words as f64),
        scale: 1000.0,
        proportion: false,
    },
    EstimandInfo {
        name: "stray_chords",
        unit: "per 1000 words",
        doc: "keys that reach the host with a modifier nobody meant",
        parts: |c| (c.stray_chords as f64, c.words as f64),
        scale: 1000.0,
        proportion: false,
    },
    EstimandInfo {
        name: "tap_delay",
        unit: "ms",
        doc: "mean time from press to decision of dual-role presses meant as taps",
        parts: |c| (c.tap_delay_us as f64, c.taps as f64),
        scale: 1e-3,
        proportion: false,
    },
    EstimandInfo {
        name: "tap_delay_p95",
        unit: "ms",
        doc: "mean over typists of each typist's 95th percentile of the tap delay",
        parts: |c| if c.taps > 0 { (c.tap_delay_p95_us as f64, 1.0) } else { (0.0, 0.0) },
        scale: 1e-3,
        proportion: false,
    },
    EstimandInfo {
        name: "hold_delay",
        unit: "ms",
        doc: "mean time from press to decision of dual-role presses meant as holds",
        parts: |c| (c.hold_delay_us as f64, c.holds as f64),
        scale: 1e-3,
        proportion: false,
    },
    EstimandInfo {
        name: "key_delay",
        unit: "ms",
        doc: "mean time from press to arrival at the host over all keys",
        parts: |c| (c.host_delay_us as f64, c.host_keys as f64),
        scale: 1e-3,
        proportion: false,
    },
];

/// One estimate of one policy.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ResultRow {
    /// Label of the policy.
    pub policy: String,
    /// Name of the estimand.
    pub estimand: &'static str,
    /// Unit.
    pub unit: &'static str,
    /// Label of the policy it is the difference from; `None` for the policy's own rate.
    pub minus: Option<String>,
    /// The estimate.
    pub estimate: Estimate,
}

pub(crate) fn clusters(info: &EstimandInfo, typists: &[TypistRow], policy: usize) -> Clusters {
    let parts = typists.iter().map(|row| (info.parts)(&row.counts[policy]));
    let made = if info.proportion { Clusters::proportion("typist", parts) } else { Clusters::ratio("typist", parts) };
    made.expect("counts are finite, and a numerator needs its denominator")
}

pub(crate) fn scaled(mut estimate: Estimate, scale: f64) -> Estimate {
    for field in [&mut estimate.value, &mut estimate.mcse, &mut estimate.lo, &mut estimate.hi] {
        *field = field.map(|value| value * scale);
    }
    estimate
}

/// Estimates every estimand of every policy, and its paired difference from the reference policy.
pub fn estimate(study: &Study, typists: &[TypistRow]) -> Vec<ResultRow> {
    let mut rows = Vec::new();
    let reference = &study.policies[study.reference].label;
    for (at, policy) in study.policies.iter().enumerate() {
        for info in ESTIMANDS {
            let own = clusters(info, typists, at);
            let row = |minus: Option<String>, estimate: Estimate| ResultRow {
                policy: policy.label.clone(),
                estimand: info.name,
                unit: info.unit,
                minus,
                estimate: scaled(estimate, info.scale),
            };
            rows.push(row(None, ratio(&own, study.level)));
            if at != study.reference {
                let other = clusters(info, typists, study.reference);
                let difference = paired_difference(&own, &other, study.level).expect("both have the same typists");
                rows.push(row(Some(reference.clone()), difference));
            }
        }
    }
    rows
}

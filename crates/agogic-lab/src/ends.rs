//! Both ends of what nobody has published: how people hold keys that have two roles.
//!
//! The default population lies between people who hold such a key as they hold Shift and people who have fully
//! adapted to it. What lies between is argued, not known, so a study shows its policies at both ends too.

use std::ops::Range;

use agogic_sim::{TrainedArm, TypistRow, clusters};
use agogic_stats::Estimate;
use agogic_study::{EstimandInfo, Study};
use agogic_typist::Constant;
use serde::{Deserialize, Serialize};

use crate::candidates::{Candidate, rows_of};
use crate::estimate::rate;

/// Who the people at an end are.
pub const ENDS: [(f64, &str); 2] = [(0.0, "who hold as they hold Shift"), (1.0, "who are fully adapted")];

/// What a policy comes to at an end.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct EndFigures {
    /// Label of the policy.
    pub policy: String,
    /// Wrong keys per 1000 words.
    pub wrong_keys: Estimate,
    /// False holds per 1000 taps.
    pub false_holds: Estimate,
    /// Missed holds per 100 holds.
    pub missed_holds: Estimate,
}

/// One end of the assumption on adaptation.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct End {
    /// The constant `adaptation` of the population.
    pub adaptation: f64,
    /// Typists behind the figures.
    pub typists: u64,
    /// Every policy, in the order of the study.
    pub policies: Vec<EndFigures>,
}

impl End {
    /// Who these people are, in words that follow "people".
    pub fn who(&self) -> &'static str {
        ENDS.iter().find(|(adaptation, _)| *adaptation == self.adaptation).map_or("", |(_, who)| who)
    }

    /// The policy with the fewest wrong keys.
    pub fn best(&self) -> Option<&EndFigures> {
        let known = self.policies.iter().filter(|own| own.wrong_keys.value.is_some());
        known.min_by(|a, b| a.wrong_keys.value.partial_cmp(&b.wrong_keys.value).expect("a number"))
    }

    /// The figures of a policy.
    pub fn of(&self, policy: &str) -> Option<&EndFigures> {
        self.policies.iter().find(|own| own.policy == policy)
    }
}

/// The policies of a study at both ends, for the first typists of an arm.
///
/// # Definition
/// The same typists (the same random streams) type as in the study; only the population's `adaptation` is moved. What
/// a policy learned stays what it learned from the population as the study has it.
///
/// # Shape
/// With each end the typists' scores under every policy.
pub(crate) fn ends(study: &Study, arm: &TrainedArm<'_>) -> Vec<(End, Vec<TypistRow>)> {
    let candidates = Candidate::policies(study);
    ends_and_rows(study, arm, &candidates.iter().collect::<Vec<_>>(), 0..study.ends.min(study.typists))
}

/// Candidates at both ends, for some typists; empty where none are asked for.
pub(crate) fn ends_of(study: &Study, arm: &TrainedArm<'_>, candidates: &[&Candidate], typists: Range<u64>) -> Vec<End> {
    ends_and_rows(study, arm, candidates, typists).into_iter().map(|(end, _)| end).collect()
}

fn ends_and_rows(
    study: &Study,
    arm: &TrainedArm<'_>,
    candidates: &[&Candidate],
    typists: Range<u64>,
) -> Vec<(End, Vec<TypistRow>)> {
    if typists.is_empty() || arm.arm().assignment.iter().next().is_none() {
        return Vec::new();
    }
    let end = |(adaptation, _): (f64, &str)| {
        let population = arm.arm().population.clone().with_constant(Constant::Adaptation, adaptation);
        let population = population.expect("both ends lie in the range of the constant");
        let rows = rows_of(study, arm, &population, candidates, typists.clone(), None);
        let figure = |at: usize, name: &str| {
            let info = EstimandInfo::by_name(name).expect("a name of our own table");
            info.scaled(rate(&clusters(&rows, info, at), &study.inference, study.seed, info))
        };
        let of = |(at, own): (usize, &&Candidate)| EndFigures {
            policy: own.label.clone(),
            wrong_keys: figure(at, "wrong_keys"),
            false_holds: figure(at, "false_holds"),
            missed_holds: figure(at, "missed_holds"),
        };
        let policies = candidates.iter().enumerate().map(of).collect();
        (End { adaptation, typists: typists.end - typists.start, policies }, rows)
    };
    ENDS.map(end).to_vec()
}

/// What becomes of a setting at both ends, in a sentence; empty without ends.
pub(crate) fn sentence(ends: &[End], setting: &str) -> String {
    let part = |end: &End| {
        let own = end.of(setting)?;
        let mut text = format!(
            "people {} get {} wrong keys and {} missed holds with it",
            end.who(),
            own.wrong_keys.text_in_sentence(1),
            own.missed_holds.text_in_sentence(1)
        );
        match end.best() {
            Some(best) if best.policy != setting => {
                let fewest = best.wrong_keys.text_in_sentence(1);
                text.push_str(&format!(", and the fewest wrong keys with `{}`, {fewest}", best.policy));
            }
            _ => text.push_str(", and no other setting does better"),
        }
        Some(text)
    };
    let parts: Vec<String> = ends.iter().filter_map(part).collect();
    let Some((end, own)) = ends.first().and_then(|end| Some((end, end.of(setting)?))) else { return String::new() };
    let (typists, percent) = (end.typists, 100.0 * own.wrong_keys.level);
    format!(
        " How people hold a key with two roles is not published: {} ({percent} % intervals over {typists} typists at each end).",
        parts.join("; ")
    )
}

//! What a study concludes, and what other assumptions say of it.

use std::borrow::Cow;

use agogic_sim::{TypistRow, clusters};
use agogic_stats::{Clusters, Estimate, Level};
use agogic_study::{AdvicePlan, EstimandInfo, Study};
use serde::{Deserialize, Serialize};

use super::variants::Variant;
use crate::candidates::Candidate;
use crate::estimate::{default_difference, exact_share};
use crate::recommend::{Recommendation, served_estimate};

const METHOD: &str = "share of points, exact";
const NONE: &str = "no point has an opportunity";

/// What became of a conclusion.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// No single assumption makes the estimate change its sign.
    Survives,
    /// Some assumption makes the estimate change its sign, none surely.
    Wavers,
    /// Some assumption surely turns it round.
    Breaks,
    /// The study itself is not sure of it at these typists; nothing to break.
    Open,
}

/// An assumption that speaks against a conclusion.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Against {
    /// The number that was moved; empty for the population as it is.
    pub assumption: String,
    /// Where it was moved to.
    pub value: f64,
    /// The figure there; above zero speaks for the conclusion.
    pub margin: Estimate,
}

impl Against {
    fn holds(&self) -> bool {
        self.margin.value.is_none_or(|value| value >= 0.0)
    }

    fn surely_not(&self) -> bool {
        self.margin.hi.is_some_and(|hi| hi < 0.0)
    }
}

/// A conclusion with its fate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Conclusion {
    /// What is concluded.
    pub claim: String,
    /// Unit of the margins.
    pub unit: Cow<'static, str>,
    /// By how much it holds for the population as it is, on the typists used here; above zero speaks for it.
    pub margin: Estimate,
    /// Its fate.
    pub verdict: Verdict,
    /// The smallest margin with one number moved, and which: the assumption it hangs on most.
    pub weakest: Option<Against>,
    /// The assumptions under which it surely does not hold.
    pub broken_by: Vec<Against>,
    /// Those under which the estimate speaks against it, but not surely.
    pub doubted_by: Vec<Against>,
    /// Share of the points with all numbers moved together at which the estimate speaks for it, in percent.
    pub holds_percent: Estimate,
}

/// What is concluded, in a form that can be tried again.
pub(super) struct Claim {
    /// What is claimed; a comparison claims the second if the first candidate turns out to have more.
    words: [String; 2],
    unit: &'static str,
    kind: Kind,
}

enum Kind {
    /// The second candidate has more of a figure than the first.
    Less { figure: &'static EstimandInfo, first: usize, second: usize },
    /// A candidate serves at least so many percent of typists.
    Serves { plan: AdvicePlan, candidate: usize },
    /// A candidate has at most so much of a figure over all typists.
    Within { figure: &'static EstimandInfo, most: f64, candidate: usize },
}

impl Claim {
    /// The comparisons that the study names, and what its advice claims.
    pub fn all(study: &Study, advice: Option<&Recommendation>, candidates: &[Candidate]) -> Vec<Self> {
        let mut claims = Vec::new();
        for &figure in &study.robust.figures {
            for (first, &second) in study.inference.versus.iter().enumerate() {
                if first != second {
                    claims.push(Self::less(figure, &study.policies[first], first, &study.policies[second], second));
                }
            }
        }
        let place = |label: &str| candidates.iter().position(|own| own.label == label);
        let advised = advice.and_then(|own| Some((own, own.setting.as_deref()?)));
        if let (Some(plan), Some((advice, label))) = (&study.advice, advised)
            && let Some(candidate) = place(label)
        {
            if plan.asks_of_typists() {
                claims.push(Self {
                    words: [
                        format!(
                            "`{label}` keeps {:.0} % of typists within {}",
                            100.0 * plan.served,
                            AdvicePlan::limits_in_words(&plan.limits)
                        ),
                        String::new(),
                    ],
                    unit: "typists per 100",
                    kind: Kind::Serves { plan: plan.clone(), candidate },
                });
            }
            for line in &plan.limits_of_all {
                claims.push(Self {
                    words: [format!("`{label}` has at most {}", AdvicePlan::limits_in_words(&[*line])), String::new()],
                    unit: line.info.unit,
                    kind: Kind::Within { figure: line.info, most: line.value, candidate },
                });
            }
            for other in advice.listed.iter().filter(|own| own.setting != label && own.meets) {
                if let Some(second) = place(&other.setting) {
                    claims.push(Self::less(plan.objective, label, candidate, &other.setting, second));
                }
            }
        }
        claims
    }

    fn less(figure: &'static EstimandInfo, a: &str, first: usize, b: &str, second: usize) -> Self {
        let name = figure.name.replace('_', " ");
        let words = [(a, b), (b, a)].map(|(less, more)| format!("{name}: `{less}` has less than `{more}`"));
        Self { words, unit: figure.unit, kind: Kind::Less { figure, first, second } }
    }

    /// The margin of the claim on some typists; above zero speaks for it. For a comparison it is what the second has
    /// more, whichever sign that turns out to have for the population as it is.
    pub fn look(&self, study: &Study, rows: &[TypistRow], level: Level) -> Against {
        let margin = match &self.kind {
            Kind::Less { figure, first, second } => {
                let (a, b) = (clusters(rows, figure, *first), clusters(rows, figure, *second));
                figure.scaled(default_difference(&b, &a, level))
            }
            Kind::Serves { plan, candidate } => {
                let served = served_estimate(plan, rows, *candidate, level, &[]);
                less(&served, 100.0 * plan.served, false)
            }
            Kind::Within { figure, most, candidate } => {
                let own: Clusters = clusters(rows, figure, *candidate);
                let inference = agogic_study::Inference { level, ..study.inference.clone() };
                let rate = figure.scaled(crate::estimate::rate(&own, &inference, study.seed, figure));
                less(&rate, *most, true)
            }
        };
        Against { assumption: String::new(), value: 0.0, margin }
    }

    /// The fate of the claim.
    pub fn conclude<'a>(
        &self,
        study: &Study,
        nominal: &Against,
        each: impl Iterator<Item = (&'a Variant, &'a Against)>,
    ) -> Conclusion {
        // A comparison claims whichever sign it has for the population as it is.
        let comparison = matches!(self.kind, Kind::Less { .. });
        let turned = comparison && nominal.margin.value.is_some_and(|value| value < 0.0);
        let oriented = |against: &Against| if turned { negated(against) } else { against.clone() };
        let nominal = oriented(nominal);
        let (mut singles, mut points) = (Vec::new(), Vec::new());
        for (variant, against) in each {
            match &variant.moved {
                Some((name, value)) => {
                    singles.push(Against { assumption: name.clone(), value: *value, ..oriented(against) })
                }
                None => points.push(oriented(against)),
            }
        }
        let sure = match self.kind {
            Kind::Less { .. } => nominal.margin.lo.is_some_and(|lo| lo > 0.0),
            Kind::Serves { .. } | Kind::Within { .. } => nominal.margin.value.is_some_and(|value| value >= 0.0),
        };
        let broken_by: Vec<Against> = singles.iter().filter(|own| own.surely_not()).cloned().collect();
        let doubted_by: Vec<Against> =
            singles.iter().filter(|own| !own.holds() && !own.surely_not()).cloned().collect();
        let verdict = match (sure, broken_by.is_empty(), doubted_by.is_empty()) {
            (false, ..) => Verdict::Open,
            (true, false, _) => Verdict::Breaks,
            (true, true, false) => Verdict::Wavers,
            (true, true, true) => Verdict::Survives,
        };
        let margin = |own: &Against| own.margin.value.unwrap_or(f64::INFINITY);
        let weakest = singles.iter().min_by(|a, b| margin(a).total_cmp(&margin(b))).cloned();
        let known = points.iter().filter(|own| own.margin.value.is_some()).count() as u64;
        let held = points.iter().filter(|own| own.margin.value.is_some_and(|value| value >= 0.0)).count() as u64;
        Conclusion {
            claim: self.words[usize::from(turned)].clone(),
            unit: self.unit.into(),
            margin: nominal.margin,
            verdict,
            weakest,
            broken_by,
            doubted_by,
            holds_percent: exact_share((held, known), METHOD, study.inference.level, "point", NONE).times(100.0),
        }
    }
}

/// An estimate less a number, or the other way round.
fn less(estimate: &Estimate, number: f64, the_other_way: bool) -> Estimate {
    let sign = if the_other_way { -1.0 } else { 1.0 };
    let shift = |value: Option<f64>| value.map(|value| sign * (value - number));
    let mut found = estimate.clone();
    (found.value, found.lo, found.hi) = (shift(estimate.value), shift(estimate.lo), shift(estimate.hi));
    if the_other_way {
        std::mem::swap(&mut found.lo, &mut found.hi);
    }
    found
}

fn negated(against: &Against) -> Against {
    Against { margin: less(&against.margin, 0.0, true), ..against.clone() }
}

//! What would change the advice: other limits, another share of typists, another objective.

use agogic_stats::{Level, Trials, clopper_pearson};
use agogic_study::{AdvicePlan, Line};
use serde::{Deserialize, Serialize};

use super::search::Search;
use crate::candidates::Candidate;

/// Factors on the limits that are tried.
const FACTORS: [f64; 4] = [0.5, 0.75, 1.5, 2.0];

/// Shares of typists that are tried.
const SHARES: [f64; 4] = [0.5, 0.8, 0.95, 0.99];

/// A question asked in another way, and what the search says then.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WhatIf {
    /// What is asked instead.
    pub asked: String,
    /// The setting that the search would put first; `None` where none seems to meet what is asked.
    pub setting: Option<String>,
    /// Whether that is another setting than with the question as it is.
    pub another: bool,
}

/// The question in other words: with limits times `factor`, so much served, and another objective.
struct Asked {
    words: String,
    /// The place of the limit that is changed, among those of typists and then those of all; and the factor.
    factor: Option<(usize, f64)>,
    served: f64,
    objective: &'static str,
}

/// The setting that the search puts first, and what it says when asked in other words.
///
/// # Definition
/// Each question is answered from the search typists alone: of the settings whose share served has a 95 % lower limit
/// of at least what is asked and whose pooled figures seem within their limits, the one with the least loss. Settings
/// that went home early were tried on fewer typists and so are harder to show; the answers are hints and no claims.
pub(super) fn what_ifs(plan: &AdvicePlan, search: &Search, advised: &Candidate) -> (Option<String>, Vec<WhatIf>) {
    let as_is = as_it_is(plan);
    let now = best(plan, search, &as_is, &|_| true);
    let mut questions = Vec::new();
    let lines = || plan.limits.iter().chain(&plan.limits_of_all);
    for (at, line) in lines().enumerate() {
        for factor in FACTORS {
            let value = line.value * factor;
            let words = format!("a limit of {}", AdvicePlan::limits_in_words(&[Line { info: line.info, value }]));
            questions.push(Asked { words, factor: Some((at, factor)), ..copy(&as_is) });
        }
    }
    if plan.asks_of_typists() {
        for served in SHARES.into_iter().filter(|share| (share - plan.served).abs() > 0.005) {
            let words = format!("{:.0} % of typists within the limits", 100.0 * served);
            questions.push(Asked { words, served, ..copy(&as_is) });
        }
    }
    for name in super::search::OBJECTIVES.into_iter().filter(|name| *name != plan.objective.name) {
        let words =
            format!("least {} instead of least {}", name.replace('_', " "), plan.objective.name.replace('_', " "));
        questions.push(Asked { words, objective: name, ..copy(&as_is) });
    }
    let turns = questions
        .into_iter()
        .map(|asked| {
            let found = best(plan, search, &asked, &|_| true);
            let another = found != now && found.is_none_or(|at| search.candidates[at].label != advised.label);
            WhatIf { another, setting: found.map(|at| search.candidates[at].label.clone()), asked: asked.words }
        })
        .collect();
    (now.map(|at| search.candidates[at].label.clone()), turns)
}

fn as_it_is(plan: &AdvicePlan) -> Asked {
    Asked { words: String::new(), factor: None, served: plan.served, objective: plan.objective.name }
}

/// The place of the setting that the search puts first among some, with what is asked as it is.
pub(super) fn best_as_asked(plan: &AdvicePlan, search: &Search, among: impl Fn(usize) -> bool) -> Option<usize> {
    best(plan, search, &as_it_is(plan), &among)
}

fn copy(asked: &Asked) -> Asked {
    Asked { words: String::new(), ..*asked }
}

/// The place of the setting that the search puts first.
fn best(plan: &AdvicePlan, search: &Search, asked: &Asked, among: &dyn Fn(usize) -> bool) -> Option<usize> {
    let objective = search.place(asked.objective)?;
    let mut changed = plan.clone();
    if let Some((at, factor)) = asked.factor {
        let typists = changed.limits.len();
        let line = if at < typists { &mut changed.limits[at] } else { &mut changed.limits_of_all[at - typists] };
        line.value *= factor;
    }
    let pooled = |typists: &[Vec<(f64, f64)>], place: usize| -> Option<f64> {
        let (y, x) = typists.iter().fold((0.0, 0.0), |(y, x), parts| (y + parts[place].0, x + parts[place].1));
        (x > 0.0).then(|| y / x)
    };
    let meets = |typists: &[Vec<(f64, f64)>]| -> bool {
        let all = changed.limits_of_all.iter().all(|line| {
            let place = search.place(line.info.name).expect("kept");
            pooled(typists, place).is_some_and(|value| value * line.info.scale <= line.value)
        });
        if !all || !changed.asks_of_typists() {
            return all;
        }
        let known =
            typists.iter().filter_map(|parts| changed.within(|info| parts[search.place(info.name).expect("kept")]));
        let (served, n) = known.fold((0, 0), |(served, n), is| (served + u64::from(is), n + 1));
        let level = Level::new(0.9).expect("a level");
        Trials::new(served, n).is_ok_and(|trials| clopper_pearson(trials, level).lo >= asked.served)
    };
    let able = search.parts.iter().enumerate().filter(|(at, typists)| among(*at) && meets(typists));
    let able = able.filter_map(|(at, typists)| Some((pooled(typists, objective)?, at)));
    able.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))).map(|(_, at)| at)
}

//! From a study and what it asks of a setting to advice: which setting, how sure, whom it fails, what to turn.
//!
//! Three sets of typists, none of whom is in two: those a rule learned from, those of the search, and those
//! that confirm. On the search typists all settings of the study (its policies and the points of its sweeps) run a
//! [race](agogic_stats::race); between looks, settings near the leaders enter. The short list then meets fresh
//! typists, from whom every number that is claimed comes, so nothing is praised for its luck.

mod asked;
mod effects;
#[cfg(test)]
mod honesty;
mod learned;
mod one;
mod practice;
mod rules;
mod search;
mod subgroups;
mod what_if;
mod words;

pub(crate) use asked::served_estimate;
pub use effects::EffectRow;
pub use learned::LearnedVerdict;
pub use one::{OneDefault, OneSetting, OneWorld};
pub use practice::{PRACTICE_NOTE, PRACTISED, Practice, PractisedRule, PractisedStage};
pub use rules::RuleRow;
pub use subgroups::SubgroupRow;
pub use what_if::WhatIf;

use std::borrow::Cow;

use agogic_sim::numbers::CONFIRM;
use agogic_sim::{Engine, Store, TrainedArm, TypistRow};
use agogic_stats::Estimate;
use agogic_stats::race::{Confirmation, Confirmed, Dropped, Tally, confirm};
use agogic_study::{AdvicePlan, Study};
use serde::{Deserialize, Serialize};

use crate::candidates::{Candidate, Judge};
use crate::elsewhere::{self, ElsewhereRow};
use crate::ends::{End, ends_of};
use crate::estimate::rate;
use crate::transfer::Transfer;
use asked::{demands, tally};
use one::one_default;
use search::Search;

/// A setting that took part in the search.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Searched {
    /// Label of the setting.
    pub setting: String,
    /// Label of the sweep it comes from; `policies` for a policy of the study.
    pub from: String,
    /// Whether it entered near a leader rather than from the spec.
    pub newcomer: bool,
    /// Search typists it was tried on.
    pub typists: u64,
    /// Its loss on them, in the unit of the objective. Not a claim: the best of many looks better than it is.
    pub loss: Option<f64>,
    /// Share of them within the limits, in percent; `None` where no limit asks.
    pub served_percent: Option<f64>,
    /// What became of it: `listed`, `left out`, `outside the limits` or `worse than …`.
    pub end: String,
}

/// A setting of the short list, on fresh typists.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Listed {
    /// Label of the setting.
    pub setting: String,
    /// Label of the sweep it comes from; `policies` for a policy of the study.
    pub from: String,
    /// Whether it entered near a leader rather than from the spec.
    pub newcomer: bool,
    /// Its swept values.
    pub values: Vec<(Cow<'static, str>, f64)>,
    /// Its loss, with an interval for itself.
    pub loss: Estimate,
    /// Typists within the limits per 100, with an exact interval for itself; `None` where no limit asks.
    pub served: Option<Estimate>,
    /// Lower limit of that share in percent, at the error of the joint claims.
    pub served_at_least_percent: Option<f64>,
    /// Whether it meets everything asked, by the joint claims.
    pub meets: bool,
    /// Whether it surely does not.
    pub breaks: bool,
    /// Its loss less that of the advised setting, with limits for all pairs of the short list together.
    pub more_loss: Option<Estimate>,
    /// Whether it meets what is asked and cannot be told apart from the advised setting, or differs by less than the
    /// least gain.
    pub alike: bool,
}

/// Advice for one arm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Recommendation {
    /// Label of the arm.
    pub arm: String,
    /// Label of the advised setting; `None` where none is sure to meet what is asked.
    pub setting: Option<String>,
    /// The whole in plain words.
    pub sentence: String,
    /// The advised setting and its short list at both ends of what is assumed of holding.
    pub ends: Vec<End>,
    /// Confidence that all claims hold together.
    pub confidence: f64,
    /// The short list, least loss in the search first.
    pub listed: Vec<Listed>,
    /// Settings tried, with what became of them.
    pub searched: Vec<Searched>,
    /// Most that a setting left out of the short list could have less loss than the safe choice of the search, in
    /// the unit of the objective.
    pub most_missed: Option<f64>,
    /// The best setting of each rule: what a simpler one costs.
    pub rules: Vec<RuleRow>,
    /// Whom the advised setting (or the nearest one) serves, and whom it fails.
    #[serde(rename = "whom")]
    pub subgroups: Vec<SubgroupRow>,
    /// What turning each of its values does.
    #[serde(rename = "knobs")]
    pub effects: Vec<EffectRow>,
    /// What to turn for whom, in words.
    pub for_them: Vec<String>,
    /// The setting that the search alone puts first, with what is asked as it is.
    pub first_in_search: Option<String>,
    /// What would change the advice.
    #[serde(rename = "turns")]
    pub what_ifs: Vec<WhatIf>,
    /// Rules that know keys, where they learned and in other worlds; empty where the study has none. Where what they gain
    /// does not survive in one of them, no such rule took part in the search.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub elsewhere: Vec<ElsewhereRow>,
    /// Settings of rules that learn, in every world beside the best rules that learn nothing; `None` where the search put no
    /// rule that learns on its short list.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub transfer: Option<Transfer>,
    /// What became of them. Those that do not beat the worst case of the rules that learn nothing are not on the short
    /// list, and a rule none of whose settings does took no part in the search.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub learned: Vec<LearnedVerdict>,
    /// What becomes of the advice while people come to hold for the rule they live with; `None` where the study asks for no
    /// ends.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub practice: Option<Practice>,
    /// The one default of the keyboard, whoever types on it: told with the first arm of a keyboard, where several populations
    /// type on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub one_default: Option<OneDefault>,
}

impl Recommendation {
    /// How its intervals were made: level, unit and the method of each kind of figure.
    pub fn intervals(&self) -> String {
        let listed = self.listed.first();
        let kinds = [
            ("objective", listed.map(|own| &own.loss)),
            ("served", listed.and_then(|own| own.served.as_ref())),
            ("differences of the short list", self.listed.iter().find_map(|own| own.more_loss.as_ref())),
            ("what another rule costs", self.rules.first().map(|row| &row.more_loss)),
            ("what a turn does", self.effects.first().map(|row| &row.change)),
        ];
        let known: Vec<_> = kinds.into_iter().filter_map(|(kind, estimate)| Some((kind, estimate?))).collect();
        let methods: Vec<String> = known.iter().map(|(kind, own)| format!("{kind}: {}", own.method)).collect();
        let head = known.first().map_or_else(String::new, |(_, own)| {
            format!("Intervals of {:.0} %, unit of resampling: {}. ", 100.0 * own.level, own.unit)
        });
        format!("{head}Methods: {}.", methods.join("; "))
    }
}

/// The policies of a study, and then the short list of its advice where they are not among them.
pub(crate) fn to_judge(study: &Study, arm: &TrainedArm<'_>, advice: Option<&Recommendation>) -> Vec<Candidate> {
    let mut all = Candidate::policies(study);
    for listed in advice.iter().flat_map(|own| &own.listed) {
        if all.iter().any(|own| own.label == listed.setting) {
            continue;
        }
        let sweep = study.sweeps.iter().position(|plan| plan.label == listed.from);
        all.extend(sweep.map(|sweep| {
            let plan = &study.sweeps[sweep];
            let values: Vec<f64> = listed.values.iter().map(|(_, value)| *value).collect();
            Candidate::point(plan, sweep, plan.setting(&arm.sweeps[sweep], &values), values, listed.newcomer)
        }));
    }
    all
}

/// Advice for every arm of a study; `None` where the study has no table `advice`.
///
/// `progress` is called with the number of typists done times settings; it may be called from any thread. What was
/// judged is kept in `store`, and taken up from there: the advice is the same, however often it was interrupted.
///
/// # Definition
/// See [`agogic_stats::race`] for the claims. A typist is served when each limited figure of the session, as it was
/// typed, is at most its limit; one without an opportunity for a limited figure, and none beyond its limit, is
/// neither served nor not.
pub fn recommend(
    engine: &Engine<'_>,
    store: Option<&Store>,
    progress: &(dyn Fn(u64) + Sync),
) -> Option<Vec<Recommendation>> {
    let plan = engine.study.advice.as_ref()?;
    let judge = |arm| Judge::new(engine.study, arm, store, progress);
    let mut each: Vec<Recommendation> =
        engine.arms.iter().map(|arm| for_arm(engine.study, plan, arm, judge(arm))).collect();
    if let Some(first) = each.first_mut() {
        first.one_default = one_default(engine, store);
    }
    Some(each)
}

fn for_arm(study: &Study, plan: &AdvicePlan, arm: &TrainedArm<'_>, judge: Judge<'_>) -> Recommendation {
    let level = study.inference.level;
    let elsewhere = elsewhere::of_arm(study, arm);
    let Admitted { search, transfer, learned } = admitted(study, plan, arm, &judge, &elsewhere);
    let list: Vec<&Candidate> = search.list.chosen.iter().map(|&at| &search.candidates[at]).collect();
    let fresh = CONFIRM..CONFIRM + plan.confirm_typists;
    let rows = judge.rows(&list, fresh.clone());
    let tallies: Vec<Tally> = (0..list.len()).map(|at| tally(plan, &rows, at)).collect();
    let found = confirm(&search.rules, &demands(plan), &tallies.iter().collect::<Vec<_>>());
    // Where nothing is confirmed, whom it fails is told of the one that served most.
    let best_place = found.chosen.unwrap_or_else(|| nearest(&tallies));
    let steps = effects::steps(study, arm, list[best_place]);
    let best = rules::best_of_each(plan, &search, arm);
    let of_rules: Vec<&Candidate> = best.iter().map(|(_, at, _)| &search.candidates[*at]).collect();
    // The best of each rule, then the turns: one pass over the typists for both.
    let others: Vec<&Candidate> = of_rules.iter().copied().chain(steps.iter().map(|step| &step.candidate)).collect();
    let judged = judge.rows(&others, fresh);
    let rules = rules::rows(study, plan, (&rows, best_place), &best, (&of_rules, &judged));
    let effects = effects::rows(study, plan, (&rows, best_place), &steps, (&judged, best.len()));
    let subgroups = subgroups::rows(study, plan, &rows, best_place);
    let listed = listed(study, plan, &search, &found, &rows, &tallies);
    let for_them = effects::for_them(plan, &subgroups, &effects);
    let (first_in_search, what_ifs) = what_if::what_ifs(plan, &search, list[best_place]);
    let ends = if found.chosen.is_some() { at_ends(study, arm, &list) } else { Vec::new() };
    let mut advice = Recommendation {
        arm: arm.arm().label.clone(),
        setting: found.chosen.map(|at| listed[at].setting.clone()),
        sentence: String::new(),
        ends,
        confidence: level.confidence(),
        searched: searched(plan, &search),
        most_missed: search.list.most_missed.map(|most| most * plan.objective.scale),
        listed,
        rules,
        subgroups,
        effects,
        for_them,
        first_in_search,
        what_ifs,
        elsewhere,
        transfer,
        learned,
        practice: None,
        one_default: None,
    };
    let asked = (list[best_place], &of_rules[..], &search.candidates[..]);
    advice.practice = practice::practice(study, plan, arm, asked, CONFIRM..CONFIRM + study.ends, judge.store());
    advice.sentence = words::sentence(plan, &advice, found.chosen);
    advice.sentence.push_str(&learned::sentence(plan, advice.transfer.as_ref(), &advice.learned));
    advice.sentence.push_str(&words::of_elsewhere(&advice.elsewhere));
    advice
}

/// A search in which rules that learn take part only where they may be advised.
struct Admitted {
    search: Search,
    transfer: Option<Transfer>,
    learned: Vec<LearnedVerdict>,
}

/// Searches until no setting of the short list is barred: a rule none of whose settings beats the worst case of the rules
/// that learn nothing goes, and the search is done again without it.
fn admitted(
    study: &Study,
    plan: &AdvicePlan,
    arm: &TrainedArm<'_>,
    judge: &Judge<'_>,
    elsewhere: &[ElsewhereRow],
) -> Admitted {
    let without_keys = elsewhere::lost_in(elsewhere).is_some();
    let mut barred: Vec<String> = Vec::new();
    let (mut transfer, mut learned): (Option<Transfer>, Vec<LearnedVerdict>) = (None, Vec::new());
    loop {
        let admits = |own: &Candidate| {
            let keys = without_keys && own.knows_keys(arm);
            !keys && !barred.iter().any(|rule| rule == own.rule(arm))
        };
        let mut search = Search::run(study, plan, arm, judge, admits);
        let Some(held) = learned::held(study, plan, arm, &search) else {
            return Admitted { search, transfer, learned };
        };
        let fails = |label: &str| held.verdicts.iter().any(|own| own.setting == label && !own.beats);
        let passes = |rule: &str| held.verdicts.iter().any(|own| own.rule == rule && own.beats);
        let mut without: Vec<String> =
            held.verdicts.iter().filter(|own| !passes(&own.rule)).map(|own| own.rule.clone()).collect();
        without.dedup();
        if without.is_empty() {
            search.keep_listed(|own| !fails(&own.label));
        }
        match &mut transfer {
            None => transfer = Some(held.transfer),
            Some(known) => known.add(held.transfer),
        }
        for own in held.verdicts {
            if !learned.iter().any(|known| known.setting == own.setting) {
                learned.push(own);
            }
        }
        if without.is_empty() {
            return Admitted { search, transfer, learned };
        }
        barred.extend(without);
    }
}

/// The short list at both ends of what is assumed of holding, for the first of the typists that confirm.
fn at_ends(study: &Study, arm: &TrainedArm<'_>, list: &[&Candidate]) -> Vec<End> {
    ends_of(study, arm, list, CONFIRM..CONFIRM + study.ends)
}

/// The place of the one that served the most, and of equals the one with less loss in the search.
fn nearest(tallies: &[Tally]) -> usize {
    let share = |tally: &Tally| {
        let (served, all) = tally.served_of();
        served as f64 / all.max(1) as f64
    };
    let better = |best: usize, at: usize| if share(&tallies[at]) > share(&tallies[best]) { at } else { best };
    (0..tallies.len()).fold(0, better)
}

fn listed(
    study: &Study,
    plan: &AdvicePlan,
    search: &Search,
    found: &Confirmation,
    rows: &[TypistRow],
    tallies: &[Tally],
) -> Vec<Listed> {
    let objective = plan.objective;
    let of = |(at, own): (usize, &Confirmed)| {
        let loss = rate(&tallies[at].loss, &study.inference, study.seed, objective);
        let candidate = &search.candidates[search.list.chosen[at]];
        Listed {
            setting: candidate.label.clone(),
            from: candidate.from.clone(),
            newcomer: candidate.newcomer,
            values: candidate.values(study).into_iter().map(|(name, value)| (name.into(), value)).collect(),
            loss: objective.scaled(loss),
            served: plan.asks_of_typists().then(|| served_estimate(plan, rows, at, study.inference.level, &[])),
            served_at_least_percent: own.served.map(|limits| 100.0 * limits.lo),
            meets: own.meets,
            breaks: own.breaks,
            more_loss: own.more_loss.clone().map(|gap| objective.scaled(gap)),
            alike: own.meets && found.chosen != Some(at) && own.alike(plan.least_gain / objective.scale),
        }
    };
    found.all.iter().enumerate().map(of).collect()
}

fn searched(plan: &AdvicePlan, search: &Search) -> Vec<Searched> {
    let runners = search.race.runners();
    let of = |(at, runner): (usize, &agogic_stats::race::Runner)| {
        let candidate = &search.candidates[at];
        let (served, all) = runner.tally.served_of();
        let end = match runner.dropped {
            _ if search.list.chosen.contains(&at) => "listed".to_owned(),
            Some((_, Dropped::Outside)) => "outside the limits".to_owned(),
            Some((_, Dropped::WorseThan(other))) => format!("worse than {}", search.candidates[other].label),
            None => "left out".to_owned(),
        };
        Searched {
            setting: candidate.label.clone(),
            from: candidate.from.clone(),
            newcomer: candidate.newcomer,
            typists: runner.tally.loss.len() as u64,
            loss: runner.tally.loss_value().map(|loss| loss * plan.objective.scale),
            served_percent: (plan.asks_of_typists() && all > 0).then(|| 100.0 * served as f64 / all as f64),
            end,
        }
    };
    runners.iter().enumerate().map(of).collect()
}

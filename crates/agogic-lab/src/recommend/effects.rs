//! What turning each value of a setting does to each error: "raise it if …", measured.

use std::borrow::Cow;

use agogic_policy::{GUARDS, Param, Setting};
use agogic_sim::{TrainedArm, TypistRow, clusters};
use agogic_stats::Estimate;
use agogic_study::{AdvicePlan, EstimandInfo, Study};
use serde::{Deserialize, Serialize};

use super::asked::served_clusters;
use super::subgroups::{SERVED, SERVED_UNIT, SubgroupRow, members};
use crate::candidates::Candidate;
use crate::estimate::{ALL, default_difference, groups};

/// What is looked at when a value is turned, beside the objective and what is limited.
const FIGURES: [&str; 5] = ["false_holds", "missed_holds", "tap_delay_p95", "wrong_keys", "harm"];

/// What a turned value does to one figure of one group.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct EffectRow {
    /// What is done, such as `raise the cutoff from 200 to 220 ms`.
    #[serde(rename = "turn")]
    pub action: String,
    /// The value or guard.
    #[serde(rename = "knob")]
    pub value: Cow<'static, str>,
    /// The group of typists; `all` for everybody.
    pub group: Cow<'static, str>,
    /// The estimand, or `served`.
    pub figure: Cow<'static, str>,
    /// Its unit.
    pub unit: Cow<'static, str>,
    /// The figure after the step less the figure before, over the same presses; an interval for itself.
    pub change: Estimate,
}

/// A setting one step away.
pub(super) struct Step {
    pub name: &'static str,
    pub action: String,
    pub candidate: Candidate,
}

/// The settings one step away. None where each typist has an own setting.
///
/// # Definition
/// A value that was swept moves by the step of its sweep. Another moves by 20 if it is in ms, by 0.05 if it is a
/// share and by a tenth of itself otherwise, by a quarter of a nat at least (assumed: large enough to see, small enough to
/// try), and to a number that a person would write down. A guard that is set also comes off, and one that is not set is
/// put on at its default.
pub(super) fn steps(study: &Study, arm: &TrainedArm<'_>, candidate: &Candidate) -> Vec<Step> {
    let Some(setting) = candidate.setting(arm) else { return Vec::new() };
    let steps = candidate.steps(study);
    let mut found = Vec::new();
    let mut add = |name: &'static str, action: String, turned: Setting| {
        if turned.label() != setting.label() {
            found.push(Step { name, action, candidate: Candidate::near(turned) });
        }
    };
    let guards = GUARDS.iter().filter_map(|guard| guard.param);
    // Memory is the designer's: no turn of it is advised.
    let own = setting.entry().params.iter().copied().filter(|param| param.unit != "byte");
    for param in own.chain(guards) {
        let Ok(value) = setting.value(param.name) else { continue };
        let mut turn = |after: Option<f64>, turned: Setting| {
            if let Some(action) = param.turned(value, after) {
                add(param.name, action, turned);
            }
        };
        let Some(value) = value else {
            if let Ok(turned) = setting.with_value(param.name, param.default) {
                turn(Some(param.default), turned);
            }
            continue;
        };
        let step =
            steps.iter().find(|(name, _)| *name == param.name).map_or_else(|| usual_step(&param, value), |s| s.1);
        for moved in [value - step, value + step].map(|moved| param.written(moved)) {
            if let Ok(turned) = setting.with_value(param.name, moved) {
                turn(Some(moved), turned);
            }
        }
        if setting.entry().params.iter().all(|own| own.name != param.name) {
            turn(None, setting.without_guard(param.name));
        }
    }
    let mut hands = *setting.guards();
    hands.other_hand = !hands.other_hand;
    let word = if hands.other_hand {
        "let only keys of the other hand make a hold"
    } else {
        "let keys of the same hand make a hold too"
    };
    add("other_hand", word.to_owned(), setting.clone().with_guards(hands));
    found
}

fn usual_step(param: &Param, value: f64) -> f64 {
    match param.unit {
        "ms" => 20.0,
        "nat" => (0.1 * value.abs()).max(0.25),
        _ if param.max <= 1.0 => 0.05,
        _ => (0.1 * value.abs()).max(0.1),
    }
}

/// The effect of each step on each figure of each group: typists with the place of the setting before, and with that of
/// the first step.
pub(super) fn rows(
    study: &Study,
    plan: &AdvicePlan,
    (before, at): (&[TypistRow], usize),
    steps: &[Step],
    (after, first): (&[TypistRow], usize),
) -> Vec<EffectRow> {
    let level = study.inference.level;
    let members = members(before);
    let mut figures: Vec<&'static EstimandInfo> = vec![plan.objective];
    let named = FIGURES.iter().filter_map(|name| EstimandInfo::by_name(name));
    for info in named.chain(plan.limits.iter().chain(&plan.limits_of_all).map(|line| line.info)) {
        if !figures.iter().any(|known| known.name == info.name) {
            figures.push(info);
        }
    }
    let mut rows = Vec::new();
    for (place, step) in (first..).zip(steps) {
        for (group, members) in &members {
            let row = |figure: &'static str, unit: &'static str, change| EffectRow {
                action: step.action.clone(),
                value: step.name.into(),
                group: (*group).into(),
                figure: figure.into(),
                unit: unit.into(),
                change,
            };
            for info in &figures {
                let (own, other) = (clusters(after, info, place), clusters(before, info, at));
                let change = default_difference(&groups::only(&own, members), &groups::only(&other, members), level);
                rows.push(row(info.name, info.unit, info.scaled(change)));
            }
            if plan.asks_of_typists() {
                let (own, other) = (served_clusters(plan, after, place), served_clusters(plan, before, at));
                let change = default_difference(&groups::only(&own, members), &groups::only(&other, members), level);
                rows.push(row(SERVED, SERVED_UNIT, change.times(100.0)));
            }
        }
    }
    rows
}

/// For each group that is served worse than asked, the step that surely helps it most, and what it costs everybody.
pub(super) fn for_them(plan: &AdvicePlan, whom: &[SubgroupRow], effects: &[EffectRow]) -> Vec<String> {
    let asked = 100.0 * plan.served;
    let failed = whom.iter().filter(|row| row.figure == SERVED && row.group != ALL);
    let failed = failed.filter(|row| row.estimate.value.is_some_and(|share| share < asked));
    failed
        .map(|row| {
            let share = row.estimate.value.unwrap_or_default();
            let helps = effects.iter().filter(|own| own.group == row.group && own.figure == SERVED);
            let helps = helps.filter(|own| own.change.lo.is_some_and(|lo| lo > 0.0));
            let best = helps.max_by(|a, b| a.change.value.partial_cmp(&b.change.value).expect("numbers"));
            let Some(best) = best else {
                return format!("{}: {share:.0} of 100 are served, and no single turn surely helps them.", row.group);
            };
            let of_all = |figure: &str| {
                let own = effects.iter().find(|k| k.action == best.action && k.group == ALL && k.figure == figure);
                own.map_or_else(|| "unknown".to_owned(), |own| super::words::change(&own.change))
            };
            format!(
                "{}: {share:.0} of 100 are served. To help them, {}: {} more of them per 100 are served; for everybody \
                 it makes {}.",
                row.group,
                best.action,
                super::words::change(&best.change),
                plan.objective.said(&of_all(plan.objective.name)),
            )
        })
        .collect()
}

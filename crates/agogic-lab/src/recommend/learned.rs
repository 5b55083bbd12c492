//! Whether a rule that learns may be advised: only where its worst case beats that of every rule that learns nothing.

use agogic_policy::Setting;
use agogic_sim::TrainedArm;
use agogic_sim::numbers::TRANSFER;
use agogic_stats::{Clusters, Estimate, ratio};
use agogic_study::{AdvicePlan, Arm, Study};
use serde::{Deserialize, Serialize};

use super::rules::best_of_each;
use super::search::Search;
use crate::candidates::Candidate;
use crate::ends::ENDS;
use crate::estimate::default_difference;
use crate::robust::ends_of_assumptions;
use crate::transfer::{Transfer, TransferRow, World, joint_level, judge, people};

/// What became of a setting of a rule that learns.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LearnedVerdict {
    /// Label of the setting.
    pub setting: String,
    /// Its rule.
    pub rule: String,
    /// On whom it was trained.
    pub trained_on: String,
    /// Whether its worst case is surely better than that of every rule that learns nothing; only then it may be advised.
    pub beats: bool,
    /// The rule that learns nothing whose worst case is hardest to beat.
    pub against: String,
    /// Its worst figure less the worst of that rule, over the same typists, each in the world where it is worst. Its interval
    /// is at the level of that comparison.
    pub more_at_worst: Estimate,
}

/// Rules that learn, held against those that do not.
pub(super) struct Held {
    pub transfer: Transfer,
    pub verdicts: Vec<LearnedVerdict>,
}

/// The settings of the short list that learn, in every world beside the best setting of each rule that learns nothing.
/// `None` where none of them learns, none that learns nothing was tried, or no typists are asked for elsewhere.
///
/// # Definition
/// The worlds are the people of the arm, the other populations, both ends of each number of the model that is assumed, and
/// for rules that know keys other texts and shortcuts. In each as many typists as `typists.at_the_ends`, the same numbers
/// in all, whom neither the search nor the confirmation meets. A setting beats a rule that learns nothing if in every
/// world its figure is surely less than that of the other in the world where that one is worst: paired differences over
/// typists at the level 1 − α/W, W worlds, since that world was chosen by its estimate. That it holds in all worlds, and
/// against all such rules, costs no level: each has to hold (intersection–union).
///
/// # Source
/// Berger 1982, Technometrics 24(4), on intersection–union tests (from memory).
pub(super) fn held(study: &Study, plan: &AdvicePlan, arm: &TrainedArm<'_>, search: &Search) -> Option<Held> {
    let learns = |own: &Candidate| own.setting(arm).is_some_and(|setting| setting.entry().needs_training);
    let simple = |own: &Candidate| own.setting(arm).is_some_and(|setting| !setting.entry().needs_training);
    let learned: Vec<&Candidate> =
        search.list.chosen.iter().map(|&at| &search.candidates[at]).filter(|own| learns(own)).collect();
    let best = best_of_each(plan, search, arm);
    let best = best.iter().map(|(_, at, meets)| (&search.candidates[*at], *meets)).filter(|(own, _)| simple(own));
    let (able, others): (Vec<_>, Vec<_>) = best.partition(|(_, meets)| *meets);
    // Where no rule that learns nothing keeps the limits, those that come nearest stand for them.
    let simple: Vec<&Candidate> = if able.is_empty() { others } else { able }.into_iter().map(|(own, _)| own).collect();
    if learned.is_empty() || simple.is_empty() || study.ends == 0 {
        return None;
    }
    let all: Vec<&Candidate> = learned.iter().chain(&simple).copied().collect();
    let settings: Vec<&Setting> = all.iter().filter_map(|own| own.setting(arm)).collect();
    let typists = TRANSFER..TRANSFER + study.ends;
    let knows_keys = learned.iter().any(|own| own.knows_keys(arm));
    let worlds = worlds(study, arm.arm(), knows_keys);
    let figures: Vec<Vec<Clusters>> = worlds
        .iter()
        .map(|world| judge((study.seed, &study.costs), world, typists.clone(), &settings, plan.objective))
        .collect();
    let of = |at: usize| -> Vec<&Clusters> { figures.iter().map(|world| &world[at]).collect() };
    let row = |(at, own): (usize, &&Candidate)| {
        let worlds: Vec<(&str, &Clusters)> = worlds.iter().map(|world| world.name.as_str()).zip(of(at)).collect();
        let trained_on = (at < learned.len()).then(|| study.trained_on(arm.arm()));
        TransferRow::of(study, plan.objective, &own.label, trained_on, &worlds)
    };
    let transfer = Transfer {
        arm: arm.arm().label.clone(),
        estimand: plan.objective.name.to_owned(),
        unit: plan.objective.unit.to_owned(),
        rows: all.iter().enumerate().map(row).collect(),
    };
    let verdict = |(at, own): (usize, &&Candidate)| {
        let each = (learned.len()..all.len()).map(|other| (other, Comparison::of(study, &of(at), &of(other))));
        let each: Vec<(usize, Comparison)> = each.collect();
        let beats = each.iter().all(|(_, own)| own.beats);
        let gap = |own: &Comparison| own.at_worst.value.unwrap_or(f64::INFINITY);
        let (other, hardest) =
            each.into_iter().max_by(|a, b| gap(&a.1).total_cmp(&gap(&b.1))).expect("some rule learns nothing");
        LearnedVerdict {
            setting: own.label.clone(),
            rule: own.rule(arm).to_owned(),
            trained_on: study.trained_on(arm.arm()),
            beats,
            against: all[other].label.clone(),
            more_at_worst: plan.objective.scaled(hardest.at_worst),
        }
    };
    let verdicts = learned.iter().enumerate().map(verdict).collect();
    Some(Held { transfer, verdicts })
}

/// One setting against another, each over all worlds.
struct Comparison {
    beats: bool,
    at_worst: Estimate,
}

impl Comparison {
    fn of(study: &Study, own: &[&Clusters], other: &[&Clusters]) -> Self {
        let level = study.inference.level;
        let worst = |all: &[&Clusters]| {
            let value = |at: &usize| ratio(all[*at], level).value.unwrap_or(f64::NEG_INFINITY);
            (0..all.len()).max_by(|a, b| value(a).total_cmp(&value(b))).expect("there is a world")
        };
        let joint = joint_level(level, other.len());
        let against = other[worst(other)];
        let gap = |own: &Clusters| default_difference(own, against, joint);
        let beats = own.iter().all(|own| gap(own).hi.is_some_and(|hi| hi < 0.0));
        Self { beats, at_worst: gap(own[worst(own)]) }
    }
}

/// The worlds in which settings of an arm are held against each other; that of the arm first.
fn worlds(study: &Study, arm: &Arm, knows_keys: bool) -> Vec<World> {
    let mut all = vec![World::of_people(arm, arm.population.clone())];
    let arms = study.arms.iter().filter(|other| other.assignment_name == arm.assignment_name);
    let others = people(arms).into_iter().filter(|population| population.name() != arm.population.name());
    all.extend(others.map(|population| World::of_people(arm, population)));
    for (name, value, population) in ends_of_assumptions(study.seed, &arm.population) {
        let end = ENDS.iter().find(|(adaptation, _)| name == "adaptation" && *adaptation == value);
        let name = end.map_or_else(|| format!("{name} = {value}"), |(_, who)| format!("people {who}"));
        all.push(World { name, ..World::of_people(arm, population) });
    }
    all.push(World::over_ranges(arm));
    if knows_keys {
        all.extend(World::of_texts(study, arm));
    }
    all
}

/// What is said of rules that learn, in sentences with a space before them; empty where none was held against others.
pub(super) fn sentence(plan: &AdvicePlan, transfer: Option<&Transfer>, verdicts: &[LearnedVerdict]) -> String {
    let Some(transfer) = transfer.filter(|_| !verdicts.is_empty()) else { return String::new() };
    let row = |label: &str| transfer.rows.iter().find(|row| row.policy == label);
    let worst = |label: &str| {
        let worst = row(label)?.worst.as_ref()?;
        Some(format!("{} ({})", worst.estimate.text_in_sentence(1), worst.world))
    };
    let worst = |label: &str| worst(label).unwrap_or_else(|| "unknown".to_owned());
    let own = |label: &str| {
        row(label).and_then(TransferRow::own).map_or("unknown".to_owned(), |own| own.estimate.text_in_sentence(1))
    };
    let worlds = transfer.rows.first().map_or(0, |row| row.on.len());
    let said = |own_verdict: &&LearnedVerdict| {
        let LearnedVerdict { setting, against, .. } = own_verdict;
        format!(
            "`{setting}` has {} here and at worst {}, `{against}` at worst {}",
            own(setting),
            worst(setting),
            worst(against)
        )
    };
    // Of each rule the first of the short list: it has the least loss.
    let mut rules: Vec<&str> = Vec::new();
    let first: Vec<&LearnedVerdict> = verdicts
        .iter()
        .filter(|own| {
            let new = !rules.contains(&own.rule.as_str());
            rules.push(&own.rule);
            new
        })
        .collect();
    let all: Vec<String> = first.iter().map(said).collect();
    let barred: Vec<String> =
        verdicts.iter().filter(|own| !own.beats).map(|own| format!("`{}`", own.setting)).collect();
    let end = if barred.is_empty() {
        "So they may be advised.".to_owned()
    } else {
        format!("Not surely better than that, and so not advised: {}.", barred.join(", "))
    };
    let trained_on = &verdicts[0].trained_on;
    format!(
        " Rules that learn were trained on {trained_on} and judged in {worlds} worlds, by {} ({}): {}. {end}",
        plan.objective.words(),
        plan.objective.unit,
        all.join("; ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_stats::Level;

    fn study() -> Study {
        let spec = "name = \"s\"\nseed = 1\n[text]\nbuilt_in = \"tide-station\"\n[[policy]]\nrule = \"enclosed\"\n";
        Study::read(spec, std::path::Path::new(".")).unwrap()
    }

    fn typists(errors: u64) -> Clusters {
        Clusters::counts("typist", (0..60).map(|typist| (errors + typist * errors % 7, 200))).unwrap()
    }

    #[test]
    fn a_rule_has_to_beat_the_worst_of_another_in_every_world() {
        let study = study();
        assert_eq!(study.inference.level.confidence(), Level::P95.confidence());
        let (simple, good, bad) = ([typists(20), typists(40)], [typists(30), typists(25)], [typists(5), typists(45)]);
        let of = |own: &[Clusters; 2]| {
            let (own, other): (Vec<&Clusters>, Vec<&Clusters>) = (own.iter().collect(), simple.iter().collect());
            Comparison::of(&study, &own, &other)
        };
        // Worse than the other in one world, yet at worst better.
        let found = of(&good);
        assert!(found.beats && found.at_worst.value.unwrap() < 0.0);
        // Far better in one world, and worse at worst.
        let found = of(&bad);
        assert!(!found.beats && found.at_worst.value.unwrap() > 0.0);
        // The same at worst is not surely better.
        assert!(!of(&simple.clone()).beats);
    }
}

//! One setting for everybody: the one that is never far from the best, whoever types.

use std::ops::Range;

use agogic_policy::Setting;
use agogic_sim::numbers::{ONE_CONFIRM, ONE_SEARCH};
use agogic_sim::{Engine, Store, TrainedArm, TypistRow, clusters};
use agogic_stats::{Clusters, Estimate, Interval, ratio};
use agogic_study::{AdvicePlan, Study, TrainedOn};
use agogic_typist::{Constant, Population};
use serde::{Deserialize, Serialize};

use super::asked::served_estimate;
use crate::candidates::{Candidate, rows_of};
use crate::ends::ENDS;
use crate::estimate::{default_difference, rate};
use crate::transfer::{JudgedOn, joint_level, worst_of};

/// Typists of each world on whom all settings are tried.
const SEARCH_TYPISTS: u64 = 30;

/// Settings that meet the fresh typists, of those with tables and of those without.
const FINALISTS: usize = 10;

/// One setting in one world.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OneWorld {
    /// Who types.
    pub world: String,
    /// The objective there.
    pub loss: Estimate,
    /// The setting that is best there.
    pub best: String,
    /// How much more than that it has: the regret. Its interval is for itself.
    pub more: Estimate,
    /// Typists within the limits per 100; `None` where no limit asks.
    pub served: Option<Estimate>,
}

/// A setting for everybody.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OneSetting {
    /// Its label.
    pub setting: String,
    /// The objective in every world.
    pub worlds: Vec<OneWorld>,
    /// The largest regret. Its limits are the largest of intervals for all worlds that hold together (Bonferroni).
    pub worst: Estimate,
    /// The world it is of.
    pub worst_world: String,
}

/// The one default of a keyboard.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OneDefault {
    /// The keyboard.
    pub assignment: String,
    /// The objective.
    pub estimand: String,
    /// Its unit.
    pub unit: String,
    /// Fresh typists in each world.
    pub typists: u64,
    /// Settings tried.
    pub tried: u64,
    /// The best of all settings; `None` where no rule that learns was tried, or none that learned for everybody.
    pub with_tables: Option<OneSetting>,
    /// The best of those that need no tables.
    pub without_tables: OneSetting,
    /// The whole in plain words.
    pub sentence: String,
}

/// The one default of each keyboard of a study that several populations type on; `None` where there is none to choose.
///
/// # Definition
/// A *world* is a population of the study at the keyboard, as it is and at both ends of what nobody has published: how
/// people hold a key with two roles. The *regret* of a setting in a world is the objective there less that of the best
/// setting there. The one default has the least worst regret (minimax regret). All common settings of the spec are
/// tried on 30 typists a world; the ten best with and without tables meet fresh ones, on whom the choice and all figures
/// stand. Limits of the advice take no part in the choice; how many typists they serve is told.
///
/// # Source
/// Savage (1951), The theory of statistical decision, Journal of the American Statistical Association 46:55-67 (from
/// memory).
pub(super) fn one_default(engine: &Engine<'_>, store: Option<&Store>) -> Option<OneDefault> {
    let study = engine.study;
    let plan = study.advice.as_ref()?;
    let first = engine.arms.first()?;
    let arms: Vec<&TrainedArm<'_>> =
        engine.arms.iter().filter(|own| own.arm().assignment_name == first.arm().assignment_name).collect();
    if arms.len() < 2 || study.ends == 0 {
        return None;
    }
    // Tables that were learned for one population are another rule in each.
    let common = matches!(study.training.on, TrainedOn::Mixture(_));
    let all = Candidate::all(study, first);
    let admitted: Vec<&Candidate> = all
        .iter()
        .filter(|own| own.setting(first).is_some_and(|setting| common || !setting.entry().needs_training))
        .collect();
    let worlds = worlds(&arms);
    let judged = |candidates: &[&Candidate], typists: Range<u64>| -> Vec<Vec<TypistRow>> {
        let of = |(_, people): &(String, Population)| rows_of(study, first, people, candidates, typists.clone(), store);
        worlds.iter().map(of).collect()
    };
    let searched = judged(&admitted, ONE_SEARCH..ONE_SEARCH + SEARCH_TYPISTS);
    let losses = Losses::of(plan, &searched, admitted.len());
    let learns =
        |at: usize| admitted[at].setting(first).is_some_and(|setting: &Setting| setting.entry().needs_training);
    let mut list: Vec<&Candidate> = Vec::new();
    for with in [false, true] {
        let mut ranked: Vec<usize> = (0..admitted.len()).filter(|at| learns(*at) == with).collect();
        ranked.sort_by(|a, b| losses.worst(*a).1.total_cmp(&losses.worst(*b).1).then(a.cmp(b)));
        list.extend(ranked.into_iter().take(FINALISTS).map(|at| admitted[at]));
    }
    let fresh = judged(&list, ONE_CONFIRM..ONE_CONFIRM + study.ends);
    let losses = Losses::of(plan, &fresh, list.len());
    let simple = |at: &usize| list[*at].setting(first).is_some_and(|setting| !setting.entry().needs_training);
    let least = |among: &dyn Fn(&usize) -> bool| {
        let able = (0..list.len()).filter(|at| among(at));
        able.min_by(|a, b| losses.worst(*a).1.total_cmp(&losses.worst(*b).1).then(a.cmp(b)))
    };
    let setting = |at: usize| of_setting(study, plan, &worlds, &fresh, &losses, (&list, at));
    let without_tables = setting(least(&simple)?)?;
    let with_tables = least(&|at: &usize| !simple(at)).and_then(setting);
    let mut found = OneDefault {
        assignment: first.arm().assignment_name.clone(),
        estimand: plan.objective.name.to_owned(),
        unit: plan.objective.unit.to_owned(),
        typists: study.ends,
        tried: admitted.len() as u64,
        with_tables,
        without_tables,
        sentence: String::new(),
    };
    found.sentence = sentence(plan, &found);
    Some(found)
}

fn worlds(arms: &[&TrainedArm<'_>]) -> Vec<(String, Population)> {
    let mut found = Vec::new();
    for arm in arms {
        let population = &arm.arm().population;
        if found.iter().any(|(name, _): &(String, Population)| name == population.name()) {
            continue;
        }
        found.push((population.name().to_owned(), population.clone()));
        for (adaptation, who) in ENDS {
            let moved = population.clone().with_constant(Constant::Adaptation, adaptation);
            let moved = moved.expect("both ends lie in the range of the constant");
            found.push((format!("{} {who}", population.name()), moved));
        }
    }
    found
}

/// The objective of every setting in every world.
struct Losses {
    /// By world, by setting; infinite where it is not known.
    each: Vec<Vec<f64>>,
}

impl Losses {
    fn of(plan: &AdvicePlan, rows: &[Vec<TypistRow>], settings: usize) -> Self {
        let value = |typists: &Clusters| ratio(typists, agogic_stats::Level::P95).value.unwrap_or(f64::INFINITY);
        let of_world = |rows: &Vec<TypistRow>| {
            (0..settings).map(|at| plan.objective.scale * value(&clusters(rows, plan.objective, at))).collect()
        };
        Self { each: rows.iter().map(of_world).collect() }
    }

    /// The best setting of a world.
    fn best(&self, world: usize) -> usize {
        let losses = &self.each[world];
        (0..losses.len()).min_by(|a, b| losses[*a].total_cmp(&losses[*b])).expect("there are settings")
    }

    /// The world in which a setting loses most against the best, and how much.
    fn worst(&self, at: usize) -> (usize, f64) {
        let regret = |world: usize| self.each[world][at] - self.each[world][self.best(world)];
        (0..self.each.len())
            .map(|world| (world, regret(world)))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .expect("there are worlds")
    }
}

fn of_setting(
    study: &Study,
    plan: &AdvicePlan,
    worlds: &[(String, Population)],
    fresh: &[Vec<TypistRow>],
    losses: &Losses,
    (list, at): (&[&Candidate], usize),
) -> Option<OneSetting> {
    let level = study.inference.level;
    let info = plan.objective;
    let gap = |world: usize, level| {
        let own = clusters(&fresh[world], info, at);
        let best = clusters(&fresh[world], info, losses.best(world));
        info.scaled(default_difference(&own, &best, level))
    };
    // Less itself it is nothing, and surely so; any other limit that is unknown leaves that of the worst unknown.
    let joint = |world: usize| match gap(world, joint_level(level, worlds.len())) {
        itself if losses.best(world) == at => itself.with_interval(Interval { lo: 0.0, hi: 0.0 }),
        found => found,
    };
    let of_world = |(world, (name, _)): (usize, &(String, Population))| OneWorld {
        world: name.clone(),
        loss: info.scaled(rate(&clusters(&fresh[world], info, at), &study.inference, study.seed, info)),
        best: list[losses.best(world)].label.clone(),
        more: gap(world, level),
        served: plan.asks_of_typists().then(|| served_estimate(plan, &fresh[world], at, level, &[])),
    };
    let of_worlds: Vec<OneWorld> = worlds.iter().enumerate().map(of_world).collect();
    let regret = |own: &OneWorld| JudgedOn { world: own.world.clone(), estimate: own.more.clone() };
    let together: Vec<Estimate> = (0..worlds.len()).map(joint).collect();
    let worst = worst_of(&of_worlds.iter().map(regret).collect::<Vec<_>>(), &together, level, "regrets")?;
    Some(OneSetting {
        setting: list[at].label.clone(),
        worlds: of_worlds,
        worst: worst.estimate,
        worst_world: worst.world,
    })
}

impl OneDefault {
    /// The default, its price at worst and what tables would take off it, in a sentence or two.
    pub fn in_short(&self, plan: &AdvicePlan) -> String {
        let said = |own: &OneSetting| {
            let more = plan.objective.said(&own.worst.text_in_sentence(1));
            format!(
                "`{}`: at worst {more} above the best setting for the same people ({})",
                own.setting, own.worst_world
            )
        };
        let tables = self.with_tables.as_ref().map_or_else(String::new, |own| format!(" With tables {}.", said(own)));
        format!("One setting for everybody, without tables, is {}.{tables}", said(&self.without_tables))
    }
}

fn sentence(plan: &AdvicePlan, found: &OneDefault) -> String {
    let own = &found.without_tables;
    let range = |own: &OneSetting| {
        let values: Vec<f64> = own.worlds.iter().filter_map(|world| world.loss.value).collect();
        let (low, high) = values.iter().fold((f64::INFINITY, 0.0_f64), |ends, v| (ends.0.min(*v), ends.1.max(*v)));
        format!("{low:.0} to {high:.0}")
    };
    let mut text = format!(
        "One setting for everybody, without tables: `{}`. It is never more than {} above the best setting for \
         the same people ({}), over {} kinds of people: each population, and each at both ends of how people may hold a key \
         with two roles. What is assumed of people moves its figure from {}.",
        own.setting,
        plan.objective.said(&own.worst.text_in_sentence(1)),
        own.worst_world,
        own.worlds.len(),
        range(own)
    );
    if let Some(tables) = &found.with_tables {
        let better = tables.worst.value < own.worst.value;
        let is = if better { "comes nearer" } else { "is no nearer" };
        text.push_str(&format!(
            " With tables `{}` {is}: at worst {} above the best ({}), {} over all of them; that is what leaving tables out \
             costs.",
            tables.setting,
            tables.worst.text_in_sentence(1),
            tables.worst_world,
            range(tables)
        ));
    }
    let fails: Vec<String> = own
        .worlds
        .iter()
        .filter_map(|world| Some((world, world.served.as_ref()?.value?)))
        .filter(|(_, served)| *served < 100.0 * plan.served)
        .map(|(world, served)| format!("{} ({served:.0})", world.world))
        .collect();
    if !fails.is_empty() {
        text.push_str(&format!(
            " It fails, of 100 typists within the limits: {}; asked are {:.0}.",
            fails.join(", "),
            100.0 * plan.served
        ));
    }
    text.push_str(&format!(
        " {} settings were tried on {SEARCH_TYPISTS} typists of each kind, and all this stands on {} others.",
        found.tried, found.typists
    ));
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_least_worst_regret_is_not_the_least_loss() {
        // The first is best at home and terrible elsewhere, the third middling everywhere.
        let losses = Losses { each: vec![vec![10.0, 40.0, 15.0], vec![90.0, 20.0, 26.0]] };
        assert_eq!((losses.best(0), losses.best(1)), (0, 1));
        assert_eq!((losses.worst(0), losses.worst(1), losses.worst(2)), ((1, 70.0), (0, 30.0), (1, 6.0)));
        // What is unknown somewhere is no default.
        let losses = Losses { each: vec![vec![10.0, f64::INFINITY]] };
        assert_eq!(losses.worst(1).1, f64::INFINITY);
    }
}

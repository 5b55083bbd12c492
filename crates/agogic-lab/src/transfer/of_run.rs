//! The matrix of a run: its policies, trained in each arm and judged in every other.

use agogic_policy::{Setting, Sight};
use agogic_sim::{ArmScores, Decider, Engine, TrainedArm, TypistRow, clusters};
use agogic_stats::Clusters;
use agogic_study::{EstimandInfo, Study, TrainedOn};

use super::worlds::{World, judge, people};
use super::{Transfer, TransferRow};
use crate::ends::End;

/// An end of what is assumed of holding, and its typists under every policy.
pub(crate) type WithEnds = Vec<(End, Vec<TypistRow>)>;

/// The policies of a study that have one setting for everybody, by whether they learn.
struct Policies {
    learned: Vec<usize>,
    simple: Vec<usize>,
}

impl Policies {
    fn of(arm: &TrainedArm<'_>) -> Self {
        let learns = |at: &usize| arm.deciders[*at].base().entry().needs_training;
        // Values fitted to each typist learn from the very person: no table is carried over to others.
        let common = |at: &usize| matches!(arm.deciders[*at], Decider::Common(_));
        let (learned, simple) = (0..arm.deciders.len()).filter(common).partition(learns);
        Self { learned, simple }
    }

    fn knows_keys(&self, arm: &TrainedArm<'_>) -> bool {
        self.learned.iter().any(|&at| setting(arm, at).entry().sight >= Sight::Keys)
    }
}

fn setting<'a>(arm: &'a TrainedArm<'_>, at: usize) -> &'a Setting {
    arm.deciders[at].base()
}

/// The matrix of every arm; `None` where nothing learns, or no typists are asked for at the ends of what is assumed.
///
/// # Definition
/// In the world of the arm all its typists are judged: the figure is that of the run. Elsewhere as many as at the ends
/// of what is assumed (`typists.at_the_ends`), with the numbers and streams of the first ones of the study. Other people
/// are those of the other arms on the same keyboard and the built-in populations.
pub(crate) fn transfers(engine: &Engine<'_>, scores: &[&ArmScores], ends: &[&WithEnds]) -> Vec<Option<Transfer>> {
    let study = engine.study;
    let (info, typists) = (study.primary, study.ends.min(study.typists));
    let policies = engine.arms.first().map(Policies::of);
    let Some(policies) = policies.filter(|own| !own.learned.is_empty() && typists > 0) else {
        return engine.arms.iter().map(|_| None).collect();
    };
    let own: Vec<Vec<Clusters>> = scores.iter().map(|scores| scores.clusters(info)).collect();
    let each = engine.arms.iter().enumerate().map(|(at, arm)| {
        // Without a dual-role key there is nothing to decide.
        arm.arm().assignment.iter().next()?;
        let mut columns = vec![(arm.arm().population.name().to_owned(), own[at].iter().cloned().map(Some).collect())];
        for population in people(engine.arms.iter().filter(|other| same_keyboard(arm, other)).map(TrainedArm::arm)) {
            if population.name() == arm.arm().population.name() {
                continue;
            }
            let there = |other: &TrainedArm<'_>| {
                same_keyboard(arm, other) && other.arm().population.name() == population.name()
            };
            let judged = engine.arms.iter().position(there);
            let name = population.name().to_owned();
            columns.push((name, of_people(study, arm, &policies, population, judged.map(|at| own[at].as_slice()))));
        }
        for (end, rows) in ends[at] {
            let figures = (0..arm.deciders.len()).map(|policy| Some(clusters(rows, info, policy))).collect();
            columns.push((format!("people {}", end.who()), figures));
        }
        if policies.knows_keys(arm) {
            for world in World::of_texts(study, arm.arm()) {
                let name = world.name.clone();
                columns.push((name, of_world(study, arm, &world, &[&policies.learned, &policies.simple])));
            }
        }
        Some(matrix(study, info, arm, &policies, &columns))
    });
    each.collect()
}

fn same_keyboard(a: &TrainedArm<'_>, b: &TrainedArm<'_>) -> bool {
    a.arm().assignment_name == b.arm().assignment_name
}

/// The figures of each policy in one world; `None` for those that were not judged there.
type Figures = Vec<Option<Clusters>>;

/// Other people. Where they are an arm of the study, rules that learn nothing were judged there already: the first typists
/// of `judged` are theirs.
fn of_people(
    study: &Study,
    arm: &TrainedArm<'_>,
    policies: &Policies,
    population: agogic_typist::Population,
    judged: Option<&[Clusters]>,
) -> Figures {
    let world = World::of_people(arm.arm(), population);
    let Some(judged) = judged else {
        return of_world(study, arm, &world, &[&policies.learned, &policies.simple]);
    };
    // What was learned from a mixture is the same in every arm.
    let mixed = study.training.on != TrainedOn::Own;
    let mut figures =
        if mixed { vec![None; arm.deciders.len()] } else { of_world(study, arm, &world, &[&policies.learned]) };
    for &at in policies.simple.iter().chain(policies.learned.iter().filter(|_| mixed)) {
        figures[at] = Some(judged[at].clone());
    }
    figures
}

/// Some policies of an arm, judged in a world.
fn of_world(study: &Study, arm: &TrainedArm<'_>, world: &World, which: &[&Vec<usize>]) -> Figures {
    let which: Vec<usize> = which.iter().flat_map(|own| own.iter().copied()).collect();
    let settings: Vec<&Setting> = which.iter().map(|&at| setting(arm, at)).collect();
    let typists = 0..study.ends.min(study.typists);
    let judged = judge((study.seed, &study.costs), world, typists, &settings, study.primary);
    let mut figures: Figures = vec![None; arm.deciders.len()];
    which.into_iter().zip(judged).for_each(|(at, own)| figures[at] = Some(own));
    figures
}

fn matrix(
    study: &Study,
    info: &'static EstimandInfo,
    arm: &TrainedArm<'_>,
    policies: &Policies,
    columns: &[(String, Figures)],
) -> Transfer {
    let row = |&at: &usize| {
        let worlds: Vec<(&str, &Clusters)> =
            columns.iter().filter_map(|(name, figures)| Some((name.as_str(), figures[at].as_ref()?))).collect();
        let learns = policies.learned.contains(&at);
        let trained_on = learns.then(|| study.trained_on(arm.arm()));
        TransferRow::of(study, info, &study.policies[at], trained_on, &worlds)
    };
    Transfer {
        arm: arm.arm().label.clone(),
        estimand: info.name.to_owned(),
        unit: info.unit.to_owned(),
        rows: policies.learned.iter().chain(&policies.simple).map(row).collect(),
    }
}

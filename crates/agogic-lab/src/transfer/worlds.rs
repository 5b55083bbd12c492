//! The worlds in which rules are judged, and typists of a world judged by settings.

use std::ops::Range;

use agogic_policy::Setting;
use agogic_score::CostTable;
use agogic_sim::{ArmRunner, Buffers, Trial, within_ranges};
use agogic_stats::Clusters;
use agogic_study::{Arm, EstimandInfo, Study};
use agogic_typist::Population;
use rayon::prelude::*;

use crate::elsewhere;

/// People, a text and interruptions, in which a rule is judged.
pub(crate) struct World {
    /// What it is, in a few words.
    pub name: String,
    /// The arm of the study with what is otherwise here.
    pub arm: Arm,
    /// Whether each typist has values of its own for every number that is assumed.
    pub over_ranges: bool,
}

impl World {
    /// Other people at the keyboard of an arm.
    pub fn of_people(arm: &Arm, population: Population) -> Self {
        Self { name: population.name().to_owned(), arm: Arm { population, ..arm.clone() }, over_ranges: false }
    }

    /// The people of an arm, each anywhere in the ranges of all that is assumed of them.
    pub fn over_ranges(arm: &Arm) -> Self {
        Self { name: "people anywhere in the assumed ranges".to_owned(), arm: arm.clone(), over_ranges: true }
    }

    /// Other texts, another language, program text, other shortcuts and other shares of them.
    pub fn of_texts(study: &Study, arm: &Arm) -> Vec<Self> {
        let worlds = elsewhere::worlds(arm, (&study.texts, study.rates, &study.shortcuts));
        worlds.into_iter().map(|world| Self { arm: world.arm(arm), name: world.name, over_ranges: false }).collect()
    }
}

/// The people that rules are held against at a keyboard: those of the study, then every built-in population that is not
/// among them.
pub(crate) fn people<'a>(arms: impl Iterator<Item = &'a Arm>) -> Vec<Population> {
    let mut all: Vec<Population> = Vec::new();
    let built_in = Population::NAMES.iter().filter_map(|name| Population::by_name(name));
    for population in arms.map(|arm| arm.population.clone()).chain(built_in) {
        if !all.iter().any(|known| known.name() == population.name()) {
            all.push(population);
        }
    }
    all
}

/// Typists of a world judged by settings, as an estimand counts them: setting by setting, for each estimand in turn.
///
/// # Definition
/// The typists have the streams that typists of these numbers have in every world, so that worlds differ by what is
/// stated and not by chance.
pub(crate) fn judge(
    (seed, costs): (u64, &CostTable),
    world: &World,
    typists: Range<u64>,
    settings: &[&Setting],
    info: &'static EstimandInfo,
) -> Vec<Clusters> {
    let runner = ArmRunner::new(&world.arm);
    let each: Vec<Vec<(f64, f64)>> = typists
        .into_par_iter()
        .map_init(Buffers::default, |buffers, number| {
            let plain = runner.judged(seed, number);
            let moved = world.over_ranges.then(|| within_ranges(seed, plain.population, number));
            let session =
                runner.perform(Trial { population: moved.as_ref().unwrap_or(plain.population), ..plain }).session;
            let mut parts = vec![(0.0, 0.0); settings.len()];
            let transcript = runner.transcript(&session);
            runner.judge(buffers, &transcript, settings, costs, |at, score, _| parts[at] = (info.parts)(&score));
            parts
        })
        .collect();
    (0..settings.len()).map(|at| info.clusters(each.iter().map(|parts| parts[at]))).collect()
}

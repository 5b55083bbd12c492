//! Training of what learns: on typists that the study never judges.

use std::borrow::Cow;

use agogic_keys::{Purpose, stream};
use agogic_policy::{
    EncounterScan, EvidenceCounts, EvidenceTables, KeySample, PairCurves, Personal, TrainingError, learn_prior_presses,
};
use agogic_study::TrainingPlan;
use agogic_typist::{Population, Provenance, SessionAddress, Typist, register_of};
use rand::RngExt;
use rayon::prelude::*;

use crate::decider::observe;
use crate::numbers::TRAINING;
use crate::runner::{ArmRunner, Trial};

/// Learns the tables of the rules that learn from the people whom the plan names, on the text and workload of an arm: those
/// of times, and where `keys` says so those of keys too.
///
/// # Errors
/// The training typists made no hold, or no tap, of a dual-role key.
pub fn train(
    seed: u64,
    runner: &ArmRunner<'_>,
    plan: &TrainingPlan,
    keys: bool,
) -> Result<EvidenceTables, TrainingError> {
    let each: Vec<(EvidenceCounts, KeySample)> = (TRAINING..TRAINING + plan.typists)
        .into_par_iter()
        .map(|number| {
            let population = training_population(seed, runner, plan, number);
            let trial = Trial { population: &population, keys: plan.keys, ..runner.judged(seed, number) };
            let session = runner.perform(trial).session;
            let (mut counts, mut sample) = (EvidenceCounts::new(), KeySample::new());
            runner.encounters(&mut EncounterScan::new(), &session.presses, |press, encounter| {
                counts.add(encounter, session.truths[press].hold);
                if keys {
                    sample.add(encounter, session.truths[press].hold);
                }
            });
            (counts, sample)
        })
        .collect();
    let (mut all, mut samples) = (EvidenceCounts::new(), KeySample::new());
    for (counts, sample) in each {
        all.merge(&counts);
        samples.append(sample);
    }
    let tables = all.tables()?;
    if !keys {
        return Ok(tables);
    }
    // How often each text was typed, on average.
    let readings = plan.typists as f64 * plan.keys as f64 / runner.arm.plan.steps().len() as f64;
    let keyed = samples.tables(readings, &tables, true)?;
    Ok(tables.with_keys(keyed))
}

/// The people of whom a training typist is one.
fn training_population<'a>(
    seed: u64,
    runner: &'a ArmRunner<'_>,
    plan: &'a TrainingPlan,
    number: u64,
) -> Cow<'a, Population> {
    let population = plan.population_of(&runner.arm.population, number - TRAINING);
    if plan.over_ranges { Cow::Owned(within_ranges(seed, population, number)) } else { Cow::Borrowed(population) }
}

/// A population with every number that is assumed somewhere in its stated range, evenly: another place for each number of a
/// typist.
pub fn within_ranges(seed: u64, population: &Population, number: u64) -> Population {
    let mut rng = stream(seed, Purpose::Training, number, 0);
    let numbers: Vec<(String, f64)> = register_of(population)
        .into_iter()
        .filter_map(|entry| match entry.provenance {
            Provenance::Assumed { lo, hi, .. } => Some((entry.name, lo + (hi - lo) * rng.random::<f64>())),
            _ => None,
        })
        .collect();
    let numbers: Vec<(&str, f64)> = numbers.iter().map(|(name, value)| (name.as_str(), *value)).collect();
    let moved = population.clone().with_numbers(&numbers);
    moved.expect("every assumed number may have any value of its range").0
}

/// Dual-role presses of each that stand for what is judged later.
const REST: usize = 600;

/// Weights of the population to choose from, in presses.
const WEIGHTS: [f64; 7] = [0.0, 30.0, 100.0, 300.0, 1000.0, 3000.0, 10_000.0];

/// The population of personal values, and the weight it should have beside a sample of `first` presses.
pub(crate) fn prior(
    seed: u64,
    runner: &ArmRunner<'_>,
    personal: &Personal,
    first: usize,
    typists: u64,
) -> (PairCurves, Option<f64>) {
    let typists: Vec<(PairCurves, PairCurves)> = (TRAINING..TRAINING + typists)
        .into_par_iter()
        .map(|number| {
            let typist = Typist::draw(&runner.arm.population, seed, number);
            let of = |presses, replicate| {
                let address = SessionAddress { seed, replicate };
                observe(personal, presses, runner, &typist, address)
            };
            (of(first, 1), of(REST, 2))
        })
        .collect();
    let mut all = typists.iter().flat_map(|(first, rest)| [first, rest]);
    let one = all.next().expect("there are training typists").clone();
    let population = all.fold(one, |sum, curves| sum.merged(curves)).coarsened(unit(personal));
    (population, learn_prior_presses(personal.how(), &typists, &WEIGHTS))
}

/// Steps in which the curve of a population is kept: a typist's own values stay exact.
fn unit(personal: &Personal) -> f64 {
    let name = personal.how().param.name;
    if name.ends_with("_ms") {
        1.0
    } else if name.ends_with("_nats") {
        0.02
    } else {
        0.005
    }
}

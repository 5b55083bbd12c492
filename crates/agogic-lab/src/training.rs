//! Training of what learns: on typists that the study never judges.

use agogic_policy::{
    EncounterScan, EvidenceCounts, EvidenceTables, KeySample, PairCurves, Personal, TrainingError, learn_prior_presses,
};
use agogic_typist::{Performer, Typist};
use rayon::prelude::*;

use crate::decider::observe;
use crate::study::Arm;

/// Number of the first training typist. Judged typists have numbers far below, so that nobody is judged on
/// what was learned from them.
pub(crate) const FIRST: u64 = 1 << 40;

/// Typists a rule learns from.
pub(crate) const TYPISTS: u64 = 200;

/// Presses of each.
const KEYS: usize = 4000;

/// Learns the tables of the rules that learn from an arm's own population, text and workload: those of times, and where
/// `keys` says so those of keys too.
///
/// # Errors
/// The training typists made no hold, or no tap, of a dual-role key.
pub fn train(seed: u64, arm: &Arm, keys: bool) -> Result<EvidenceTables, TrainingError> {
    let performer = Performer::new(&arm.board, &arm.assignment);
    let each: Vec<(EvidenceCounts, KeySample)> = (FIRST..FIRST + TYPISTS)
        .into_par_iter()
        .map(|number| {
            let typist = Typist::draw(&arm.population, seed, number);
            let session = arm.session(&performer, &typist, seed, 0, KEYS);
            let (mut counts, mut sample) = (EvidenceCounts::new(), KeySample::new());
            arm.encounters(&mut EncounterScan::new(), &performer, &session.presses, |press, encounter| {
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
    let readings = TYPISTS as f64 * KEYS as f64 / arm.plan.steps().len() as f64;
    let keyed = samples.tables(readings, &tables, true)?;
    Ok(tables.with_keys(keyed))
}

/// Typists that make up the prior of personal values.
pub(crate) const PRIOR_TYPISTS: u64 = 60;

/// Dual-role presses of each that stand for what is judged later.
const REST: usize = 600;

/// Weights of the population to choose from, in presses.
const WEIGHTS: [f64; 7] = [0.0, 30.0, 100.0, 300.0, 1000.0, 3000.0, 10_000.0];

/// The population of personal values, and the weight it should have beside a sample of `first` presses.
pub(crate) fn prior(seed: u64, arm: &Arm, personal: &Personal, first: usize) -> (PairCurves, Option<f64>) {
    let performer = Performer::new(&arm.board, &arm.assignment);
    let typists: Vec<(PairCurves, PairCurves)> = (FIRST..FIRST + PRIOR_TYPISTS)
        .into_par_iter()
        .map(|number| {
            let typist = Typist::draw(&arm.population, seed, number);
            let of = |presses, replicate| observe(personal, presses, arm, &performer, &typist, seed, replicate);
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

//! Simulated people for the comparison.

use std::collections::BTreeMap;

use agogic_keys::{Assignment, Board, Code, TextError, TextPlan, Unsupported, Workload};
use agogic_stats::mean;
use agogic_typist::{Movement, Performer, Population, SessionAddress, Typist, observe};
use rayon::prelude::*;

use crate::observables::{Person, fluent_runs};

/// How many people to simulate, and what they type.
#[derive(Clone, Copy, Debug)]
pub struct CheckPlan<'a> {
    /// Typists; at least 20, and 5 000 by default: of a tenth of 2 000 the mean speed is known to 2 %, which decided
    /// verdicts.
    pub typists: u64,
    /// Presses of each; at least 50, and 800 by default: about what each participant of Dhakal et al. 2018 typed.
    pub keys: usize,
    /// Seed of the study.
    pub seed: u64,
    /// Resamples of the bootstrap behind Monte Carlo errors; at least 20, and 200 by default, which gives an
    /// error to 5 % of itself.
    pub resamples: usize,
    /// The text, in English prose.
    pub text: &'a str,
}

impl<'a> CheckPlan<'a> {
    /// The default plan on a text.
    pub fn new(text: &'a str) -> Self {
        Self { typists: 5000, keys: 800, seed: 1, resamples: 200, text }
    }
}

/// Why no check was made. The texts continue "failed to check the model: …".
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CheckError {
    /// The text cannot be typed.
    #[error("failed to read the text: {0}")]
    Text(#[from] TextError),
    /// A number of the plan is too small.
    #[error("{name} must be at least {least}, not {value}")]
    TooSmall {
        /// Which number.
        name: &'static str,
        /// Smallest value accepted.
        least: u64,
        /// What was given.
        value: u64,
    },
}

/// Simulated people of one population.
#[derive(Clone, Debug)]
pub struct Sample {
    /// Name of the population.
    pub population: String,
    /// The people, in order of number.
    pub people: Vec<Person>,
    /// Seed of the study.
    pub seed: u64,
    /// Resamples of the bootstrap.
    pub resamples: usize,
    pub(crate) movement: Movement,
}

/// Simulates people of a population typing the plan's text on an ordinary keyboard.
///
/// # Definition
/// A row-staggered board without dual-role keys: capitals are made with the dedicated Shift keys, as in the
/// studies. No shortcuts. Typist k has the streams of number k; people are kept in order of number, so the
/// sample is the same for any number of threads.
///
/// # Errors
/// A text that cannot be typed, or a plan too small.
pub fn simulate(population: &Population, plan: &CheckPlan<'_>) -> Result<Sample, CheckError> {
    simulate_people(plan, population, |number| Typist::draw(population, plan.seed, number))
}

/// As [`simulate`], of the typists that `typist` gives by number.
pub(crate) fn simulate_people(
    plan: &CheckPlan<'_>,
    population: &Population,
    typist: impl Fn(u64) -> Typist + Sync,
) -> Result<Sample, CheckError> {
    let numbers =
        [("typists", 20, plan.typists), ("keys", 50, plan.keys as u64), ("resamples", 20, plan.resamples as u64)];
    for (name, least, value) in numbers {
        if value < least {
            return Err(CheckError::TooSmall { name, least, value });
        }
    }
    let board = Board::row_staggered();
    let assignment = Assignment::none();
    let text = TextPlan::new(plan.text, &board, &assignment, Unsupported::Refuse)?;
    let performer = Performer::new(&board, &assignment);
    let movement = performer.movement().clone();
    let mut people: Vec<Person> = (0..plan.typists)
        .into_par_iter()
        .map(|number| {
            let typist = typist(number);
            let session = performer.perform(
                &typist,
                &text,
                &Workload::none(),
                SessionAddress { seed: plan.seed, replicate: 0 },
                plan.keys,
            );
            let seen = observe(&session, &movement);
            Person { number, session, seen, fluent: Vec::new() }
        })
        .collect();
    residuals(&mut people);
    let population = population.name().to_owned();
    Ok(Sample { population, people, seed: plan.seed, resamples: plan.resamples, movement })
}

/// Sets each person's fluent residuals: log interval less the person's mean less the letter pair's mean.
fn residuals(people: &mut [Person]) {
    let centred: Vec<Vec<Vec<(Code, Code, f64)>>> = people
        .par_iter()
        .map(|person| {
            let mut runs = fluent_runs(&person.session);
            let all: Vec<f64> = runs.iter().flatten().map(|pair| pair.2).collect();
            let center = mean(&all).unwrap_or(0.0);
            runs.iter_mut().flatten().for_each(|pair| pair.2 -= center);
            runs
        })
        .collect();
    // Folded in order of people and presses.
    let mut pairs: BTreeMap<(usize, usize), (f64, f64)> = BTreeMap::new();
    for &(a, b, value) in centred.iter().flatten().flatten() {
        let entry = pairs.entry((a.index(), b.index())).or_default();
        entry.0 += value;
        entry.1 += 1.0;
    }
    for (person, runs) in people.iter_mut().zip(centred) {
        let less = |&(a, b, value): &(Code, Code, f64)| {
            let (sum, n) = pairs[&(a.index(), b.index())];
            value - sum / n
        };
        person.fluent = runs.iter().map(|run| run.iter().map(less).collect()).collect();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "The tide turns at noon, and the pen is late again.";

    #[test]
    fn the_sample_is_the_same_for_any_number_of_threads() {
        let plan = CheckPlan { typists: 40, keys: 120, ..CheckPlan::new(TEXT) };
        let run = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            let sample = pool.install(|| simulate(&Population::volunteers(), &plan).unwrap());
            let bits = |person: &Person| -> Vec<u64> {
                let residuals = person.fluent.iter().flatten();
                residuals.chain(&person.seen.intervals).chain(&person.seen.dwells).map(|v| v.to_bits()).collect()
            };
            sample.people.iter().map(bits).collect::<Vec<_>>()
        };
        assert_eq!(run(1), run(3));
    }

    #[test]
    fn plans_that_are_too_small_are_refused() {
        let plan = CheckPlan::new(TEXT);
        for bad in [
            CheckPlan { typists: 19, ..plan },
            CheckPlan { keys: 0, ..plan },
            CheckPlan { resamples: 1, ..plan },
            CheckPlan { text: "", ..plan },
        ] {
            assert!(simulate(&Population::volunteers(), &bad).is_err());
        }
    }
}

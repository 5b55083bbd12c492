//! Training of the rules that learn: on typists that the study never judges.

use agogic_policy::{EncounterScan, EvidenceCounts, EvidenceTables, TrainingError};
use agogic_typist::{Performer, Typist};
use rayon::prelude::*;

use crate::study::Arm;

/// Number of the first training typist. Judged typists have numbers far below, so that nobody is judged on
/// what was learned from them.
const FIRST: u64 = 1 << 40;

/// Typists a rule learns from.
pub(crate) const TYPISTS: u64 = 200;

/// Presses of each.
const KEYS: usize = 4000;

/// Learns tables from an arm's own population, text and workload.
///
/// # Errors
/// The training typists made no hold, or no tap, of a dual-role key.
pub(crate) fn train(seed: u64, arm: &Arm) -> Result<EvidenceTables, TrainingError> {
    let performer = Performer::new(&arm.board, &arm.assignment);
    let each: Vec<EvidenceCounts> = (FIRST..FIRST + TYPISTS)
        .into_par_iter()
        .map(|number| {
            let typist = Typist::draw(&arm.population, seed, number);
            let session = arm.session(&performer, &typist, seed, KEYS);
            let mut counts = EvidenceCounts::new();
            EncounterScan::new().each(
                &session.presses,
                |code| arm.assignment.modifier(code).is_some(),
                |code| performer.movement().hand(code),
                |press, encounter| counts.add(encounter, session.truths[press].hold),
            );
            counts
        })
        .collect();
    let mut all = EvidenceCounts::new();
    for counts in &each {
        all.merge(counts);
    }
    all.tables()
}

//! The Monte Carlo runner: typists in, counts out.

use agogic_keys::Code;
use agogic_policy::EncounterScan;
use agogic_score::{Counts, Decided, Emulator, Scorer};
use agogic_typist::{Performer, Trait, Typist};
use rayon::prelude::*;

use crate::estimands::{ResultRow, estimate};
use crate::study::Study;

/// One typist's counts under every policy.
#[derive(Clone, Debug, PartialEq)]
pub struct TypistRow {
    /// Number of the typist.
    pub typist: u64,
    /// Mean interval between presses, in ms.
    pub interval_ms: f64,
    /// Mean dwell, in ms.
    pub dwell_ms: f64,
    /// Share of presses made while the key before was still down.
    pub rollover: f64,
    /// Share of hold gestures this person lets go before the target, on average.
    pub trailing_share: f64,
    /// Counts, one per policy in the order of the study.
    pub counts: Vec<Counts>,
}

/// What a study found.
#[derive(Clone, Debug)]
pub struct StudyResult {
    /// Counts per typist, in the order of their numbers.
    pub typists: Vec<TypistRow>,
    /// Estimates, policy by policy.
    pub rows: Vec<ResultRow>,
}

/// Runs a study on all cores of the current thread pool.
///
/// `progress` is called after each typist with 1; it may be called from any thread.
///
/// # Definition
/// Each typist is drawn, types, and is judged by every policy on the same presses. Nothing depends on the
/// order in which typists are done: their streams are addressed, and their rows are kept by number.
pub fn run(study: &Study, progress: &(dyn Fn(u64) + Sync)) -> StudyResult {
    let performer = Performer::new(&study.board, &study.assignment);
    let emulator = Emulator::new(&study.assignment);
    let typists: Vec<TypistRow> = (0..study.typists)
        .into_par_iter()
        .map(|number| {
            let row = one_typist(study, &performer, &emulator, number);
            progress(1);
            row
        })
        .collect();
    let rows = estimate(study, &typists);
    StudyResult { typists, rows }
}

fn one_typist(study: &Study, performer: &Performer, emulator: &Emulator, number: u64) -> TypistRow {
    let typist = Typist::draw(&study.population, study.seed, number);
    let session = performer.perform(&typist, &study.plan, &study.workload, study.seed, 0, study.keys);
    let presses = &session.presses;
    let mut decided: Vec<Vec<Decided>> = study.policies.iter().map(|_| Vec::new()).collect();
    let dual = |code: Code| emulator.held_role(code).is_some();
    EncounterScan::new().each(
        presses,
        dual,
        |code| performer.movement().hand(code),
        |press, encounter| {
            for (policy, decided) in study.policies.iter().zip(&mut decided) {
                decided.push(Decided { press, decision: policy.setting.decide(encounter) });
            }
        },
    );
    let mut scorer = Scorer::new();
    let counts = decided.iter().map(|d| scorer.score(emulator, presses, &session.truths, d, session.words)).collect();
    let pairs = presses.len().saturating_sub(1).max(1) as f64;
    let rolled = presses.windows(2).filter(|pair| pair[0].up > pair[1].down).count();
    let span = match presses.as_slice() {
        [first, .., last] => last.down.since(first.down).ms(),
        _ => 0.0,
    };
    let dwell: u64 = presses.iter().map(|press| press.dwell().0).sum();
    TypistRow {
        typist: number,
        interval_ms: span / pairs,
        dwell_ms: dwell as f64 / 1e3 / presses.len().max(1) as f64,
        rollover: rolled as f64 / pairs,
        trailing_share: typist.get(Trait::Trailing),
        counts,
    }
}

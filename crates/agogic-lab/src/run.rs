//! The Monte Carlo runner: typists in, counts out.

use agogic_keys::Code;
use agogic_policy::{EncounterScan, Setting};
use agogic_score::{Counts, Decided, Emulator, Harm, Scorer, harm};
use agogic_typist::{Performer, Session, Trait, Typist};
use rayon::prelude::*;

use crate::estimate::{ResultRow, estimate};
use crate::study::{Arm, Study};

/// What one policy did to one typist.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scores {
    /// Outcomes and delays.
    pub counts: Counts,
    /// Their cost under the table of the study.
    pub harm: Harm,
}

/// One typist's scores under every policy.
#[derive(Clone, Debug, PartialEq)]
pub struct TypistRow {
    /// Number of the typist.
    pub typist: u64,
    /// Speed in words of five characters per minute, corrections included.
    pub wpm: f64,
    /// Mean interval between presses, in ms.
    pub interval_ms: f64,
    /// Mean dwell, in ms.
    pub dwell_ms: f64,
    /// Share of presses made while the key before was still down.
    pub rollover: f64,
    /// Share of hold gestures this person lets go before the target, on average.
    pub trailing_share: f64,
    /// Scores, one per policy in the order of the study.
    pub scores: Vec<Scores>,
}

/// What was found in one arm.
#[derive(Clone, Debug, PartialEq)]
pub struct ArmResult {
    /// Label of the arm.
    pub label: String,
    /// Scores per typist, in the order of their numbers.
    pub typists: Vec<TypistRow>,
}

/// What a study found.
#[derive(Clone, Debug)]
pub struct StudyResult {
    /// Scores, arm by arm.
    pub arms: Vec<ArmResult>,
    /// Estimates; see [`estimate`].
    pub rows: Vec<ResultRow>,
}

/// Runs a study on all cores of the current thread pool.
///
/// `progress` is called after each typist with 1; it may be called from any thread.
///
/// # Definition
/// Each typist is drawn, types, and is judged by every policy on the same presses. Nothing depends on the
/// order in which typists are done: their streams are addressed, and their rows are kept by number. A typist
/// has the same streams in every arm, so that arms differ by what is stated and not by chance.
pub fn run(study: &Study, progress: &(dyn Fn(u64) + Sync)) -> StudyResult {
    let arms: Vec<ArmResult> = study.arms.iter().map(|arm| run_arm(study, arm, progress)).collect();
    let rows = estimate(study, &arms);
    StudyResult { arms, rows }
}

fn run_arm(study: &Study, arm: &Arm, progress: &(dyn Fn(u64) + Sync)) -> ArmResult {
    let performer = Performer::new(&arm.board, &arm.assignment);
    let emulator = Emulator::new(&arm.assignment);
    let typists = (0..study.typists)
        .into_par_iter()
        .map(|number| {
            let row = one_typist(study, arm, &performer, &emulator, number);
            progress(1);
            row
        })
        .collect();
    ArmResult { label: arm.label.clone(), typists }
}

fn one_typist(study: &Study, arm: &Arm, performer: &Performer, emulator: &Emulator, number: u64) -> TypistRow {
    let typist = Typist::draw(&arm.population, study.seed, number);
    let session = arm.session(performer, &typist, study.seed, 0, arm.keys);
    let presses = &session.presses;
    let fitted: Vec<Option<Setting>> =
        arm.deciders.iter().map(|decider| decider.fitted(arm, performer, &typist, study.seed)).collect();
    let settings: Vec<&Setting> =
        arm.deciders.iter().zip(&fitted).map(|(decider, own)| own.as_ref().unwrap_or(decider.base())).collect();
    let mut decided: Vec<Vec<Decided>> = settings.iter().map(|_| Vec::new()).collect();
    let dual = |code: Code| emulator.held_role(code).is_some();
    EncounterScan::new().each(
        presses,
        dual,
        |code| performer.movement().hand(code),
        |press, encounter| {
            for (setting, decided) in settings.iter().zip(&mut decided) {
                decided.push(Decided { press, decision: setting.decide(encounter) });
            }
        },
    );
    let mut scorer = Scorer::new();
    let scores = decided
        .iter()
        .map(|decided| {
            let counts = scorer.score(emulator, presses, &session.truths, decided, session.words);
            Scores { counts, harm: harm(&study.costs, scorer.kinds()) }
        })
        .collect();
    let manner = Manner::of(&session);
    TypistRow {
        typist: number,
        wpm: manner.wpm,
        interval_ms: manner.interval_ms,
        dwell_ms: manner.dwell_ms,
        rollover: manner.rollover,
        trailing_share: typist.get(Trait::Trailing),
        scores,
    }
}

/// How somebody types, as seen in a session.
struct Manner {
    wpm: f64,
    interval_ms: f64,
    dwell_ms: f64,
    rollover: f64,
}

impl Manner {
    fn of(session: &Session) -> Self {
        let presses = &session.presses;
        let pairs = presses.len().saturating_sub(1).max(1) as f64;
        let rolled = presses.windows(2).filter(|pair| pair[0].up > pair[1].down).count();
        let span_ms = match presses.as_slice() {
            [first, .., last] => last.down.since(first.down).ms(),
            _ => 0.0,
        };
        let dwell_us: u64 = presses.iter().map(|press| press.dwell().0).sum();
        Self {
            wpm: if span_ms > 0.0 { session.characters as f64 / 5.0 / (span_ms / 60_000.0) } else { 0.0 },
            interval_ms: span_ms / pairs,
            dwell_ms: dwell_us as f64 / 1e3 / presses.len().max(1) as f64,
            rollover: rolled as f64 / pairs,
        }
    }
}

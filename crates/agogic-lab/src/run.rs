//! The Monte Carlo runner: typists in, counts out.

use agogic_policy::Setting;
use agogic_score::{Emulator, Kinds, Panel, Transcript, TypistScore};
use agogic_typist::{Performer, Session, Trait, Typist};
use rayon::prelude::*;

use crate::estimate::{ALL, ResultRow, Statistic, estimate};
use crate::floor::{Floor, floor, floor_rows};
use crate::rare::rare_rows;
use crate::study::{Arm, Study};

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
    pub scores: Vec<TypistScore>,
}

/// What was found in one arm.
#[derive(Clone, Debug, PartialEq)]
pub struct ArmResult {
    /// Label of the arm.
    pub label: String,
    /// Scores per typist, in the order of their numbers.
    pub typists: Vec<TypistRow>,
    /// Wrong outcomes of all typists by modifier and key, one table per policy.
    pub kinds: Vec<Kinds>,
    /// What the ideal observer made of the presses of the first typists; `None` where the study asks for none.
    pub floor: Option<Floor>,
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
/// `progress` is called with 1 after each typist, and again after each one that the observer has judged; it
/// may be called from any thread.
///
/// # Definition
/// Each typist is drawn, types, and is judged by every policy on the same presses. Nothing depends on the
/// order in which typists are done: their streams are addressed, and their rows are kept by number. A typist
/// has the same streams in every arm, so that arms differ by what is stated and not by chance.
pub fn run(study: &Study, progress: &(dyn Fn(u64) + Sync)) -> StudyResult {
    let arms: Vec<ArmResult> = study.arms.iter().map(|arm| run_arm(study, arm, progress)).collect();
    let mut rows = estimate(study, &arms);
    rows.extend(floor_rows(study, &arms));
    rows.extend(anytime_rows(study, &arms));
    if let Some(plan) = &study.rare {
        rows.extend(rare_rows(study, plan, &arms));
    }
    StudyResult { arms, rows }
}

/// Runs an arm to its last typist, or until it is precise enough where the study says what enough is.
///
/// Looks come after whole blocks, so the end depends on the counts alone and not on threads.
fn run_arm(study: &Study, arm: &Arm, progress: &(dyn Fn(u64) + Sync)) -> ArmResult {
    let performer = Performer::new(&arm.board, &arm.assignment);
    let emulator = Emulator::new(&arm.assignment);
    let block = study.stop.as_ref().map_or(study.typists, |stop| stop.block).max(1);
    let mut all = Batch::empty(arm);
    let mut from = 0;
    while from < study.typists {
        let to = (from + block).min(study.typists);
        // Rows come together in the order of the typists; the kinds are sums of whole numbers.
        let done = (from..to)
            .into_par_iter()
            .fold(
                || (Batch::empty(arm), Panel::new()),
                |(mut batch, mut panel), number| {
                    one_typist(study, arm, &performer, &emulator, &mut panel, &mut batch, number);
                    progress(1);
                    (batch, panel)
                },
            )
            .map(|(batch, _)| batch)
            .reduce(|| Batch::empty(arm), Batch::joined);
        all = all.joined(done);
        from = to;
        if study.stop.as_ref().is_some_and(|stop| stop.done(arm, &all.typists, study.inference.level)) {
            break;
        }
    }
    let floor = floor(study, arm, all.typists.len() as u64, progress);
    ArmResult { label: arm.label.clone(), typists: all.typists, kinds: all.kinds, floor }
}

/// Some typists of an arm.
struct Batch {
    typists: Vec<TypistRow>,
    kinds: Vec<Kinds>,
}

impl Batch {
    fn empty(arm: &Arm) -> Self {
        Self { typists: Vec::new(), kinds: vec![Kinds::new(); arm.deciders.len()] }
    }

    fn joined(mut self, mut later: Self) -> Self {
        self.typists.append(&mut later.typists);
        for (sum, more) in self.kinds.iter_mut().zip(&later.kinds) {
            *sum += more;
        }
        self
    }
}

/// The estimates on which a run with a rule to stop was judged.
fn anytime_rows(study: &Study, arms: &[ArmResult]) -> Vec<ResultRow> {
    let Some(stop) = &study.stop else { return Vec::new() };
    let mut rows = Vec::new();
    for (arm, found) in study.arms.iter().zip(arms) {
        for &at in &stop.policies {
            let look = stop.look(arm, &found.typists, at, study.inference.level);
            let mut estimate = look.estimate;
            if !look.promise.is_empty() {
                estimate.method = format!("{}; {}", estimate.method, look.promise);
            }
            rows.push(ResultRow {
                arm: arm.label.clone(),
                policy: study.policies[at].clone(),
                group: ALL,
                estimand: stop.estimand.name,
                statistic: Statistic::PooledAnytime,
                unit: stop.estimand.unit,
                minus: None,
                against: None,
                estimate,
            });
        }
    }
    rows
}

fn one_typist(
    study: &Study,
    arm: &Arm,
    performer: &Performer,
    emulator: &Emulator,
    panel: &mut Panel,
    batch: &mut Batch,
    number: u64,
) {
    let typist = Typist::draw(&arm.population, study.seed, number);
    let session = arm.session(performer, &typist, study.seed, 0, arm.keys);
    let fitted: Vec<Option<Setting>> =
        arm.deciders.iter().map(|decider| decider.fitted(arm, performer, &typist, study.seed)).collect();
    let settings: Vec<&Setting> =
        arm.deciders.iter().zip(&fitted).map(|(decider, own)| own.as_ref().unwrap_or(decider.base())).collect();
    let transcript = Transcript::new(emulator, &session.presses, &session.truths, session.words);
    let mut scores = Vec::with_capacity(settings.len());
    panel.judge(
        &transcript,
        |code| performer.movement().hand(code),
        &settings,
        &study.costs,
        |at, score, kinds| {
            batch.kinds[at] += kinds;
            scores.push(score);
        },
    );
    batch.typists.push(Manner::of(&session).row(number, typist.get(Trait::Trailing), scores));
}

/// How somebody types, as seen in a session.
pub(crate) struct Manner {
    wpm: f64,
    interval_ms: f64,
    dwell_ms: f64,
    rollover: f64,
}

impl Manner {
    pub(crate) fn of(session: &Session) -> Self {
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

    /// The row of a typist who types like this.
    pub(crate) fn row(self, typist: u64, trailing_share: f64, scores: Vec<TypistScore>) -> TypistRow {
        let Self { wpm, interval_ms, dwell_ms, rollover } = self;
        TypistRow { typist, wpm, interval_ms, dwell_ms, rollover, trailing_share, scores }
    }
}

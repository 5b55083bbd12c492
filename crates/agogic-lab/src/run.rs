//! The Monte Carlo runner: typists in, counts out.

use std::path::PathBuf;

use agogic_score::Kinds;
use agogic_sim::blocks::{MergeError, merge_blocks};
use agogic_sim::{ArmScores, Block, Engine, FileError, Store, look, run_blocks, stop_estimands};
use agogic_stats::Caution;
use agogic_study::Study;

use crate::ends::{End, ends};
use crate::estimate::{ResultRow, Role, Statistic, estimate};
use crate::floor::{Floor, floor_rows};
use crate::rare::rare_rows;
use crate::transfer::{Transfer, WithEnds, transfers};

/// What was found in one arm.
#[derive(Clone, Debug, PartialEq)]
pub struct ArmResult {
    /// Label of the arm.
    pub label: String,
    /// Scores per typist, in the order of their numbers.
    pub typists: ArmScores,
    /// Wrong outcomes of all typists by modifier and key, one table per policy.
    pub kinds: Vec<Kinds>,
    /// What the ideal observer made of the presses of the first typists; `None` where the study asks for none.
    pub floor: Option<Floor>,
    /// The policies at both ends of what is assumed of holding.
    pub ends: Vec<End>,
    /// The policies judged where those that learn did not learn; `None` where none learns.
    pub transfer: Option<Transfer>,
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
/// `progress` is called with 1 after each typist, and again after each one that the observer has watched; it
/// may be called from any thread.
///
/// # Definition
/// Each typist is drawn, types, and is judged by every policy on the same presses. Nothing depends on the
/// order in which typists are done: their streams are addressed, and their rows are kept by number. A typist
/// has the same streams in every arm, so that arms differ by what is stated and not by chance.
pub fn run(engine: &Engine<'_>, progress: &(dyn Fn(u64) + Sync)) -> StudyResult {
    let blocks = run_blocks(engine, None, progress);
    StudyResult::of(engine, blocks.expect("nothing is written, so nothing can be refused"))
}

/// Runs a study as [`run`] does, keeps finished blocks in `store` and takes up those that are there.
///
/// The result is the same, however often the run was interrupted. Small studies keep nothing.
///
/// # Errors
/// The disk refuses. What was finished stays, and the next run goes on from there.
pub fn run_kept(engine: &Engine<'_>, store: &Store, progress: &(dyn Fn(u64) + Sync)) -> Result<StudyResult, FileError> {
    Ok(StudyResult::of(engine, run_blocks(engine, Some(store), progress)?))
}

/// Puts the shards of a study together, those of [`study_of`](agogic_sim::blocks::study_of): the same bytes as one run.
///
/// # Errors
/// A block is missing or damaged.
pub fn merge(engine: &Engine<'_>, folders: &[PathBuf]) -> Result<StudyResult, MergeError> {
    Ok(StudyResult::of(engine, merge_blocks(engine.study, folders)?))
}

impl StudyResult {
    /// The estimates from what was counted in each arm, one block each.
    pub fn of(engine: &Engine<'_>, blocks: Vec<Block>) -> Self {
        let study = engine.study;
        let at_the_ends: Vec<WithEnds> = engine.arms.iter().map(|arm| ends(study, arm)).collect();
        let scores: Vec<&ArmScores> = blocks.iter().map(|block| &block.typists).collect();
        let transfer = transfers(engine, &scores, &at_the_ends.iter().collect::<Vec<_>>());
        let arms: Vec<ArmResult> = engine
            .arms
            .iter()
            .zip(blocks)
            .zip(at_the_ends.into_iter().zip(transfer))
            .map(|((arm, Block { typists, kinds, odds }), (ends, transfer))| ArmResult {
                label: arm.arm().label.clone(),
                typists,
                kinds,
                floor: (!odds.is_empty()).then(|| Floor::of(odds)),
                ends: ends.into_iter().map(|(end, _)| end).collect(),
                transfer,
            })
            .collect();
        let typists: Vec<&ArmScores> = arms.iter().map(|arm| &arm.typists).collect();
        let mut rows = estimate(study, &typists);
        rows.extend(floor_rows(study, arms.iter().map(|arm| (&arm.typists, arm.floor.as_ref()))));
        rows.extend(anytime_rows(study, &arms));
        rows.extend(arms.iter().filter_map(|arm| arm.transfer.as_ref()).flat_map(|own| own.result_rows(study.primary)));
        if let Some(plan) = &study.rare {
            rows.extend(rare_rows(engine, plan, &typists));
        }
        for row in &mut rows {
            row.role = Role::of(row, study.primary);
            if study.texts.len() == 1 && row.estimate.value.is_some() {
                row.estimate.cautions.push(Caution::OneText);
            }
        }
        Self { arms, rows }
    }
}

/// The estimates on which a run with a rule to stop was judged.
fn anytime_rows(study: &Study, arms: &[ArmResult]) -> Vec<ResultRow> {
    let Some(stop) = &study.stop else { return Vec::new() };
    let mut rows = Vec::new();
    for (arm, found) in study.arms.iter().zip(arms) {
        for info in stop_estimands(stop) {
            let all = found.typists.clusters(info);
            for &at in &stop.policies {
                let look = look(stop, arm, info, &all[at], study.inference.level);
                let mut estimate = look.estimate;
                if !look.promise.is_empty() {
                    estimate.method = format!("{}; {}", estimate.method, look.promise);
                }
                let policy = &study.policies[at];
                rows.push(ResultRow::of(&arm.label, policy, info, Statistic::PooledAnytime, estimate));
            }
        }
    }
    rows
}

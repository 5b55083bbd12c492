//! The Monte Carlo runner: typists in, counts out.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::sync::Arc;

use agogic_score::Kinds;
use agogic_stats::Caution;
use rayon::prelude::*;

use crate::blocks::{Block, BlockPlace, BlockPlan, Buffers, Store};
use crate::desk::Desk;
use crate::ends::{End, ends};
use crate::estimate::{ResultRow, Role, Statistic, estimate};
use crate::files::FileError;
use crate::floor::{Floor, floor_rows};
use crate::rare::rare_rows;
use crate::scores::ArmScores;
use crate::scratch::Scratch;
use crate::stop::StopPlan;
use crate::study::Study;

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
pub fn run(study: &Study, progress: &(dyn Fn(u64) + Sync)) -> StudyResult {
    run_in_blocks(study, None, progress).expect("nothing is written, so nothing can be refused")
}

/// Runs a study as [`run`] does, keeps finished blocks in `store` and takes up those that are there.
///
/// The result is the same, however often the run was interrupted. Small studies keep nothing.
///
/// # Errors
/// The disk refuses. What was finished stays, and the next run goes on from there.
pub fn run_kept(study: &Study, store: &Store, progress: &(dyn Fn(u64) + Sync)) -> Result<StudyResult, FileError> {
    run_in_blocks(study, Some(store), progress)
}

fn run_in_blocks(
    study: &Study,
    store: Option<&Store>,
    progress: &(dyn Fn(u64) + Sync),
) -> Result<StudyResult, FileError> {
    let plan = BlockPlan::of(study);
    let store = store.filter(|_| plan.kept());
    let desks: Vec<Desk<'_>> = study.arms.iter().map(Desk::new).collect();
    let scratch = store.and_then(|store| Scratch::on_disk_of(store.folder()));
    let one = |buffers: &mut Buffers, place: &BlockPlace| -> Result<Block, FileError> {
        let desk = &desks[place.arm];
        let mut block = match store {
            Some(store) => Block::kept(store, study, desk, place, buffers, progress)?.0,
            None => Block::made(study, desk, place, buffers, progress),
        };
        scratch.iter().for_each(|scratch| block.typists.move_to(scratch));
        Ok(block)
    };
    // Blocks are put together as they come, neighbours with neighbours: the order stays, and few of them wait.
    let each = |places: Vec<BlockPlace>| -> Result<ByArm, FileError> {
        let made = places.into_par_iter().map_init(Buffers::default, |buffers, place| {
            let block = one(buffers, &place)?;
            Ok(ByArm::from([(place.arm, block)]))
        });
        made.try_reduce(ByArm::new, |mut all, later| {
            for (arm, block) in later {
                match all.entry(arm) {
                    Entry::Vacant(free) => drop(free.insert(block)),
                    Entry::Occupied(there) => there.into_mut().append(block),
                }
            }
            Ok(all)
        })
    };
    let empty = || Block::empty(study.policies.len());
    let arms: Vec<Block> = if study.stop.is_some() {
        // Looks come after whole windows, so the end depends on the counts alone and not on threads.
        let window = |places| Ok(each(places)?.into_values().next().unwrap_or_else(empty));
        let arms = (0..study.arms.len()).map(|arm| until_precise(study, &plan, arm, window));
        arms.collect::<Result<_, _>>()?
    } else {
        let mut found = each((0..study.arms.len()).flat_map(|arm| plan.of_arm(arm)).collect())?;
        (0..study.arms.len()).map(|arm| found.remove(&arm).unwrap_or_else(empty)).collect()
    };
    Ok(StudyResult::of(study, arms))
}

/// What was made of each arm.
type ByArm = BTreeMap<usize, Block>;

/// The blocks of an arm, window by window, to its last typist or until it is precise enough; `window` makes those of one
/// window.
fn until_precise<E>(
    study: &Study,
    plan: &BlockPlan,
    arm: usize,
    window: impl Fn(Vec<BlockPlace>) -> Result<Block, E>,
) -> Result<Block, E> {
    let mut all = Block::empty(study.policies.len());
    for typists in plan.windows() {
        all.append(window(plan.blocks(arm, typists))?);
        let enough = |stop: &StopPlan| stop.done(&study.arms[arm], &all.typists, study.inference.level);
        if study.stop.as_ref().is_some_and(enough) {
            break;
        }
    }
    Ok(all)
}

/// An arm from blocks that are made elsewhere: those that a run would have come to. Their scores are moved to `scratch`.
pub(crate) fn finished<E>(
    study: &Study,
    arm: usize,
    scratch: Option<&Arc<Scratch>>,
    load: impl Fn(&BlockPlace) -> Result<Block, E>,
) -> Result<Block, E> {
    until_precise(study, &BlockPlan::of(study), arm, |places| {
        places.iter().try_fold(Block::empty(study.policies.len()), |mut all, place| {
            let mut block = load(place)?;
            scratch.into_iter().for_each(|scratch| block.typists.move_to(scratch));
            all.append(block);
            Ok(all)
        })
    })
}

impl StudyResult {
    /// The estimates from what was counted in each arm.
    pub(crate) fn of(study: &Study, arms: Vec<Block>) -> Self {
        let arms: Vec<ArmResult> = study
            .arms
            .iter()
            .zip(arms)
            .map(|(arm, Block { typists, kinds, odds })| ArmResult {
                label: arm.label.clone(),
                typists,
                kinds,
                floor: (!odds.is_empty()).then(|| Floor::of(odds)),
                ends: ends(study, arm),
            })
            .collect();
        let mut rows = estimate(study, &arms);
        rows.extend(floor_rows(study, &arms));
        rows.extend(anytime_rows(study, &arms));
        if let Some(plan) = &study.rare {
            rows.extend(rare_rows(study, plan, &arms));
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
        for info in stop.estimands() {
            let all = info.clusters_of_all(&found.typists);
            for &at in &stop.policies {
                let look = stop.look(arm, info, &all[at], study.inference.level);
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

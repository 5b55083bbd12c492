//! Every block of a study, on all cores, put together in order.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::sync::Arc;

use agogic_study::{StopPlan, Study};
use rayon::prelude::*;

use super::block::Block;
use super::plan::{BlockPlace, BlockPlan};
use super::store::Store;
use crate::disk::FileError;
use crate::engine::Engine;
use crate::runner::Buffers;
use crate::scratch::Scratch;
use crate::stop::precise_enough;

/// The arms of a study, each as one block.
///
/// `progress` is called with 1 after each typist, and again after each one that the observer has watched; it may be
/// called from any thread. Finished blocks are kept in `store` and taken up from there; small studies keep nothing.
///
/// # Errors
/// The disk refuses. What was finished stays, and the next run goes on from there.
pub fn run_blocks(
    engine: &Engine<'_>,
    store: Option<&Store>,
    progress: &(dyn Fn(u64) + Sync),
) -> Result<Vec<Block>, FileError> {
    let study = engine.study;
    let plan = BlockPlan::of(study);
    let store = store.filter(|_| plan.is_kept());
    let scratch = store.and_then(|store| Scratch::on_disk_of(store.folder()));
    let one = |buffers: &mut Buffers, place: &BlockPlace| -> Result<Block, FileError> {
        let mut block = match store {
            Some(store) => store.block(engine, place, buffers, progress)?.0,
            None => Block::make(engine, place, buffers, progress),
        };
        scratch.iter().for_each(|scratch| block.typists.move_to(scratch));
        Ok(block)
    };
    // Blocks are put together as they come, neighbours with neighbours: the order stays, and few of them wait.
    let each = |places: Vec<BlockPlace>| -> Result<ByArm, FileError> {
        let blocks = places.into_par_iter().map_init(Buffers::default, |buffers, place| {
            let block = one(buffers, &place)?;
            Ok(ByArm::from([(place.arm, block)]))
        });
        blocks.try_reduce(ByArm::new, |mut all, later| {
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
    if study.stop.is_some() {
        // Looks come after whole windows, so the end depends on the counts alone and not on threads.
        let window = |places| Ok(each(places)?.into_values().next().unwrap_or_else(empty));
        let arms = (0..study.arms.len()).map(|arm| until_precise(study, &plan, arm, window));
        arms.collect()
    } else {
        let mut found = each((0..study.arms.len()).flat_map(|arm| plan.of_arm(arm)).collect())?;
        Ok((0..study.arms.len()).map(|arm| found.remove(&arm).unwrap_or_else(empty)).collect())
    }
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
        let enough = |stop: &StopPlan| precise_enough(stop, &study.arms[arm], &all.typists, study.inference.level);
        if study.stop.as_ref().is_some_and(enough) {
            break;
        }
    }
    Ok(all)
}

/// An arm from blocks that are made elsewhere: those that a run would have come to. Their scores are moved to `scratch`.
pub(super) fn finished<E>(
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

//! Which conclusions survive other assumptions, and which assumption breaks them.
//!
//! Much of the typist model is assumed: the register gives each such number a range. Here the typists of a study
//! type again with each assumed number at either end of its range, one at a time, and at points spread over all
//! ranges together. Every conclusion of the study is then held against what is found there.
//!
//! Policies stay as they are: what was learned or fitted was learned from the population as the study has it. That is
//! the question of somebody who ships a default and meets people who are otherwise than assumed.

mod conclusions;
mod variants;

pub use conclusions::{Against, Conclusion, Verdict};

use agogic_sim::numbers::ROBUST;
use agogic_sim::{Engine, Store, TrainedArm, TypistRow};
use agogic_stats::Level;
use agogic_study::{Arm, Study};
use agogic_typist::{Entry, Population, Provenance, register_of};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::candidates::{Candidate, rows_of};
use crate::recommend::{Recommendation, to_judge};
use conclusions::Claim;
use variants::{Variant, variants};

/// What was found in one arm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Robustness {
    /// Label of the arm.
    pub arm: String,
    /// Assumed numbers that were moved.
    pub assumptions: usize,
    /// Points at which all of them were moved together.
    pub points: usize,
    /// Points at which correlations had to be brought closer to zero to be possible.
    pub shrunk: usize,
    /// The conclusions.
    pub conclusions: Vec<Conclusion>,
}

/// Holds the conclusions of a study, and of its advice if there is one, against other assumptions.
///
/// `progress` is called with 1 after each variant; it may be called from any thread. What was judged is kept in `store`,
/// and taken up from there.
///
/// # Definition
/// The same typists (the same random streams) type under every variant. A variant speaks surely against a conclusion
/// if its interval does at error α ⁄ V, V the number of variants with one number moved, so over all of them the error
/// is α. The share of points with all numbers moved at which the estimate keeps its sign has an exact interval, whose
/// unit is the point: it is a share of the ranges under a uniform law, not a probability of anything.
pub fn robust(
    engine: &Engine<'_>,
    advice: &[Recommendation],
    store: Option<&Store>,
    progress: &(dyn Fn(u64) + Sync),
) -> Vec<Robustness> {
    let advised = |arm: &TrainedArm<'_>| advice.iter().find(|own| own.arm == arm.arm().label);
    engine.arms.iter().map(|arm| of_arm(engine.study, arm, advised(arm), store, progress)).collect()
}

fn of_arm(
    study: &Study,
    arm: &TrainedArm<'_>,
    advice: Option<&Recommendation>,
    store: Option<&Store>,
    progress: &(dyn Fn(u64) + Sync),
) -> Robustness {
    let plan = &study.robust;
    let candidates = to_judge(study, arm, advice);
    let claims = Claim::all(study, advice, &candidates);
    let listed: Vec<&Candidate> = candidates.iter().collect();
    let assumed = assumed_of(&arm.arm().population);
    let all = variants(study.seed, &arm.arm().population, &assumed, plan.points);
    let singles = all.iter().filter(|variant| variant.moved.is_some()).count().max(1);
    let joint = Level::new(1.0 - study.inference.level.alpha() / singles as f64).expect("closer to one than a level");
    let typists = ROBUST..ROBUST + plan.typists;
    let look = |variant: &Variant, level: Level| -> Vec<Against> {
        let rows: Vec<TypistRow> = rows_of(study, arm, &variant.population, &listed, typists.clone(), store);
        progress(1);
        claims.iter().map(|claim| claim.look(study, &rows, level)).collect()
    };
    let as_is = Variant { moved: None, population: arm.arm().population.clone(), shrink: 1.0 };
    let nominal = look(&as_is, study.inference.level);
    // Each variant on its own, kept in order.
    let found: Vec<Vec<Against>> = all.par_iter().map(|variant| look(variant, joint)).collect();
    let conclusions = claims
        .iter()
        .enumerate()
        .map(|(at, claim)| {
            let each = all.iter().zip(&found).map(|(variant, looks)| (variant, &looks[at]));
            claim.conclude(study, &nominal[at], each)
        })
        .collect();
    Robustness {
        arm: arm.arm().label.clone(),
        assumptions: assumed.len(),
        points: all.len() - all.iter().filter(|variant| variant.moved.is_some()).count(),
        shrunk: all.iter().filter(|variant| variant.shrink < 1.0).count(),
        conclusions,
    }
}

/// Every assumed number of a population, with its range.
fn assumed_of(population: &Population) -> Vec<(Entry, f64, f64)> {
    let assumed = register_of(population).into_iter().filter_map(|entry| match entry.provenance {
        Provenance::Assumed { lo, hi, .. } => Some((entry, lo, hi)),
        _ => None,
    });
    assumed.collect()
}

/// A population with each assumed number at either end of its range in turn: the number, where it was moved to, the people.
pub(crate) fn ends_of_assumptions(seed: u64, population: &Population) -> Vec<(String, f64, Population)> {
    let all = variants(seed, population, &assumed_of(population), 0);
    all.into_iter().filter_map(|own| own.moved.map(|(name, value)| (name, value, own.population))).collect()
}

/// Variants that will be tried in all arms.
pub fn variants_of(study: &Study) -> u64 {
    let of = |arm: &Arm| {
        let assumed =
            register_of(&arm.population).iter().filter(|e| matches!(e.provenance, Provenance::Assumed { .. })).count();
        1 + 2 * assumed + study.robust.points
    };
    study.arms.iter().map(|arm| of(arm) as u64).sum()
}

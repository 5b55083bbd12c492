//! Some typists of an arm under every policy: the unit of work that is kept.

use agogic_score::Kinds;
use agogic_study::Study;
use serde::{Deserialize, Serialize};

use super::plan::BlockPlace;
use crate::engine::{Engine, TrainedArm};
use crate::runner::Buffers;
use crate::scores::{ArmScores, TypistRow, TypistSummary};
use crate::watch::{TypistOdds, perform_watched};

/// Some typists of an arm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Block {
    /// The scores, in the order of the typists.
    pub typists: ArmScores,
    /// Wrong outcomes of all of them, one table per policy. Sums of whole numbers.
    pub kinds: Vec<Kinds>,
    /// The odds the ideal observer gave the presses of those whom it watched: the first of the arm.
    pub odds: Vec<TypistOdds>,
}

impl Block {
    /// No typist yet, of a study with so many policies.
    pub fn empty(policies: usize) -> Self {
        Self { typists: ArmScores::new(policies), kinds: vec![Kinds::new(); policies], odds: Vec::new() }
    }

    /// The block at a place. `progress` is called with 1 after each typist, and again after each one watched.
    pub fn make(
        engine: &Engine<'_>,
        place: &BlockPlace,
        buffers: &mut Buffers,
        progress: &(dyn Fn(u64) + Sync),
    ) -> Self {
        let arm = &engine.arms[place.arm];
        let mut block = Self::empty(arm.deciders.len());
        let one = |number| {
            let row = block.one_typist(engine.study, arm, buffers, number);
            progress(1 + u64::from(number < engine.study.floor.typists));
            row
        };
        let rows: Vec<TypistRow> = place.typists.clone().map(one).collect();
        block.typists = ArmScores::of(arm.deciders.len(), &rows);
        block
    }

    /// How often `progress` is called for it, in all.
    pub(super) fn steps(&self) -> u64 {
        (self.typists.len() + self.odds.len()) as u64
    }

    /// Adds the block that follows.
    pub fn append(&mut self, later: Self) {
        self.typists.append(later.typists);
        self.odds.extend(later.odds);
        for (sum, more) in self.kinds.iter_mut().zip(&later.kinds) {
            *sum += more;
        }
    }

    /// A typist with all scores; what else was seen is added.
    fn one_typist(&mut self, study: &Study, arm: &TrainedArm<'_>, buffers: &mut Buffers, number: u64) -> TypistRow {
        let (performed, odds) = perform_watched(study, &arm.runner, buffers, number);
        self.odds.extend(odds);
        let settings = arm.settings(&performed.typist, study.seed);
        let mut scores = Vec::with_capacity(settings.len());
        arm.runner.judge(
            buffers,
            &arm.runner.transcript(&performed.session),
            &settings,
            &study.costs,
            |at, score, kinds| {
                self.kinds[at] += kinds;
                scores.push(score);
            },
        );
        TypistRow { person: TypistSummary::of(&performed.typist, &performed.session), scores }
    }
}

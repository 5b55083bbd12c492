//! Some typists of an arm under every policy: the unit of work that is kept.

use agogic_policy::EncounterScan;
use agogic_score::{Kinds, Panel};
use agogic_typist::Typist;
use serde::{Deserialize, Serialize};

use super::plan::BlockPlace;
use super::store::Store;
use crate::desk::Desk;
use crate::files::FileError;
use crate::floor::{TypistOdds, watched};
use crate::scores::{ArmScores, Person, TypistRow};
use crate::study::Study;

/// Some typists of an arm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Block {
    /// The scores, in the order of the typists.
    pub typists: ArmScores,
    /// Wrong outcomes of all of them, one table per policy. Sums of whole numbers.
    pub kinds: Vec<Kinds>,
    /// The odds the ideal observer gave the presses of those whom it watched: the first of the arm.
    pub odds: Vec<TypistOdds>,
}

/// Buffers of a thread, used again from typist to typist.
#[derive(Default)]
pub(crate) struct Buffers {
    panel: Panel,
    scan: EncounterScan,
}

impl Block {
    /// No typist yet, of a study with so many policies.
    pub fn empty(policies: usize) -> Self {
        Self { typists: ArmScores::new(policies), kinds: vec![Kinds::new(); policies], odds: Vec::new() }
    }

    /// The block at a place. `progress` is called with 1 after each typist, and again after each one watched.
    pub fn made(
        study: &Study,
        desk: &Desk<'_>,
        place: &BlockPlace,
        buffers: &mut Buffers,
        progress: &(dyn Fn(u64) + Sync),
    ) -> Self {
        let mut block = Self::empty(desk.arm.deciders.len());
        let one = |number| {
            let row = block.one_typist(study, desk, buffers, number);
            progress(1 + u64::from(number < study.floor.typists));
            row
        };
        let rows: Vec<TypistRow> = place.typists.clone().map(one).collect();
        block.typists = ArmScores::of(desk.arm.deciders.len(), &rows);
        block
    }

    /// The block at a place, taken from `store` if it is there, else made and kept there; and whether it was there.
    /// `progress` is called as by [`Block::made`], all at once for one that was there.
    pub fn kept(
        store: &Store,
        study: &Study,
        desk: &Desk<'_>,
        place: &BlockPlace,
        buffers: &mut Buffers,
        progress: &(dyn Fn(u64) + Sync),
    ) -> Result<(Self, bool), FileError> {
        if let Some(block) = store.load(study, place) {
            progress(block.steps());
            return Ok((block, true));
        }
        let block = Self::made(study, desk, place, buffers, progress);
        store.save(place, &block)?;
        Ok((block, false))
    }

    /// How often `progress` is called for it, in all.
    fn steps(&self) -> u64 {
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
    fn one_typist(&mut self, study: &Study, desk: &Desk<'_>, buffers: &mut Buffers, number: u64) -> TypistRow {
        let typist = Typist::draw(&desk.arm.population, study.seed, number);
        let (session, odds) = watched(study, desk, &typist, &mut buffers.scan);
        self.odds.extend(odds);
        let settings = desk.settings(&typist, study.seed);
        let mut scores = Vec::with_capacity(settings.len());
        desk.judge(&mut buffers.panel, &desk.transcript(&session), &settings, &study.costs, |at, score, kinds| {
            self.kinds[at] += kinds;
            scores.push(score);
        });
        TypistRow { person: Person::of(&typist, &session), scores }
    }
}

//! Some typists of an arm under every policy: the unit of work that is kept.

use agogic_policy::{EncounterScan, Setting};
use agogic_score::{Emulator, Kinds, Panel, Transcript};
use agogic_typist::{Performer, Trait, Typist};
use serde::{Deserialize, Serialize};

use super::plan::BlockPlace;
use crate::floor::{TypistOdds, watched};
use crate::run::{Manner, TypistRow};
use crate::study::{Arm, Study};

/// Some typists of an arm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Block {
    /// The scores, in the order of the typists.
    pub typists: Vec<TypistRow>,
    /// Wrong outcomes of all of them, one table per policy. Sums of whole numbers.
    pub kinds: Vec<Kinds>,
    /// The odds the ideal observer gave the presses of those whom it watched: the first of the arm.
    pub odds: Vec<TypistOdds>,
}

/// What every typist of an arm needs, made once.
pub(crate) struct Bench<'a> {
    study: &'a Study,
    arm: &'a Arm,
    performer: Performer,
    emulator: Emulator,
}

impl<'a> Bench<'a> {
    pub fn new(study: &'a Study, arm: &'a Arm) -> Self {
        let performer = Performer::new(&arm.board, &arm.assignment);
        Self { study, arm, performer, emulator: Emulator::new(&arm.assignment) }
    }
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
        Self { typists: Vec::new(), kinds: vec![Kinds::new(); policies], odds: Vec::new() }
    }

    /// The block at a place. `progress` is called with 1 after each typist, and again after each one watched.
    pub fn made(bench: &Bench<'_>, place: &BlockPlace, buffers: &mut Buffers, progress: &(dyn Fn(u64) + Sync)) -> Self {
        let mut block = Self::empty(bench.arm.deciders.len());
        for number in place.typists.clone() {
            block.one_typist(bench, buffers, number);
            progress(1 + u64::from(number < bench.study.floor.typists));
        }
        block
    }

    /// How often `progress` is called for it, in all.
    pub fn steps(&self) -> u64 {
        (self.typists.len() + self.odds.len()) as u64
    }

    /// Adds the block that follows.
    pub fn append(&mut self, mut later: Self) {
        self.typists.append(&mut later.typists);
        self.odds.append(&mut later.odds);
        for (sum, more) in self.kinds.iter_mut().zip(&later.kinds) {
            *sum += more;
        }
    }

    fn one_typist(&mut self, bench: &Bench<'_>, buffers: &mut Buffers, number: u64) {
        let Bench { study, arm, performer, emulator } = bench;
        let typist = Typist::draw(&arm.population, study.seed, number);
        let (session, odds) = watched(study, arm, performer, &typist, &mut buffers.scan);
        self.odds.extend(odds);
        let fitted: Vec<Option<Setting>> =
            arm.deciders.iter().map(|decider| decider.fitted(arm, performer, &typist, study.seed)).collect();
        let settings: Vec<&Setting> =
            arm.deciders.iter().zip(&fitted).map(|(decider, own)| own.as_ref().unwrap_or(decider.base())).collect();
        let transcript = Transcript::new(emulator, &session.presses, &session.truths, session.words);
        let mut scores = Vec::with_capacity(settings.len());
        let hand = |code| performer.movement().hand(code);
        buffers.panel.judge(&transcript, hand, &settings, &study.costs, |at, score, kinds| {
            self.kinds[at] += kinds;
            scores.push(score);
        });
        self.typists.push(Manner::of(&session).row(number, typist.get(Trait::Trailing), scores));
    }
}

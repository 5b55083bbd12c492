//! Typists judged by candidates.

use std::ops::Range;

use agogic_policy::Setting;
use agogic_score::{Emulator, Panel, Transcript, TypistScore};
use agogic_typist::{Performer, Population, Trait, Typist};
use rayon::prelude::*;

use super::candidates::Candidate;
use crate::run::{Manner, TypistRow};
use crate::study::{Arm, Study};

/// What it takes to let typists of an arm type and be judged.
pub(super) struct Bench<'a> {
    study: &'a Study,
    arm: &'a Arm,
    population: &'a Population,
    performer: Performer,
    emulator: Emulator,
    progress: &'a (dyn Fn(u64) + Sync),
}

impl<'a> Bench<'a> {
    pub fn new(study: &'a Study, arm: &'a Arm, progress: &'a (dyn Fn(u64) + Sync)) -> Self {
        let (performer, emulator) = (Performer::new(&arm.board, &arm.assignment), Emulator::new(&arm.assignment));
        Self { study, arm, population: &arm.population, performer, emulator, progress }
    }

    /// The typists with their scores under each candidate, in order.
    pub fn rows(&self, candidates: &[&Candidate], typists: Range<u64>) -> Vec<TypistRow> {
        self.each(candidates, typists, |row| row)
    }

    /// Something of each typist, in order, whichever thread had which.
    pub fn each<T: Send>(
        &self,
        candidates: &[&Candidate],
        typists: Range<u64>,
        take: impl Fn(TypistRow) -> T + Sync,
    ) -> Vec<T> {
        typists
            .into_par_iter()
            .map_init(Panel::new, |panel, number| {
                let row = self.row(candidates, panel, number);
                (self.progress)(candidates.len() as u64);
                take(row)
            })
            .collect()
    }

    fn row(&self, candidates: &[&Candidate], panel: &mut Panel, number: u64) -> TypistRow {
        let Self { study, arm, population, performer, emulator, .. } = self;
        let typist = Typist::draw(population, study.seed, number);
        let session = arm.session(performer, &typist, study.seed, 0, arm.keys);
        let fitted: Vec<Option<Setting>> =
            candidates.iter().map(|own| own.fitted(arm, performer, &typist, study.seed)).collect();
        let settings: Vec<&Setting> = candidates
            .iter()
            .zip(&fitted)
            .map(|(own, fitted)| fitted.as_ref().or_else(|| own.setting(arm)).expect("common or fitted"))
            .collect();
        let transcript = Transcript::new(emulator, &session.presses, &session.truths, session.words);
        let mut scores: Vec<TypistScore> = Vec::with_capacity(settings.len());
        let hand = |code| performer.movement().hand(code);
        panel.judge(&transcript, hand, &settings, &study.costs, |_, score, _| scores.push(score));
        Manner::of(&session).row(number, typist.get(Trait::Trailing), scores)
    }
}

/// Typists of another population at the keyboard of an arm, judged by candidates; in order.
pub(crate) fn rows_of(
    study: &Study,
    arm: &Arm,
    population: &Population,
    candidates: &[Candidate],
    typists: Range<u64>,
) -> Vec<TypistRow> {
    let bench = Bench { population, ..Bench::new(study, arm, &|_| ()) };
    bench.rows(&candidates.iter().collect::<Vec<_>>(), typists)
}

//! Typists judged by candidates.

use std::ops::Range;

use agogic_score::Panel;
use agogic_typist::{Population, Typist};
use rayon::prelude::*;

use super::candidates::Candidate;
use crate::desk::Desk;
use crate::scores::{Person, TypistRow};
use crate::study::{Arm, Study};

/// What it takes to let typists of an arm type and be judged.
pub(super) struct Bench<'a> {
    study: &'a Study,
    desk: Desk<'a>,
    population: &'a Population,
    progress: &'a (dyn Fn(u64) + Sync),
}

impl<'a> Bench<'a> {
    pub fn new(study: &'a Study, arm: &'a Arm, progress: &'a (dyn Fn(u64) + Sync)) -> Self {
        Self { study, desk: Desk::new(arm), population: &arm.population, progress }
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
        let Self { study, desk, population, .. } = self;
        let typist = Typist::draw(population, study.seed, number);
        let session = desk.session(&typist, study.seed);
        let settings: Vec<_> = candidates.iter().map(|own| own.setting_for(desk, &typist, study.seed)).collect();
        let mut scores = Vec::with_capacity(settings.len());
        desk.judge(panel, &session, &settings, &study.costs, |_, score, _| scores.push(score));
        TypistRow { person: Person::of(&typist, &session), scores }
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

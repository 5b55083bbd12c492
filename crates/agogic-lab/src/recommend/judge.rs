//! Typists judged by candidates.

use std::ops::Range;

use agogic_score::Panel;
use agogic_typist::{Population, Typist};
use rayon::prelude::*;

use super::candidates::Candidate;
use crate::blocks::{Store, are_of};
use crate::desk::Desk;
use crate::scores::{ArmScores, Person, TypistRow};
use crate::study::{Arm, Study};

/// What it takes to let typists of an arm type and be judged.
pub(super) struct Bench<'a> {
    study: &'a Study,
    desk: Desk<'a>,
    population: &'a Population,
    /// Where rows are kept, if anywhere.
    store: Option<&'a Store>,
    progress: &'a (dyn Fn(u64) + Sync),
}

/// Least judged presses that are worth a file.
const KEPT_FROM: u64 = 200_000;

/// Judged presses of a block at most: some seconds of work.
const MOST: u64 = 10_000_000;

/// Blocks into which the typists of one call are cut at least, so that every core finds work.
const LEAST_BLOCKS: u64 = 16;

impl<'a> Bench<'a> {
    pub fn new(study: &'a Study, arm: &'a Arm, store: Option<&'a Store>, progress: &'a (dyn Fn(u64) + Sync)) -> Self {
        Self { study, desk: Desk::new(arm), population: &arm.population, store, progress }
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
        let work = (self.desk.arm.keys * candidates.len()) as u64;
        let most = MOST.div_ceil(work.max(1));
        let size = ((typists.end - typists.start) / LEAST_BLOCKS).clamp(1, most);
        let starts: Vec<u64> = typists.clone().step_by(size as usize).collect();
        let blocks = starts.into_par_iter().map_init(Panel::new, |panel, start| {
            let block = start..(start + size).min(typists.end);
            let scores = self.block(candidates, panel, block, work);
            scores.iter().map(&take).collect::<Vec<T>>()
        });
        blocks.flatten_iter().collect()
    }

    /// Some typists, taken up where they are kept.
    fn block(&self, candidates: &[&Candidate], panel: &mut Panel, typists: Range<u64>, work: u64) -> ArmScores {
        let count = (typists.end - typists.start) as usize;
        let make = || {
            let rows: Vec<TypistRow> = typists.clone().map(|number| self.one(candidates, panel, number)).collect();
            ArmScores::of(candidates.len(), &rows)
        };
        let sound = |found: &ArmScores| are_of(found, &typists, candidates.len());
        let store = self.store.filter(|_| work * count as u64 >= KEPT_FROM);
        let scores = Store::kept(store, || self.key(candidates, &typists), sound, make);
        (self.progress)((count * candidates.len()) as u64);
        scores
    }

    /// All that decides what a block holds.
    fn key(&self, candidates: &[&Candidate], typists: &Range<u64>) -> String {
        let labels: Vec<&str> = candidates.iter().map(|own| own.label.as_str()).collect();
        format!("{:?}\n{:?}\n{:?}\n{labels:?}", self.desk.arm.label, self.population, typists)
    }

    fn one(&self, candidates: &[&Candidate], panel: &mut Panel, number: u64) -> TypistRow {
        let Self { study, desk, population, .. } = self;
        let typist = Typist::draw(population, study.seed, number);
        let session = desk.session(&typist, study.seed);
        let settings: Vec<_> = candidates.iter().map(|own| own.setting_for(desk, &typist, study.seed)).collect();
        let mut scores = Vec::with_capacity(settings.len());
        desk.judge(panel, &desk.transcript(&session), &settings, &study.costs, |_, score, _| scores.push(score));
        TypistRow { person: Person::of(&typist, &session), scores }
    }
}

/// Typists of another population at the keyboard of an arm, judged by candidates; in order.
pub(crate) fn rows_of(
    study: &Study,
    arm: &Arm,
    population: &Population,
    candidates: &[&Candidate],
    typists: Range<u64>,
    store: Option<&Store>,
) -> Vec<TypistRow> {
    let bench = Bench { population, ..Bench::new(study, arm, store, &|_| ()) };
    bench.rows(candidates, typists)
}

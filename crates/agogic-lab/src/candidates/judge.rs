//! Typists judged by candidates.

use std::ops::Range;

use agogic_sim::blocks::{are_of, worth_keeping};
use agogic_sim::{ArmScores, Buffers, Store, TrainedArm, Trial, TypistRow, TypistSummary};
use agogic_study::Study;
use agogic_typist::Population;
use rayon::prelude::*;

use super::candidate::Candidate;

/// What it takes to let typists of an arm type and be judged.
pub(crate) struct Judge<'a> {
    study: &'a Study,
    arm: &'a TrainedArm<'a>,
    population: &'a Population,
    /// Where rows are kept, if anywhere.
    store: Option<&'a Store>,
    progress: &'a (dyn Fn(u64) + Sync),
}

/// Judged presses of a block at most: some seconds of work.
const MOST: u64 = 10_000_000;

/// Blocks into which the typists of one call are cut at least, so that every core finds work.
const LEAST_BLOCKS: u64 = 16;

impl<'a> Judge<'a> {
    pub fn new(
        study: &'a Study,
        arm: &'a TrainedArm<'a>,
        store: Option<&'a Store>,
        progress: &'a (dyn Fn(u64) + Sync),
    ) -> Self {
        Self { study, arm, population: &arm.arm().population, store, progress }
    }

    /// Where rows are kept, if anywhere.
    pub fn store(&self) -> Option<&'a Store> {
        self.store
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
        let work = (self.arm.arm().keys * candidates.len()) as u64;
        let most = MOST.div_ceil(work.max(1));
        let size = ((typists.end - typists.start) / LEAST_BLOCKS).clamp(1, most);
        let store = self.store.filter(|_| worth_keeping(work * (typists.end - typists.start)));
        let starts: Vec<u64> = typists.clone().step_by(size as usize).collect();
        let blocks = starts.into_par_iter().map_init(Buffers::default, |buffers, start| {
            let block = start..(start + size).min(typists.end);
            let scores = self.block(candidates, buffers, block, store);
            scores.iter().map(&take).collect::<Vec<T>>()
        });
        blocks.flatten_iter().collect()
    }

    /// Some typists, taken up where they are kept.
    fn block(
        &self,
        candidates: &[&Candidate],
        buffers: &mut Buffers,
        typists: Range<u64>,
        store: Option<&Store>,
    ) -> ArmScores {
        let count = (typists.end - typists.start) as usize;
        let make = || {
            let rows: Vec<TypistRow> = typists.clone().map(|number| self.one(candidates, buffers, number)).collect();
            ArmScores::of(candidates.len(), &rows)
        };
        let sound = |found: &ArmScores| are_of(found, &typists, candidates.len());
        let scores = Store::take_up_or_make(store, || self.key(candidates, &typists), sound, make);
        (self.progress)((count * candidates.len()) as u64);
        scores
    }

    /// All that decides what a block holds.
    fn key(&self, candidates: &[&Candidate], typists: &Range<u64>) -> String {
        let labels: Vec<&str> = candidates.iter().map(|own| own.label.as_str()).collect();
        format!("{:?}\n{:?}\n{:?}\n{labels:?}", self.arm.arm().label, self.population, typists)
    }

    fn one(&self, candidates: &[&Candidate], buffers: &mut Buffers, number: u64) -> TypistRow {
        let Self { study, arm, population, .. } = self;
        let performed = arm.runner.perform(Trial { population, ..arm.runner.judged(study.seed, number) });
        let settings: Vec<_> =
            candidates.iter().map(|own| own.setting_for(arm, &performed.typist, study.seed)).collect();
        let mut scores = Vec::with_capacity(settings.len());
        arm.runner.judge(
            buffers,
            &arm.runner.transcript(&performed.session),
            &settings,
            &study.costs,
            |_, score, _| scores.push(score),
        );
        TypistRow { person: TypistSummary::of(&performed.typist, &performed.session), scores }
    }
}

/// Typists of another population at the keyboard of an arm, judged by candidates; in order.
pub(crate) fn rows_of(
    study: &Study,
    arm: &TrainedArm<'_>,
    population: &Population,
    candidates: &[&Candidate],
    typists: Range<u64>,
    store: Option<&Store>,
) -> Vec<TypistRow> {
    let judge = Judge { population, ..Judge::new(study, arm, store, &|_| ()) };
    judge.rows(candidates, typists)
}

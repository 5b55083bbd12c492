//! One rate or one difference at a time.

use agogic_lab::{default_difference, default_rate};
use agogic_stats::{Clusters, DfAdjustment, Estimate, Interval, Level, korn_graubard, paired_difference, ratio};
use agogic_study::{ESTIMANDS, EstimandInfo};
use rayon::prelude::*;

use crate::{Pool, address, clusters, positions, truth};

/// Typists of a study.
pub const TYPISTS: [usize; 5] = [10, 20, 40, 100, 300];

/// Ends of the classes of typists with events, or in whom two settings differ.
pub const CLASSES: [u64; 9] = [3, 5, 7, 10, 15, 20, 30, 40, u64::MAX];

/// What is estimated: a rate, or the difference of two over the same typists.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    Rate,
    Difference,
}

/// Where intervals lay.
#[derive(Clone, Copy, Debug, Default)]
pub struct Tally {
    /// Intervals given.
    pub given: u64,
    /// Those that lie above the truth, whose lower limit is too high.
    pub above: u64,
    /// Those that lie below the truth.
    pub below: u64,
}

impl Tally {
    fn add(&mut self, estimate: &Estimate, truth: f64) {
        if let Some(interval) = estimate.interval() {
            self.given += 1;
            self.above += u64::from(interval.lo > truth);
            self.below += u64::from(interval.hi < truth);
        }
    }

    pub fn join(&mut self, other: &Tally) {
        self.given += other.given;
        self.above += other.above;
        self.below += other.below;
    }

    /// Percent above, below, and of intervals that hold the truth.
    pub fn percent(&self) -> [f64; 3] {
        let share = |count: u64| 100.0 * count as f64 / self.given.max(1) as f64;
        [share(self.above), share(self.below), share(self.given - self.above - self.below)]
    }
}

/// One estimand of one policy in one population, over many studies.
#[derive(Clone, Debug)]
pub struct Cell {
    pub info: &'static EstimandInfo,
    pub what: What,
    pub typists: usize,
    pub studies: u64,
    /// The default method.
    pub own: Tally,
    /// The same where it gives no caution but that of few typists.
    pub sure: Tally,
    /// Korn–Graubard for proportions, else linearised t.
    pub plain: Tally,
    /// The default method by typists with events.
    pub classes: [Tally; CLASSES.len()],
    /// Estimates without limits, or with one outside the range of the quantity.
    pub outside: u64,
    informative: Vec<u64>,
}

impl Cell {
    fn add(&mut self, own: &Estimate, plain: &Estimate, truth: f64) {
        self.studies += 1;
        self.own.add(own, truth);
        self.plain.add(plain, truth);
        let (mut lowest, highest) = if self.info.proportion { (0.0, 1.0) } else { (0.0, f64::INFINITY) };
        if self.what == What::Difference {
            lowest = -highest;
        }
        let outside = |limits: Interval| limits.lo < lowest || limits.hi > highest;
        self.outside += u64::from(own.interval().is_none_or(outside));
        if own.cautions.iter().all(|caution| caution.name() == "few_clusters") {
            self.sure.add(own, truth);
        }
        if let Some(informative) = own.informative {
            let class = CLASSES.iter().position(|end| informative < *end).unwrap_or(CLASSES.len() - 1);
            self.classes[class].add(own, truth);
            self.informative.push(informative);
        }
    }

    /// Median of the typists with events.
    pub fn informative(&self) -> u64 {
        let mut sorted = self.informative.clone();
        sorted.sort_unstable();
        sorted.get(sorted.len() / 2).copied().unwrap_or(0)
    }
}

/// Every cell of every population.
pub fn all(pools: &[Pool], studies: usize) -> Vec<Cell> {
    let mut cells = Vec::new();
    for pool in pools {
        for typists in TYPISTS {
            let of = |(index, info): (usize, &'static EstimandInfo)| of_estimand(pool, index, info, typists, studies);
            let indexed: Vec<_> = ESTIMANDS.iter().enumerate().collect();
            cells.par_extend(indexed.into_par_iter().flat_map_iter(of));
        }
    }
    cells
}

fn of_estimand(pool: &Pool, index: usize, info: &'static EstimandInfo, typists: usize, studies: usize) -> Vec<Cell> {
    let parts = &pool.parts[index];
    let truths: Vec<Option<f64>> = parts.iter().map(|own| truth(own)).collect();
    let blank = |what| Cell {
        info,
        what,
        typists,
        studies: 0,
        own: Tally::default(),
        sure: Tally::default(),
        plain: Tally::default(),
        classes: Default::default(),
        outside: 0,
        informative: Vec::new(),
    };
    let mut rates = vec![blank(What::Rate); parts.len()];
    let mut differences = vec![blank(What::Difference); parts.len()];
    for replicate in 0..studies {
        let at = positions(pool.typists, typists, &mut address(false, pool, index, typists, replicate));
        let all: Vec<Clusters> = parts.iter().map(|own| clusters(own, &at, info.proportion)).collect();
        for (policy, own) in all.iter().enumerate() {
            let Some(true_rate) = truths[policy] else { continue };
            rates[policy].add(&default_rate(own, Level::P95), &plain_rate(own), true_rate);
            let other = pool.versus[policy];
            if let (true, Some(others)) = (other != policy, truths[other]) {
                let found = default_difference(own, &all[other], Level::P95);
                let plain = paired_difference(own, &all[other], Level::P95).expect("the same typists");
                differences[policy].add(&found, &plain, true_rate - others);
            }
        }
    }
    rates.into_iter().chain(differences).filter(|cell| cell.own.given > 0).collect()
}

fn plain_rate(own: &Clusters) -> Estimate {
    if own.is_proportion() { korn_graubard(own, DfAdjustment::Adjusted, Level::P95) } else { ratio(own, Level::P95) }
}

//! All differences of an arm at once.

use agogic_lab::default_difference;
use agogic_stats::{Clusters, Level, simultaneous_differences};
use agogic_study::EstimandInfo;
use rayon::prelude::*;

use crate::{Pool, address, clusters, positions, truth};

/// Typists of a study.
pub const TYPISTS: [usize; 4] = [10, 20, 40, 300];

/// Estimands whose families are drawn.
pub const NAMES: [&str; 4] = ["tap_delay", "hold_delay", "false_holds", "wrong_keys"];

/// With what each policy is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Against {
    /// The first policy.
    Reference,
    /// What the study names for each: often the same rule without its guard.
    Named,
}

/// One family in one population, over many studies.
#[derive(Clone, Debug)]
pub struct Family {
    pub population: String,
    pub estimand: &'static str,
    pub against: Against,
    pub typists: usize,
    pub contrasts: usize,
    pub studies: u64,
    /// Studies in which an interval misses.
    pub missed: u64,
    /// Joint intervals given; the rest are refused for too few typists that differ.
    pub given: u64,
    /// Studies with no joint interval at all.
    pub empty: u64,
    /// Studies in which each single interval at 95 % would have held.
    pub single_missed: u64,
    /// Joint intervals that do not contain the one of their contrast alone.
    pub narrower: u64,
    /// Greatest Monte Carlo error of a critical value, as a share of it.
    pub error: f64,
}

/// Every family of every population.
pub fn all(pools: &[Pool], studies: usize) -> Vec<Family> {
    let mut families = Vec::new();
    for pool in pools {
        for estimand in NAMES {
            for against in [Against::Reference, Against::Named] {
                families.extend(TYPISTS.map(|typists| of(pool, estimand, against, typists, studies)));
            }
        }
    }
    families
}

fn of(pool: &Pool, estimand: &'static str, against: Against, typists: usize, studies: usize) -> Family {
    let index = agogic_study::ESTIMANDS.iter().position(|info| info.name == estimand).expect("an estimand of ours");
    let info: &EstimandInfo = &agogic_study::ESTIMANDS[index];
    let versus = |policy: usize| if against == Against::Named { pool.versus[policy] } else { 0 };
    let parts = &pool.parts[index];
    let pairs: Vec<(usize, usize)> =
        (0..parts.len()).map(|policy| (policy, versus(policy))).filter(|(own, other)| own != other).collect();
    let truths: Vec<f64> = pairs
        .iter()
        .map(|&(own, other)| truth(&parts[own]).expect("presses") - truth(&parts[other]).expect("presses"))
        .collect();
    let blank = Family {
        population: pool.label.clone(),
        estimand,
        against,
        typists,
        contrasts: pairs.len(),
        studies: 0,
        missed: 0,
        given: 0,
        empty: 0,
        single_missed: 0,
        narrower: 0,
        error: 0.0,
    };
    let one = |replicate: usize| {
        let mut rng = address(true, pool, index, typists, replicate);
        let at = positions(pool.typists, typists, &mut rng);
        let all: Vec<Clusters> = parts.iter().map(|own| clusters(own, &at, info.proportion)).collect();
        let sides: Vec<(&Clusters, &Clusters)> = pairs.iter().map(|&(own, other)| (&all[own], &all[other])).collect();
        let found = simultaneous_differences(&sides, Level::P95, pool.resamples, &mut rng).expect("the same typists");
        let mut family = Family { studies: 1, ..blank.clone() };
        if let (Some(critical), Some(error)) = (found.critical, found.critical_mcse) {
            family.error = error / critical;
        }
        for ((estimate, truth), (own, other)) in found.contrasts.iter().zip(&truths).zip(&sides) {
            let alone = default_difference(own, other, Level::P95);
            let misses = |estimate: &agogic_stats::Estimate| {
                estimate.interval().is_some_and(|interval| !interval.contains(*truth))
            };
            family.missed |= u64::from(misses(estimate));
            family.given += u64::from(estimate.interval().is_some());
            family.single_missed |= u64::from(misses(&alone));
            // A contrast without spread has a bound alone and no joint limits.
            if let (Some(joint), Some(single)) = (estimate.interval(), alone.interval()) {
                family.narrower += u64::from(joint.lo > single.lo || joint.hi < single.hi);
            }
        }
        family.empty = u64::from(family.given == 0);
        family
    };
    let each: Vec<Family> = (0..studies).into_par_iter().map(one).collect();
    each.iter().fold(blank.clone(), |mut sum, one| {
        sum.studies += one.studies;
        sum.missed += one.missed;
        sum.given += one.given;
        sum.empty += one.empty;
        sum.single_missed += one.single_missed;
        sum.narrower += one.narrower;
        sum.error = sum.error.max(one.error);
        sum
    })
}

//! Problems of choice whose answer is known in closed form, and one choice with what was wrong about it.

use std::ops::Range;

use agogic_stats::race::{Demands, Race, RaceRules, Tally, confirm};
use agogic_stats::{Clusters, Level, normal_lower, ratio};
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, Normal, Poisson};

/// Opportunities of each unit.
const OPPORTUNITIES: f64 = 500.0;

/// Log SD between units of the loss, and of what decides whether a unit is served.
const SPREAD: (f64, f64) = (0.6, 0.35);

/// Candidates with a mean loss each and a median against a limit of 1: a unit of the population is served if
/// its own log-normal factor times the median is at most 1.
pub struct Planted {
    /// Name.
    pub name: &'static str,
    /// Mean events per opportunity and median of each candidate.
    pub candidates: fn() -> Vec<(f64, f64)>,
    /// Units of the race at each look.
    pub looks: &'static [u64],
    /// Fresh units.
    pub fresh: u64,
}

/// Least share of units to be served.
const LEAST: f64 = 0.9;

/// The problems.
pub const PROBLEMS: [Planted; 4] = [
    // Loss falls as the median rises: the best lies at the limit, between near neighbours.
    Planted {
        name: "best at the limit",
        candidates: || (0..40).map(|i| (0.03 - 0.0005 * f64::from(i), 0.5 + 0.006 * f64::from(i))).collect(),
        looks: &[100, 200],
        fresh: 400,
    },
    // One is far better than the others and serves nearly all.
    Planted {
        name: "a clear best",
        candidates: || (0..20).map(|i| (if i == 13 { 0.008 } else { 0.02 }, 0.45)).collect(),
        looks: &[100, 200],
        fresh: 400,
    },
    // All the same, with clear demands: whoever seems best is only lucky.
    Planted { name: "many alike", candidates: || vec![(0.002, 0.45); 40], looks: &[100], fresh: 200 },
    // Every candidate serves exactly the least share or a little less: nothing may be claimed.
    Planted {
        name: "nobody serves",
        candidates: || (0..20).map(|i| (0.02, at_limit() + 0.002 * f64::from(i) + 1e-9)).collect(),
        looks: &[100, 200],
        fresh: 400,
    },
];

/// The median at which exactly the least share is served: exp(−1.2816 × 0.35).
fn at_limit() -> f64 {
    (-agogic_stats::normal_quantile(LEAST) * SPREAD.1).exp()
}

impl Planted {
    /// Share of the population that a candidate serves.
    pub fn share(&self, at: usize) -> f64 {
        normal_lower(-(self.candidates)()[at].1.ln() / SPREAD.1)
    }

    /// Mean loss of a candidate: that of the median unit times the mean of a log-normal factor of median 1.
    pub fn loss(&self, at: usize) -> f64 {
        (self.candidates)()[at].0 * (SPREAD.0 * SPREAD.0 / 2.0).exp()
    }

    /// The candidate with the least loss among those that serve enough.
    pub fn best(&self) -> usize {
        let serve = (0..(self.candidates)().len()).filter(|&at| self.share(at) >= LEAST);
        serve.min_by(|&a, &b| self.loss(a).total_cmp(&self.loss(b))).unwrap_or(usize::MAX)
    }

    fn see(&self, seed: u64, candidates: &[usize], units: Range<u64>) -> Vec<Tally> {
        let known = (self.candidates)();
        let normal = Normal::new(0.0, 1.0).unwrap();
        let mut losses = vec![Vec::new(); candidates.len()];
        let mut served = vec![Vec::new(); candidates.len()];
        for unit in units {
            // Each unit has its own stream, so a newcomer meets the same units.
            let mut rng = ChaCha12Rng::seed_from_u64(seed << 20 | unit);
            let (loss_factor, limit_factor) =
                ((SPREAD.0 * normal.sample(&mut rng)).exp(), (SPREAD.1 * normal.sample(&mut rng)).exp());
            for (place, &at) in candidates.iter().enumerate() {
                let (mean, median) = known[at];
                let mut own = ChaCha12Rng::seed_from_u64(seed << 20 | unit);
                own.set_stream(1 + at as u64);
                let events = Poisson::new(mean * loss_factor * OPPORTUNITIES).unwrap().sample(&mut own);
                losses[place].push((events, OPPORTUNITIES));
                served[place].push(Some(median * limit_factor <= 1.0));
            }
        }
        let made = losses.into_iter().zip(served);
        made.map(|(loss, served)| Tally { loss: Clusters::ratio("unit", loss).unwrap(), served, limited: Vec::new() })
            .collect()
    }
}

/// What one choice claimed, held against the truth.
pub struct Choice {
    /// Who was advised.
    pub advised: Option<usize>,
    /// The best that meets the demands went home during the race.
    pub dropped_the_best: bool,
    /// Somebody was said to meet the demands who does not.
    pub claimed_in_vain: bool,
    /// A difference from the advised one lies outside its limits.
    pub gaps_missed: bool,
    /// Somebody left out is better than the safe choice by more than was said.
    pub left_out_missed: bool,
    /// The 95 % interval of the advised one's loss, from fresh units, covers the truth.
    pub loss_covered: bool,
    /// The same from the units of the race, for the one that looked best there: the winner's curse.
    pub loss_covered_in_race: bool,
    /// True loss of the advised one over that of the best.
    #[allow(dead_code, reason = "the test and the example use this file; only the example asks for it")]
    pub regret: Option<f64>,
}

/// One choice from beginning to end.
pub fn choose(problem: &Planted, seed: u64) -> Choice {
    let number = (problem.candidates)().len();
    let rules = RaceRules {
        level: Level::P95,
        candidates: number,
        looks: problem.looks.len(),
        shortlist: 8,
        fresh: problem.fresh,
    };
    let demands = Demands { served: Some(LEAST), limits: Vec::new() };
    let mut race = Race::new(rules, demands.clone());
    let all: Vec<usize> = (0..number).collect();
    race.enter(problem.see(seed, &all, 0..0));
    for &units in problem.looks {
        race.run_to(units, |running, more| problem.see(seed, running, more)).unwrap();
    }
    let list = race.shortlist();
    // The fresh units have numbers of their own.
    let fresh = problem.see(seed, &list.chosen, 1 << 19..(1 << 19) + problem.fresh);
    let found = confirm(&rules, &demands, &fresh.iter().collect::<Vec<_>>());
    let best = problem.best();
    let advised = found.chosen.map(|place| list.chosen[place]);
    let gaps_missed = found.all.iter().zip(&list.chosen).any(|(own, &at)| {
        let truth = advised.map(|chosen| problem.loss(at) - problem.loss(chosen));
        own.more_loss
            .as_ref()
            .zip(truth)
            .is_some_and(|(gap, truth)| gap.interval().is_some_and(|limits| !limits.contains(truth)))
    });
    let anchor = list.chosen.iter().zip(&list.promise).find(|(_, p)| **p >= 0.9).map(|(at, _)| *at);
    let anchor = anchor.or(list.chosen.first().copied()).unwrap_or_default();
    let left = race.running().into_iter().filter(|at| !list.chosen.contains(at));
    let left_out_missed =
        list.most_missed.is_some_and(|most| left.clone().any(|at| problem.loss(anchor) - problem.loss(at) > most));
    let covers = |loss: &Clusters, at: usize| {
        ratio(loss, Level::P95).interval().is_some_and(|limits| limits.contains(problem.loss(at)))
    };
    Choice {
        advised,
        dropped_the_best: best < number && race.runners()[best].dropped.is_some(),
        claimed_in_vain: found.all.iter().zip(&list.chosen).any(|(own, &at)| own.meets && problem.share(at) < LEAST),
        gaps_missed,
        left_out_missed,
        loss_covered: found.chosen.is_none_or(|place| covers(&fresh[place].loss, list.chosen[place])),
        loss_covered_in_race: race.leaders().first().is_none_or(|&at| covers(&race.runners()[at].tally.loss, at)),
        regret: advised.filter(|_| best < number).map(|at| problem.loss(at) / problem.loss(best)),
    }
}

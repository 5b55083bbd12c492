//! A look during a race: who may go home.

use super::bounds::{confirmable, difference, pooled, share};
use super::shortlist::SAFE;
use super::{Demands, RaceRules, Tally};
use crate::normal::normal_upper_quantile;
use crate::ratio::ratio_standard_error;

/// Candidates that surely meet the demands and are held against all others, at most: the ones with the least loss.
/// Which ones they are costs nothing, since the error allowed covers all of them.
const PACE_MAKERS: usize = 5;

/// Why a candidate went home.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dropped {
    /// It surely does not meet the demands.
    Outside,
    /// Another one, whose place is given, surely meets the demands and surely has less loss.
    WorseThan(usize),
}

/// Decides which candidates go home after a look; `None` for those that stay.
///
/// # Definition
/// Let k be the best of the candidates that truly meet the demands. It is dropped in error only if a demand
/// seems broken by it, each at error q ⁄ (2 L m), or if one of its K − 1 rivals both seems to meet the demands and
/// seems better: such a rival either does not meet them or is not better, so one of two claims is false, each at
/// error q ⁄ (2 L (K − 1)). Here q is a quarter of the error allowed, L the looks, m the demands and K the
/// candidates that may ever run. A rival may send others home only if it meets the demands by so much that fresh units
/// will confirm it with probability 0.9 if its limits here are true: else the race could end with candidates of which
/// nothing can be claimed. That asks for more than the error needs. Over all looks together k is dropped with probability q at most. Limits: exact for
/// the share of units served, [`korn_graubard`](crate::korn_graubard) or [`ratio`](crate::ratio()) for
/// pooled limits, [`paired_difference`](crate::paired_difference) for losses.
///
/// # Shape
/// One tally per running candidate; all have seen the same units.
pub fn look(rules: &RaceRules, demands: &Demands, tallies: &[&Tally]) -> Vec<Option<Dropped>> {
    let half = rules.quarter() / 2.0 / rules.looks.max(1) as f64;
    let of_demand = half / demands.number().max(1) as f64;
    let of_rival = half / rules.candidates.saturating_sub(1).max(1) as f64;
    let mut verdicts: Vec<Option<Dropped>> =
        tallies.iter().map(|tally| outside(demands, tally, of_demand).then_some(Dropped::Outside)).collect();
    let listed = rules.of_each_listed();
    let beyond = Beyond {
        share: demands.served.map_or(0.0, |least| confirmable(least, rules.fresh, listed, SAFE)),
        errors: normal_upper_quantile(listed) + normal_upper_quantile(1.0 - SAFE),
        fresh: rules.fresh,
    };
    let mut sure: Vec<(f64, usize)> = (0..tallies.len())
        .filter(|&at| verdicts[at].is_none() && beyond.inside(demands, tallies[at], of_rival))
        .filter_map(|at| Some((tallies[at].loss_value()?, at)))
        .collect();
    sure.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    for (own, verdict) in verdicts.iter_mut().enumerate() {
        if verdict.is_some() {
            continue;
        }
        let rivals = sure.iter().take(PACE_MAKERS).filter(|(_, at)| *at != own);
        *verdict = rivals
            .map(|(_, at)| *at)
            .find(|&at| {
                difference(&tallies[at].loss, &tallies[own].loss, of_rival)
                    .and_then(|found| found.hi)
                    .is_some_and(|hi| hi < 0.0)
            })
            .map(Dropped::WorseThan);
    }
    verdicts
}

/// How far inside the demands a rival has to be.
struct Beyond {
    /// Share served.
    share: f64,
    /// Standard errors of the fresh units by which a pooled ratio has to keep away from its limit.
    errors: f64,
    fresh: u64,
}

impl Beyond {
    fn inside(&self, demands: &Demands, tally: &Tally, alpha: f64) -> bool {
        let limited = demands.limits.iter().zip(&tally.limited).map(|(most, own)| {
            let later = (own.len() as f64 / self.fresh.max(1) as f64).sqrt();
            most - self.errors * ratio_standard_error(own).unwrap_or(f64::INFINITY) * later
        });
        let further = Demands { served: demands.served.map(|_| self.share), limits: limited.collect() };
        inside(&further, tally, alpha)
    }
}

/// Whether a candidate surely breaks a demand.
fn outside(demands: &Demands, tally: &Tally, alpha: f64) -> bool {
    let share = demands.served.is_some_and(|least| share(tally.served_of(), alpha).is_some_and(|own| own.hi < least));
    let limited = || demands.limits.iter().zip(&tally.limited);
    share || limited().any(|(most, own)| pooled(own, alpha).is_some_and(|own| own.lo > *most))
}

/// Whether a candidate surely meets every demand.
pub(super) fn inside(demands: &Demands, tally: &Tally, alpha: f64) -> bool {
    let share = demands.served.is_none_or(|least| share(tally.served_of(), alpha).is_some_and(|own| own.lo >= least));
    let limited = || demands.limits.iter().zip(&tally.limited);
    share && limited().all(|(most, own)| pooled(own, alpha).is_some_and(|own| own.hi <= *most))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clusters::Clusters;
    use crate::level::Level;

    fn rules(candidates: usize) -> RaceRules {
        RaceRules { level: Level::P95, candidates, looks: 3, shortlist: 5, fresh: 1000 }
    }

    /// Losses around a mean, and so many of `n` units served.
    fn tally(mean: f64, served: usize, n: usize) -> Tally {
        let wobble = |i: usize| ((i * 7919) % 101) as f64 / 101.0 - 0.5;
        Tally {
            loss: Clusters::ratio("unit", (0..n).map(|i| (mean + wobble(i) * 0.1 * mean, 1.0))).unwrap(),
            served: (0..n).map(|i| Some(i < served)).collect(),
            limited: Vec::new(),
        }
    }

    #[test]
    fn only_one_who_surely_serves_sends_others_home() {
        let demands = Demands { served: Some(0.9), limits: Vec::new() };
        let (good, better_but_doubtful, bad, failing) =
            (tally(2.0, 500, 500), tally(1.0, 452, 500), tally(3.0, 500, 500), tally(0.5, 100, 500));
        let verdicts = look(&rules(4), &demands, &[&good, &better_but_doubtful, &bad, &failing]);
        assert_eq!(verdicts, [None, None, Some(Dropped::WorseThan(0)), Some(Dropped::Outside)]);
    }

    #[test]
    fn without_demands_the_least_loss_is_enough_and_few_units_settle_nothing() {
        let none = Demands::default();
        let verdicts = look(&rules(2), &none, &[&tally(2.0, 0, 500), &tally(3.0, 0, 500)]);
        assert_eq!(verdicts, [None, Some(Dropped::WorseThan(0))]);
        let verdicts = look(&rules(2), &none, &[&tally(2.0, 0, 2), &tally(2.1, 0, 2)]);
        assert_eq!(verdicts, [None, None]);
    }

    #[test]
    fn a_pooled_limit_sends_home_too() {
        let demands = Demands { served: None, limits: vec![0.05] };
        let limited = |events: u64| Tally {
            limited: vec![Clusters::counts("unit", (0..200).map(|i| (events * (i % 3), 20))).unwrap()],
            ..tally(1.0, 0, 200)
        };
        let verdicts = look(&rules(2), &demands, &[&limited(0), &limited(5)]);
        assert_eq!(verdicts[0], None);
        assert_eq!(verdicts[1], Some(Dropped::Outside));
    }

    #[test]
    fn units_without_an_answer_count_neither_way() {
        let mut own = tally(1.0, 2, 4);
        own.served[3] = None;
        assert_eq!(own.served_of(), (2, 3));
    }
}

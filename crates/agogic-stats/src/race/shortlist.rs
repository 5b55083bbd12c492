//! The most promising of the candidates that are left, and what leaving out the others may cost.

use super::bounds::{difference, needed};
use super::tally::value;
use super::{Demands, RaceRules, Tally};
use crate::beta_binomial::BetaBinomial;
use crate::normal::{normal_lower, normal_upper_quantile};
use crate::ratio::ratio_standard_error;

/// A candidate is a safe choice if the fresh units will confirm it with this probability.
pub(super) const SAFE: f64 = 0.9;

/// Log odds of the lowest step, a probability of 0.02.
const BOLD: f64 = -3.89182;

/// Log odds of the highest step, a probability of 0.9999.
const CAREFUL: f64 = 9.21024;

/// Who goes on to fresh units.
#[derive(Debug, Clone, PartialEq)]
pub struct Shortlist {
    /// Places of the candidates, least loss first.
    pub chosen: Vec<usize>,
    /// The probability that fresh units confirm each of them, as far as the race tells.
    pub promise: Vec<f64>,
    /// Candidates that were neither dropped nor chosen.
    pub left_out: usize,
    /// Most that any of those could have less loss than the first safe choice, in the unit of the ratio; `None`
    /// where there are none, or no limit can be given.
    pub most_missed: Option<f64>,
}

/// Chooses who goes on to fresh units: step by step from bold to careful.
///
/// # Definition
/// For each candidate the probability p is worked out that the fresh units will confirm every demand: for a share
/// from the beta–binomial law with Jeffreys' prior, for a pooled limit from the normal law with the
/// errors of both samples. The places are steps of p: at each of them stands the candidate with the least loss among those
/// with p of at least the step, from 0.02 up to 0.9999 in equal steps of log odds. Whoever is lucky here is not safe
/// there, so the list also holds candidates that are sure to be confirmed, at the price of more loss. Places that steps
/// share are filled with the next candidates of p ≥ 0.9, then with the boldest. Nothing here is a claim, except
/// `most_missed`: the largest upper limit of the difference "loss of the safe choice less loss of one left out" on the
/// units of the race, at error q ⁄ (K (K − 1)) each, which covers every pair and so also the one that the data chose.
pub fn shortlist(rules: &RaceRules, demands: &Demands, tallies: &[&Tally]) -> Shortlist {
    let promise: Vec<f64> = tallies.iter().map(|tally| promise(rules, demands, tally)).collect();
    let mut order: Vec<(f64, usize)> =
        tallies.iter().enumerate().filter_map(|(at, tally)| Some((tally.loss_value()?, at))).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let order: Vec<usize> = order.into_iter().map(|(_, at)| at).collect();
    let places = rules.shortlist.max(1);
    let least = |p: f64| order.iter().copied().find(|&at| promise[at] >= p);
    let mut chosen: Vec<usize> = Vec::new();
    let mut add = |at: usize| {
        if chosen.len() < places && !chosen.contains(&at) {
            chosen.push(at);
        }
    };
    let safe = least(SAFE);
    // The safe choice has its place whatever else there is; the other steps go from careful to bold.
    safe.into_iter().for_each(&mut add);
    for step in (0..places).rev() {
        let share = if places > 1 { step as f64 / (places - 1) as f64 } else { 1.0 };
        let log_odds = BOLD + (CAREFUL - BOLD) * share;
        least(1.0 / (1.0 + (-log_odds).exp())).into_iter().for_each(&mut add);
    }
    let careful = order.iter().copied().filter(|&at| promise[at] >= SAFE);
    let mut bold: Vec<usize> = order.iter().copied().filter(|&at| promise[at] < SAFE).collect();
    // A stable sort: of equal promise the one with less loss. Where nobody promises anything, the nearest are shown.
    bold.sort_by(|&a, &b| promise[b].total_cmp(&promise[a]));
    careful.chain(bold).for_each(&mut add);
    let anchor = safe.or_else(|| chosen.first().copied());
    let out: Vec<usize> = order.iter().copied().filter(|at| !chosen.contains(at)).collect();
    let pairs = (rules.candidates * rules.candidates.saturating_sub(1)).max(1) as f64;
    let alpha = rules.quarter() / pairs;
    let missed = |anchor: usize| -> Option<f64> {
        out.iter().try_fold(f64::NEG_INFINITY, |most, &at| {
            let gap = difference(&tallies[anchor].loss, &tallies[at].loss, alpha)?;
            // Two that agree in every unit miss nothing.
            let most_here = gap.hi.or((gap.value == Some(0.0)).then_some(0.0))?;
            Some(most.max(most_here))
        })
    };
    let most_missed = if out.is_empty() { None } else { anchor.and_then(missed) };
    chosen.sort_by_key(|at| order.iter().position(|o| o == at));
    let promise = chosen.iter().map(|&at| promise[at]).collect();
    Shortlist { chosen, promise, left_out: out.len(), most_missed }
}

/// The probability that fresh units confirm every demand.
fn promise(rules: &RaceRules, demands: &Demands, tally: &Tally) -> f64 {
    let fresh = rules.fresh;
    let alpha = rules.of_each_listed();
    let share = demands.served.map_or(1.0, |least| promise_of_share(tally.served_of(), least, fresh, alpha));
    let limits = demands.limits.iter().zip(&tally.limited);
    limits.fold(share, |all, (&most, own)| {
        let (Some(value), Some(error)) = (value(own), ratio_standard_error(own)) else { return 0.0 };
        let later = error * (own.len() as f64 / fresh.max(1) as f64).sqrt();
        let room = most - value - normal_upper_quantile(alpha) * later;
        let spread = error.hypot(later);
        all * if spread > 0.0 { normal_lower(room / spread) } else { f64::from(u8::from(room >= 0.0)) }
    })
}

/// The probability that the lower limit from fresh units reaches the least share.
fn promise_of_share((served, all): (u64, u64), least: f64, fresh: u64, alpha: f64) -> f64 {
    let Some(needed) = needed(least, fresh, alpha) else { return 0.0 };
    let Ok(law) = BetaBinomial::new(served as f64 + 0.5, (all - served) as f64 + 0.5) else { return 0.0 };
    (needed..=fresh).map(|events| law.ln_mass(events, fresh).exp()).sum::<f64>().min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clusters::Clusters;
    use crate::level::Level;

    fn rules() -> RaceRules {
        RaceRules { level: Level::P95, candidates: 40, looks: 3, shortlist: 4, fresh: 1000 }
    }

    fn tally(loss: f64, served: usize) -> Tally {
        let wobble = |i: usize| ((i * (7919 + served)) % 101) as f64 / 101.0 - 0.5;
        Tally {
            loss: Clusters::ratio("unit", (0..400).map(|i| (loss + 0.2 * wobble(i), 1.0))).unwrap(),
            served: (0..400).map(|i| Some(i < served)).collect(),
            limited: Vec::new(),
        }
    }

    #[test]
    fn the_promise_of_a_share_is_what_drawing_gives() {
        // 380 of 400 served, 1000 fresh units, at least 90 % at an error of 0.01: the limit is reached from 922 on
        // (scipy.stats.beta.ppf(0.01, k, 1001 - k) passes 0.9 between 921 and 922). Sum of scipy.stats.betabinom.pmf.
        let found = promise_of_share((380, 400), 0.9, 1000, 0.01);
        assert!((found - EXPECTED).abs() < 1e-6, "{found}");
        assert_eq!(promise_of_share((20, 20), 0.9, 10, 0.01), 0.0, "ten units cannot confirm 90 %");
    }

    const EXPECTED: f64 = 0.9730576975441594;

    #[test]
    fn the_list_holds_the_safe_choice_and_bolder_ones() {
        // Loss falls and the share served falls with it, as at a binding limit.
        let all: Vec<Tally> = (0..20).map(|i| tally(1.0 + 0.05 * i as f64, 330 + 4 * i)).collect();
        let all: Vec<&Tally> = all.iter().collect();
        let demands = Demands { served: Some(0.9), limits: Vec::new() };
        let list = shortlist(&rules(), &demands, &all);
        assert_eq!(list.chosen.len(), 4);
        let safe = list.promise.iter().position(|&p| p >= SAFE).unwrap();
        assert!(safe > 0, "something bolder stands before the safe choice: {list:?}");
        assert!(list.chosen.windows(2).all(|pair| pair[0] < pair[1]), "least loss first");
        assert_eq!(list.left_out, 16);
        assert!(list.most_missed.is_some_and(|most| most > 0.0));
    }

    #[test]
    fn where_nobody_serves_the_nearest_are_shown() {
        let all = [tally(1.0, 100), tally(2.0, 200)];
        let all: Vec<&Tally> = all.iter().collect();
        let list = shortlist(&rules(), &Demands { served: Some(0.9), limits: Vec::new() }, &all);
        assert_eq!(list.chosen, [0, 1]);
        assert!(list.promise.iter().all(|&p| p < 1e-6));
    }
}

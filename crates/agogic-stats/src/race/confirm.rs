//! The claims, from fresh units.

use super::bounds::{difference, pooled, share};
use super::look::inside;
use super::{Demands, RaceRules, Tally};
use crate::estimate::{Estimate, Interval};
use crate::level::Level;

/// One candidate of the short list after the fresh units.
#[derive(Debug, Clone, PartialEq)]
pub struct Confirmed {
    /// Whether it meets every demand, with confidence.
    pub meets: bool,
    /// Whether it surely breaks one.
    pub breaks: bool,
    /// One-sided limits of the share of units served, at the error used for the claim; `None` if not demanded.
    pub served: Option<Interval>,
    /// One-sided limits of each pooled ratio with a limit.
    pub limited: Vec<Option<Interval>>,
    /// Its loss less that of the chosen one, with limits that hold for all pairs; `None` for the chosen one itself,
    /// and where nothing was chosen.
    pub more_loss: Option<Estimate>,
}

impl Confirmed {
    /// Whether it surely has more loss than the chosen one.
    pub fn worse(&self) -> bool {
        self.more_loss.as_ref().and_then(|gap| gap.lo).is_some_and(|lo| lo > 0.0)
    }

    /// Whether it surely has less.
    pub fn better(&self) -> bool {
        self.more_loss.as_ref().and_then(|gap| gap.hi).is_some_and(|hi| hi < 0.0)
    }

    /// Whether it cannot be told apart from the chosen one, or surely differs by less than the least gain.
    pub fn alike(&self, least_gain: f64) -> bool {
        let Some(gap) = &self.more_loss else { return false };
        let small = gap.interval().is_some_and(|own| own.lo >= -least_gain && own.hi <= least_gain);
        small || !(self.worse() || self.better())
    }
}

/// What fresh units say of a short list.
#[derive(Debug, Clone, PartialEq)]
pub struct Confirmation {
    /// Place in the short list of the candidate to advise; `None` where none is confirmed.
    pub chosen: Option<usize>,
    /// One verdict for each candidate of the short list.
    pub all: Vec<Confirmed>,
    /// Confidence of the claims together.
    pub level: Level,
}

/// Tests the demands on fresh units and compares the short list.
///
/// # Definition
/// `tallies` stand in the order of the short list, which the units of the race have set; none of the fresh units had
/// a part in it. Each candidate's demands are tested at error q ⁄ M (M places), and the first one that meets
/// them is chosen: not the one with the least loss here, which would be picked for its luck. Differences
/// have limits for all M (M − 1) ⁄ 2 pairs together at error q, so they hold whichever candidate was chosen.
pub fn confirm(rules: &RaceRules, demands: &Demands, tallies: &[&Tally]) -> Confirmation {
    let quarter = rules.quarter();
    let each = quarter / rules.shortlist.max(tallies.len()).max(1) as f64;
    let mut all: Vec<Confirmed> = tallies
        .iter()
        .map(|tally| {
            let served = demands.served.and_then(|_| share(tally.served_of(), each));
            let limited: Vec<Option<Interval>> = tally.limited.iter().map(|own| pooled(own, each)).collect();
            let under = demands.served.zip(served).is_some_and(|(least, own)| own.hi < least);
            let over = demands.limits.iter().zip(&limited).any(|(most, own)| own.is_some_and(|own| own.lo > *most));
            Confirmed { meets: inside(demands, tally, each), breaks: under || over, served, limited, more_loss: None }
        })
        .collect();
    let chosen = all.iter().position(|own| own.meets);
    if let Some(chosen) = chosen {
        let n = tallies.len();
        let pairs = (n * n.saturating_sub(1) / 2).max(1) as f64;
        for (at, own) in all.iter_mut().enumerate() {
            if at != chosen {
                own.more_loss = difference(&tallies[at].loss, &tallies[chosen].loss, quarter / pairs / 2.0);
            }
        }
    }
    Confirmation { chosen, all, level: rules.level }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clusters::Clusters;

    fn tally(loss: f64, served: usize) -> Tally {
        let wobble = |i: usize| ((i * 7919) % 101) as f64 / 101.0 - 0.5;
        Tally {
            loss: Clusters::ratio("unit", (0..1000).map(|i| (loss + loss * wobble(i), 1.0))).unwrap(),
            served: (0..1000).map(|i| Some(i < served)).collect(),
            limited: Vec::new(),
        }
    }

    fn rules() -> RaceRules {
        RaceRules { level: Level::P95, candidates: 10, looks: 3, shortlist: 4, fresh: 1000 }
    }

    #[test]
    fn the_first_that_meets_the_demands_is_chosen_and_not_the_luckiest() {
        let demands = Demands { served: Some(0.9), limits: Vec::new() };
        let (doubtful, first, second, far) = (tally(1.0, 905), tally(2.0, 950), tally(1.999, 950), tally(3.0, 990));
        let found = confirm(&rules(), &demands, &[&doubtful, &first, &second, &far]);
        assert_eq!(found.chosen, Some(1));
        assert!(!found.all[0].meets && !found.all[0].breaks && found.all[0].better());
        assert!(found.all[2].alike(0.01) && !found.all[2].worse());
        assert!(found.all[3].worse() && !found.all[3].alike(0.01));
        assert_eq!(found.all[1].more_loss, None);
    }

    #[test]
    fn nothing_is_chosen_where_nothing_is_confirmed() {
        let demands = Demands { served: Some(0.9), limits: Vec::new() };
        let found = confirm(&rules(), &demands, &[&tally(1.0, 500), &tally(2.0, 905)]);
        assert_eq!(found.chosen, None);
        assert!(found.all[0].breaks && !found.all[1].breaks);
        assert!(found.all.iter().all(|own| own.more_loss.is_none()));
    }

    #[test]
    fn the_limits_of_the_share_are_those_of_the_exact_interval() {
        // 0.05 / 4 / 4 on one side: scipy.stats.beta.ppf(0.003125, 950, 51).
        let demands = Demands { served: Some(0.9), limits: Vec::new() };
        let found = confirm(&rules(), &demands, &[&tally(1.0, 950)]);
        let served = found.all[0].served.unwrap();
        assert!((served.lo - LOWER).abs() < 1e-9, "{}", served.lo);
    }

    const LOWER: f64 = 0.9281417082039126;
}

//! Intervals: over blocks in time for one participant, over participants for several.

use agogic_keys::{Purpose, stream};
use agogic_stats::{
    Clusters, DfAdjustment, Estimate, Level, block_mean, korn_graubard, paired_difference, ratio, zero_event_upper,
};

/// Unit of a log of one person.
pub(crate) const PRESS: &str = "press, in blocks";

/// Unit of a log of several.
pub(crate) const PARTICIPANT: &str = "participant";

/// What is the same for every interval of a replay.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ground {
    pub level: Level,
    pub resamples: usize,
    pub seed: u64,
}

impl Ground {
    /// The mean of series, one per participant, in units of `scale`.
    ///
    /// `address` tells the resamples of one number from those of another. A share without an event, or with
    /// nothing else, gets a bound.
    pub fn mean(self, series: &[Vec<f64>], share: bool, scale: f64, address: u64) -> Estimate {
        let estimate = match series {
            [one] => {
                let found = self.blocks(one, address);
                if share { bounded(found, one, self.level) } else { found }
            }
            many if share => korn_graubard(&clusters(many, true), DfAdjustment::Adjusted, self.level),
            many => {
                let found = ratio(&clusters(many, false), self.level);
                // A delay is never negative, however few people there are.
                Estimate { lo: found.lo.map(|lo| lo.max(0.0)), ..found }
            }
        };
        estimate.times(scale)
    }

    /// The mean of the differences of two series that are about the same presses.
    pub fn difference(
        self,
        first: &[Vec<f64>],
        second: &[Vec<f64>],
        share: bool,
        scale: f64,
        address: u64,
    ) -> Estimate {
        let estimate = match (first, second) {
            ([first], [second]) => {
                let differences: Vec<f64> = first.iter().zip(second).map(|(a, b)| a - b).collect();
                self.blocks(&differences, address)
            }
            _ => paired_difference(&clusters(first, share), &clusters(second, share), self.level)
                .expect("both are about the same participants"),
        };
        estimate.times(scale)
    }

    fn blocks(self, series: &[f64], address: u64) -> Estimate {
        let mut rng = stream(self.seed, Purpose::Resampling, address, 0);
        block_mean(series, self.resamples, self.level, PRESS, &mut rng)
    }
}

/// A bound where no press, or every press, was an event: resampling cannot show what was not seen.
fn bounded(estimate: Estimate, series: &[f64], level: Level) -> Estimate {
    const REASON: &str = "one-sided bound that takes presses for independent: no press differs from the rest";
    let Some(value) = estimate.value.filter(|value| *value == 0.0 || *value == 1.0) else { return estimate };
    let Ok(bound) = zero_event_upper(series.len() as f64, level) else { return estimate };
    let (lo, hi) = if value == 0.0 { (0.0, bound) } else { (1.0 - bound, 1.0) };
    Estimate { lo: Some(lo), hi: Some(hi), method: "zero-event bound".to_owned(), ..estimate }.because(REASON)
}

/// Totals by participant.
fn clusters(series: &[Vec<f64>], share: bool) -> Clusters {
    let totals = series.iter().map(|one| (one.iter().sum::<f64>(), one.len() as f64));
    let clusters = if share { Clusters::proportion(PARTICIPANT, totals) } else { Clusters::ratio(PARTICIPANT, totals) };
    clusters.expect("flags are part of their number, and delays are finite")
}

#[cfg(test)]
mod tests {
    use super::*;

    use std::slice::from_ref;

    const GROUND: Ground = Ground { level: Level::P95, resamples: 500, seed: 1 };

    fn flags(n: usize, every: usize) -> Vec<f64> {
        (0..n).map(|i| f64::from(u8::from(i % every == 0))).collect()
    }

    #[test]
    fn one_person_is_resampled_in_time_and_several_as_people() {
        let one = GROUND.mean(&[flags(300, 7)], true, 100.0, 0);
        assert!(one.method.starts_with("circular block bootstrap") && one.unit == PRESS && one.n == 300);
        let several = GROUND.mean(&[flags(300, 7), flags(200, 9), flags(250, 5)], true, 100.0, 0);
        assert!(several.method == "korn-graubard" && several.unit == PARTICIPANT && several.n == 3);
        for estimate in [one, several] {
            assert!(estimate.interval().unwrap().contains(estimate.value.unwrap()));
        }
    }

    #[test]
    fn what_was_never_seen_has_a_bound_that_says_what_it_rests_on() {
        let none = GROUND.mean(&[vec![0.0; 299]], true, 1000.0, 0);
        // About three in n, the rule of three.
        assert!(none.value == Some(0.0) && (none.hi.unwrap() - 1000.0 * 3.0 / 299.0).abs() < 0.1, "{none:?}");
        assert!(none.reason.unwrap().contains("independent"));
        let all = GROUND.mean(&[vec![1.0; 50]], true, 100.0, 0);
        assert!(all.hi == Some(100.0) && all.lo.unwrap() < 95.0);
        assert_eq!(GROUND.mean(&[vec![]], true, 1.0, 0).value, None);
    }

    #[test]
    fn differences_are_paired() {
        let first = flags(400, 4);
        let second: Vec<f64> = first.iter().enumerate().map(|(i, v)| if i == 8 { 0.0 } else { *v }).collect();
        let apart = GROUND.difference(from_ref(&first), from_ref(&second), true, 1.0, 0);
        assert_eq!(apart.value, Some(1.0 / 400.0));
        assert!(apart.hi.unwrap() < 0.02, "what both share cancels: {apart:?}");
        let people = GROUND.difference(&[first.clone(), first.clone()], &[second, first], true, 1.0, 0);
        assert_eq!((people.unit.as_str(), people.n), (PARTICIPANT, 2));
    }
}

//! Quantiles of times that come in blocks.

use agogic_stats::{Clusters, Estimate, Level, quantile, ratio};
use serde::Serialize;

use super::blocks::{FEWEST, UNIT};

/// A time that is summarised.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// Press to own release.
    Dwell,
    /// Press to next press, lulls left out.
    Interval,
    /// Press to next press, whatever its length.
    Lull,
    /// Time for which two keys that follow each other are both down.
    Overlap,
}

/// Quantiles of one measure of one person.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Quantiles {
    /// Of what.
    pub measure: Measure,
    /// How many times there are.
    pub count: u64,
    /// The quantiles with their probabilities, in ms.
    pub at: Vec<(f64, Estimate)>,
}

impl Quantiles {
    /// The median, in ms.
    pub fn median(&self) -> Option<f64> {
        self.at.iter().find(|(p, _)| *p == 0.5).and_then(|(_, estimate)| estimate.value)
    }

    /// Quantiles of `blocks` of values at the probabilities `ps`.
    ///
    /// # Definition
    /// q is the quantile of type 7 of all values. The share of values at or below q is a ratio estimate over
    /// blocks; h is the half width of its t interval. The limits are the quantiles at p − h and p + h.
    ///
    /// # Undefined
    /// No value without a time. No interval with fewer than 20 blocks that hold a time; no lower limit where
    /// p − h < 0, no upper one where p + h > 1.
    ///
    /// # Source
    /// Woodruff (1952), Journal of the American Statistical Association 47:635 (from memory); its coverage
    /// for times that are alike within blocks is in this file's tests.
    pub(crate) fn of(measure: Measure, blocks: &[Vec<f64>], ps: &[f64], level: Level) -> Self {
        let filled: Vec<&Vec<f64>> = blocks.iter().filter(|block| !block.is_empty()).collect();
        let mut sorted: Vec<f64> = filled.iter().flat_map(|block| block.iter().copied()).collect();
        sorted.sort_unstable_by(f64::total_cmp);
        let at = ps.iter().map(|p| (*p, estimate(&filled, &sorted, *p, level)));
        Self { measure, count: sorted.len() as u64, at: at.collect() }
    }
}

fn estimate(blocks: &[&Vec<f64>], sorted: &[f64], p: f64, level: Level) -> Estimate {
    const METHOD: &str = "quantile, limits from the share below it over blocks";
    let n = blocks.len() as u64;
    let Ok(value) = quantile(sorted, p) else {
        return Estimate::unknown("there is no such time in the log", METHOD, level, UNIT, 0);
    };
    let plain = Estimate::new(value, METHOD, level, UNIT, n);
    if blocks.len() < FEWEST {
        return plain.because("fewer than 20 blocks of presses, too few for their spread");
    }
    let below = |block: &Vec<f64>| block.iter().filter(|time| **time <= value).count() as u64;
    let shares = Clusters::counts(UNIT, blocks.iter().map(|block| (below(block), block.len() as u64)));
    let share = ratio(&shares.expect("part and whole are counted together"), level);
    let Some(half) = half_width(&share) else {
        return plain.because("the share below the quantile has no spread between blocks");
    };
    let limit = |p: f64| if (0.0..=1.0).contains(&p) { quantile(sorted, p).ok() } else { None };
    let bounded = Estimate { lo: limit(p - half), hi: limit(p + half), ..plain };
    if bounded.interval().is_some() {
        bounded
    } else {
        bounded.because("too few presses for both limits at this level")
    }
}

/// Half the width of an interval, from the side that was not cut at 0 or 1.
fn half_width(share: &Estimate) -> Option<f64> {
    let (value, interval, _) = (share.value?, share.interval()?, share.mcse?);
    Some((value - interval.lo).max(interval.hi - value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Purpose, Stream, stream};
    use agogic_stats::{Trials, binomial_lower, binomial_upper, normal_quantile};
    use rand::RngExt;

    fn median(blocks: &[Vec<f64>], level: Level) -> Estimate {
        Quantiles::of(Measure::Dwell, blocks, &[0.5], level).at[0].1.clone()
    }

    #[test]
    fn few_blocks_give_a_value_without_an_interval() {
        let blocks = vec![vec![3.0, 1.0], vec![], vec![2.0]];
        let found = Quantiles::of(Measure::Dwell, &blocks, &[0.5], Level::P95);
        assert_eq!((found.count, found.median()), (3, Some(2.0)));
        assert_eq!(found.at[0].1.interval(), None);
        assert!(found.at[0].1.reason.as_deref().unwrap().contains("20 blocks"));
        let none = Quantiles::of(Measure::Dwell, &[], &[0.5], Level::P95);
        assert_eq!((none.count, none.median()), (0, None));
    }

    #[test]
    fn times_that_are_all_the_same_give_no_interval() {
        let found = median(&vec![vec![80.0; 50]; 30], Level::P95);
        assert_eq!((found.value, found.interval()), (Some(80.0), None));
        assert!(found.reason.is_some());
    }

    /// Blocks of log-normal times that share a part of their deviation, as tempo wanders.
    fn typing(rng: &mut Stream) -> Vec<Vec<f64>> {
        let mut normal = || normal_quantile(rng.random_range(1e-12..1.0));
        (0..40)
            .map(|_| {
                let tempo = 0.15 * normal();
                (0..50).map(|_| (4.6 + tempo + 0.3 * normal()).exp()).collect()
            })
            .collect()
    }

    #[test]
    fn intervals_hold_the_median_as_often_as_they_say() {
        // 400 logs, nominal 95 %, alpha = 1e-6 two-sided, by the exact binomial distribution.
        let plausible = |hits: u64| {
            let trials = Trials::new(hits, 400).unwrap();
            binomial_lower(trials, 0.95) > 5e-7 && binomial_upper(trials, 0.95) > 5e-7
        };
        let truth = 4.6_f64.exp();
        let (mut hits, mut naive) = (0, 0);
        for number in 0..400 {
            let blocks = typing(&mut stream(5, Purpose::Design, number, 0));
            hits += u64::from(median(&blocks, Level::P95).interval().unwrap().contains(truth));
            // The wrong model: every press by itself.
            let single: Vec<Vec<f64>> = blocks.iter().flatten().map(|time| vec![*time]).collect();
            naive += u64::from(median(&single, Level::P95).interval().unwrap().contains(truth));
        }
        assert!(plausible(hits), "{hits} of 400");
        assert!(!plausible(naive), "taking presses for independent is caught: {naive} of 400");
    }

    #[test]
    fn extreme_quantiles_lack_a_limit_and_say_so() {
        let blocks = typing(&mut stream(6, Purpose::Design, 0, 0));
        let found = Quantiles::of(Measure::Lull, &blocks[..20], &[0.5, 0.999], Level::P95);
        assert!(found.at[0].1.interval().is_some());
        let extreme = &found.at[1].1;
        assert!(extreme.hi.is_none() && extreme.lo.is_some() && extreme.reason.is_some());
    }

    #[test]
    fn the_level_changes_the_width() {
        let blocks = typing(&mut stream(6, Purpose::Design, 0, 0));
        let width = |level| median(&blocks, level).interval().unwrap().width();
        assert!(width(Level::P95) > width(Level::P90));
    }
}

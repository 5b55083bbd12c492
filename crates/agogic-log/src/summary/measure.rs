//! Quantiles of times that come in blocks.

use agogic_keys::Stream;
use agogic_stats::{Estimate, Level, Resamples, quantile};
use serde::Serialize;

use super::blocks::{FEWEST, UNIT};

/// Resamples drawn for an interval.
const RESAMPLES: usize = 1000;

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
    /// Quantiles of type 7. Intervals: percentiles of the same quantile over resamples of whole blocks.
    ///
    /// # Undefined
    /// No value without a time. No interval with fewer than 20 blocks that hold a time.
    pub(crate) fn of(measure: Measure, blocks: &[Vec<f64>], ps: &[f64], level: Level, rng: &mut Stream) -> Self {
        let filled: Vec<&Vec<f64>> = blocks.iter().filter(|block| !block.is_empty()).collect();
        let pooled: Vec<f64> = filled.iter().flat_map(|block| block.iter().copied()).collect();
        let count = pooled.len() as u64;
        let resampled = if filled.len() < FEWEST { None } else { resample(&filled, ps, rng) };
        let at = ps.iter().enumerate().map(|(place, p)| {
            const METHOD: &str = "block bootstrap, percentile";
            let Ok(value) = quantile(&pooled, *p) else {
                return (*p, Estimate::unknown("there is no such time in the log", METHOD, level, UNIT, 0));
            };
            let plain = Estimate::new(value, METHOD, level, UNIT, filled.len() as u64);
            let Some(resampled) = &resampled else {
                return (*p, plain.because("fewer than 20 blocks of presses, too few to resample"));
            };
            let draws: Vec<f64> = resampled.iter().map(|quantiles| quantiles[place]).collect();
            let estimate = match Resamples::from_values(value, filled.len(), draws) {
                Ok(draws) => Estimate { method: METHOD.to_owned(), ..draws.percentile(level, UNIT) },
                Err(error) => plain.because(&error.to_string()),
            };
            (*p, estimate)
        });
        Self { measure, count, at: at.collect() }
    }
}

/// The quantiles of each resample. All values are sorted once; a resample only changes how often each
/// counts.
fn resample(blocks: &[&Vec<f64>], ps: &[f64], rng: &mut Stream) -> Option<Vec<Vec<f64>>> {
    let mut sorted: Vec<(f64, usize)> =
        blocks.iter().enumerate().flat_map(|(block, values)| values.iter().map(move |value| (*value, block))).collect();
    sorted.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut found = Vec::with_capacity(RESAMPLES + 1);
    let mut times = vec![0_usize; blocks.len()];
    Resamples::draw(blocks.len(), RESAMPLES, rng, |positions| {
        times.fill(0);
        positions.iter().for_each(|block| times[*block] += 1);
        let quantiles = weighted(&sorted, &times, ps);
        let first = quantiles[0];
        found.push(quantiles);
        Some(first)
    })
    .ok()?;
    // The first call is on the data themselves.
    found.remove(0);
    Some(found)
}

/// Quantiles of type 7 of the values, each counted as often as its block was drawn. `ps` ascend.
fn weighted(sorted: &[(f64, usize)], times: &[usize], ps: &[f64]) -> Vec<f64> {
    let total: usize = sorted.iter().map(|(_, block)| times[*block]).sum();
    let mut values = sorted.iter().map(|(value, block)| (*value, times[*block])).filter(|(_, times)| *times > 0);
    let (mut value, mut reached) = values.next().unwrap_or((f64::NAN, 0));
    let mut ranked = |rank: usize| {
        while reached <= rank {
            match values.next() {
                Some((next, times)) => (value, reached) = (next, reached + times),
                None => break,
            }
        }
        value
    };
    let mut quantiles = Vec::with_capacity(ps.len());
    let mut last: Option<(usize, f64, f64)> = None;
    for p in ps {
        let h = total.saturating_sub(1) as f64 * p;
        let rank = h as usize;
        // Two quantiles may fall between the same two values, and the walk does not go back.
        let (low, high) = match last {
            Some((same, low, high)) if same == rank => (low, high),
            Some((before, _, high)) if before + 1 == rank => (high, ranked(rank + 1)),
            _ => {
                let low = ranked(rank);
                (low, ranked(rank + 1))
            }
        };
        last = Some((rank, low, high));
        quantiles.push(low + (h - rank as f64) * (high - low));
    }
    quantiles
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Purpose, stream};
    use proptest::prelude::*;
    use rand::RngExt;

    proptest! {
        #[test]
        fn weighted_quantiles_are_those_of_the_drawn_values(
            blocks in prop::collection::vec(prop::collection::vec(0.0..100.0_f64, 1..6), 1..6),
            draws in prop::collection::vec(0..6_usize, 6),
            ps in prop::collection::vec(0.0..=1.0_f64, 1..6),
        ) {
            let mut ps = ps;
            ps.sort_by(f64::total_cmp);
            let mut times = vec![0; blocks.len()];
            draws.iter().for_each(|block| times[*block % blocks.len()] += 1);
            let mut sorted = Vec::new();
            let mut drawn = Vec::new();
            for (block, values) in blocks.iter().enumerate() {
                sorted.extend(values.iter().map(|value| (*value, block)));
                (0..times[block]).for_each(|_| drawn.extend_from_slice(values));
            }
            sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
            for (p, found) in ps.iter().zip(weighted(&sorted, &times, &ps)) {
                prop_assert!((found - quantile(&drawn, *p).unwrap()).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn few_blocks_give_a_value_without_an_interval() {
        let mut rng = stream(1, Purpose::Resampling, 0, 0);
        let blocks = vec![vec![3.0, 1.0], vec![], vec![2.0]];
        let found = Quantiles::of(Measure::Dwell, &blocks, &[0.5], Level::P95, &mut rng);
        assert_eq!((found.count, found.median()), (3, Some(2.0)));
        assert_eq!(found.at[0].1.interval(), None);
        assert!(found.at[0].1.reason.as_deref().unwrap().contains("20 blocks"));
        let none = Quantiles::of(Measure::Dwell, &[], &[0.5], Level::P95, &mut rng);
        assert_eq!((none.count, none.median()), (0, None));
    }

    #[test]
    fn alike_presses_of_a_block_widen_the_interval() {
        // 400 values as 40 blocks of ten equal ones carry the information of 40 values, not of 400.
        let mut rng = stream(2, Purpose::Design, 0, 0);
        let alike: Vec<Vec<f64>> = (0..40).map(|_| vec![rng.random_range(0.0..100.0); 10]).collect();
        let single: Vec<Vec<f64>> = alike.iter().flatten().map(|value| vec![*value]).collect();
        let width = |blocks: &[Vec<f64>]| {
            let mut rng = stream(3, Purpose::Resampling, 0, 0);
            let found = Quantiles::of(Measure::Lull, blocks, &[0.5], Level::P95, &mut rng);
            found.at[0].1.interval().unwrap().width()
        };
        assert!(width(&alike) > 2.0 * width(&single), "{} {}", width(&alike), width(&single));
    }

    #[test]
    fn the_level_changes_the_width() {
        let mut rng = stream(4, Purpose::Design, 0, 0);
        let blocks: Vec<Vec<f64>> = (0..60).map(|_| (0..50).map(|_| rng.random_range(0.0..1.0)).collect()).collect();
        let width = |level| {
            let mut rng = stream(3, Purpose::Resampling, 0, 0);
            Quantiles::of(Measure::Dwell, &blocks, &[0.5], level, &mut rng).at[0].1.interval().unwrap().width()
        };
        assert!(width(Level::P95) > width(Level::P90));
    }
}

//! A statistic of a simulated sample, with its Monte Carlo standard error between typists.

use std::collections::BTreeMap;

use agogic_keys::{Purpose, stream};
use agogic_people::Figure;
use agogic_stats::{
    PooledQuantile, Resamples, error_of_parts, mean, pearson, pooled_quantile, quantile, quantile_of_sorted,
    standard_deviation,
};
use rayon::prelude::*;

use crate::moments::{excess_kurtosis, skewness};
use crate::observables::{key_values, measure};
use crate::people::{Runs, simulated_figures};
use crate::simulate::Sample;
use crate::statistic::{Group, KeyMeasure, Measure, Statistic};

/// Value and Monte Carlo standard error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Simulated {
    /// The value.
    pub value: f64,
    /// Its standard error, from the spread between typists; `None` where it cannot be had.
    pub mcse: Option<f64>,
}

/// Computes statistics of a sample, keeping what several of them share.
pub struct Evaluator<'a> {
    sample: &'a Sample,
    columns: BTreeMap<Measure, Vec<Option<f64>>>,
    pools: Vec<Pool>,
    /// Figures of the test bed by name, for each way of typing.
    figures: [Option<BTreeMap<String, Figure>>; 2],
}

/// The presses of a group, pooled.
struct Pool {
    key: KeyMeasure,
    group: Group,
    people: Vec<Vec<f64>>,
    sorted: Vec<f64>,
}

impl Pool {
    fn value(&self, p: f64) -> Option<f64> {
        (!self.sorted.is_empty()).then(|| quantile_of_sorted(&self.sorted, p))
    }

    /// A quantile and each typist's part in its error.
    fn quantile(&self, p: f64) -> Option<PooledQuantile> {
        pooled_quantile(&self.people, &self.sorted, p)
    }
}

/// How many pools are kept at once: two, for ratios.
const POOLS: usize = 2;

/// Places of the middle of a word: from the third letter on.
const MIDDLE: std::ops::RangeInclusive<u8> = 3..=7;

fn long_word(place: u8) -> Measure {
    Measure::PlaceInWord { place, shortest: 5, longest: 9 }
}

impl<'a> Evaluator<'a> {
    /// For a sample.
    pub fn new(sample: &'a Sample) -> Self {
        Self { sample, columns: BTreeMap::new(), pools: Vec::new(), figures: [None, None] }
    }

    /// The value of a statistic and its error.
    ///
    /// # Definition
    /// The error of a statistic of people is the SD of it over bootstrap samples of typists, drawn at the
    /// address (seed, resampling). The error of a quantile of pooled presses, or of a ratio of two, is
    /// linearised over typists ([`pooled_quantile`], [`error_of_parts`]).
    ///
    /// # Undefined
    /// `None` where the sample holds nothing to compute it from.
    pub fn simulate(&mut self, statistic: Statistic) -> Option<Simulated> {
        match statistic {
            Statistic::KeyQuantile(key, p, group) => {
                let found = self.pool(key, group).quantile(p)?;
                Some(Simulated { value: found.value, mcse: error_of_parts(&found.parts) })
            }
            Statistic::KeyQuantileRatio { over, under, group } => {
                let above = self.pool(over.0, group).quantile(over.1)?;
                let below = self.pool(under.0, group).quantile(under.1)?;
                let value = above.value / below.value;
                let part = |(x, y): (&f64, &f64)| (x - value * y) / below.value;
                let parts: Vec<f64> = above.parts.iter().zip(&below.parts).map(part).collect();
                value.is_finite().then(|| Simulated { value, mcse: error_of_parts(&parts) })
            }
            Statistic::People { name, runs, .. } => {
                let Figure { value, se, .. } = self.figure(name, runs)?;
                Some(Simulated { value: *value, mcse: *se })
            }
            _ => self.of_people(statistic),
        }
    }

    /// The value of a statistic alone, as [`Evaluator::simulate`] gives it, without the cost of its error.
    ///
    /// # Undefined
    /// As [`Evaluator::simulate`].
    pub fn value(&mut self, statistic: Statistic) -> Option<f64> {
        let value = match statistic {
            Statistic::KeyQuantile(key, p, group) => self.pool(key, group).value(p)?,
            Statistic::KeyQuantileRatio { over, under, group } => {
                let above = self.pool(over.0, group).value(over.1)?;
                above / self.pool(under.0, group).value(under.1)?
            }
            Statistic::People { name, runs, .. } => self.figure(name, runs)?.value,
            _ => {
                self.fill(statistic);
                let everybody: Vec<usize> = (0..self.sample.people.len()).collect();
                of_positions(&self.columns, statistic, &everybody)?
            }
        };
        value.is_finite().then_some(value)
    }

    /// A figure of the test bed.
    fn figure(&mut self, name: &str, runs: Runs) -> Option<&Figure> {
        let sample = self.sample;
        let slot = &mut self.figures[runs as usize];
        let all = slot.get_or_insert_with(|| {
            simulated_figures(sample, runs).into_iter().map(|figure| (figure.name.clone(), figure)).collect()
        });
        all.get(name)
    }

    fn fill(&mut self, statistic: Statistic) {
        for measure in measures(statistic) {
            self.column(measure);
        }
    }

    fn of_people(&mut self, statistic: Statistic) -> Option<Simulated> {
        self.fill(statistic);
        let at = |positions: &[usize]| of_positions(&self.columns, statistic, positions);
        let everybody: Vec<usize> = (0..self.sample.people.len()).collect();
        let value = at(&everybody)?;
        let mut rng = stream(self.sample.seed, Purpose::Resampling, 0, 0);
        let resamples = Resamples::draw(everybody.len(), self.sample.resamples, &mut rng, at).ok();
        Some(Simulated { value, mcse: resamples.and_then(|r| r.standard_error()) })
    }

    fn column(&mut self, wanted: Measure) -> &[Option<f64>] {
        let people = &self.sample.people;
        self.columns.entry(wanted).or_insert_with(|| people.par_iter().map(|person| measure(person, wanted)).collect())
    }

    fn pool(&mut self, key: KeyMeasure, group: Group) -> &Pool {
        if let Some(at) = self.pools.iter().position(|pool| pool.key == key && pool.group == group) {
            return &self.pools[at];
        }
        if let Some(by) = group_measure(group) {
            self.column(by);
        }
        let everybody: Vec<usize> = (0..self.sample.people.len()).collect();
        let members = members(&self.columns, group, &everybody);
        let sample = self.sample;
        let people: Vec<Vec<f64>> =
            members.par_iter().map(|&i| key_values(&sample.people[i].session, Some(&sample.movement), key)).collect();
        let mut sorted = people.concat();
        sorted.par_sort_unstable_by(f64::total_cmp);
        if self.pools.len() == POOLS {
            self.pools.remove(0);
        }
        self.pools.push(Pool { key, group, people, sorted });
        self.pools.last().expect("one was just put there")
    }
}

/// The columns a statistic of people needs.
fn measures(statistic: Statistic) -> Vec<Measure> {
    let (mut wanted, group) = match statistic {
        Statistic::PersonMean(m, g) | Statistic::PersonSd(m, g) => (vec![m], g),
        Statistic::PersonShare { measure, group, .. } => (vec![measure], group),
        Statistic::PersonSkewness(m) | Statistic::PersonKurtosis(m) | Statistic::PersonQuantile(m, _) => {
            (vec![m], Group::All)
        }
        Statistic::Difference(a, b, g) | Statistic::Ratio(a, b, g) => (vec![a, b], g),
        Statistic::Correlation(a, b) => (vec![a, b], Group::All),
        Statistic::People { .. } => (Vec::new(), Group::All),
        Statistic::MiddleOfWord => (MIDDLE.chain([2]).map(long_word).collect(), Group::All),
        Statistic::KeyQuantile(_, _, group) | Statistic::KeyQuantileRatio { group, .. } => (Vec::new(), group),
    };
    wanted.extend(group_measure(group));
    wanted
}

fn group_measure(group: Group) -> Option<Measure> {
    match group {
        Group::All => None,
        Group::Slowest(_) | Group::Fastest(_) | Group::SpeedBand { .. } => Some(Measure::Speed),
        Group::MedianSpeedBand { .. } => Some(Measure::MedianSpeed),
    }
}

type Columns = BTreeMap<Measure, Vec<Option<f64>>>;

/// Those of `positions` who belong to the group.
fn members(columns: &Columns, group: Group, positions: &[usize]) -> Vec<usize> {
    let Some(by) = group_measure(group) else { return positions.to_vec() };
    let column = &columns[&by];
    let mut known: Vec<(f64, usize)> = positions.iter().filter_map(|&i| Some((column[i]?, i))).collect();
    let count = |share: f64| ((known.len() as f64 * share).round() as usize).clamp(1, known.len().max(1));
    match group {
        Group::All => {}
        Group::Slowest(share) => {
            let count = count(share);
            known.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            known.truncate(count);
        }
        Group::Fastest(share) => {
            let count = count(share);
            known.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
            known.truncate(count);
        }
        Group::SpeedBand { lo, hi } | Group::MedianSpeedBand { lo, hi } => {
            known.retain(|(speed, _)| *speed >= lo && *speed < hi);
        }
    }
    known.into_iter().map(|(_, i)| i).collect()
}

fn of_positions(columns: &Columns, statistic: Statistic, positions: &[usize]) -> Option<f64> {
    let values = |m: Measure, group: Group| -> Vec<f64> {
        members(columns, group, positions).into_iter().filter_map(|i| columns[&m][i]).collect()
    };
    let pairs = |a: Measure, b: Measure, group: Group| -> (Vec<f64>, Vec<f64>) {
        let both = members(columns, group, positions).into_iter();
        both.filter_map(|i| Some((columns[&a][i]?, columns[&b][i]?))).unzip()
    };
    match statistic {
        Statistic::PersonMean(m, group) => mean(&values(m, group)),
        Statistic::PersonSd(m, group) => standard_deviation(&values(m, group)),
        Statistic::PersonSkewness(m) => skewness(&values(m, Group::All)),
        Statistic::PersonKurtosis(m) => excess_kurtosis(&values(m, Group::All)),
        Statistic::PersonQuantile(m, p) => quantile(&values(m, Group::All), p).ok(),
        Statistic::PersonShare { measure, group, lo, hi } => {
            let within = |v: f64| f64::from(u8::from((lo..=hi).contains(&v)));
            mean(&values(measure, group).into_iter().map(within).collect::<Vec<f64>>())
        }
        Statistic::Difference(a, b, group) => {
            let (a, b) = pairs(a, b, group);
            Some(mean(&a)? - mean(&b)?)
        }
        Statistic::Ratio(a, b, group) => {
            let (a, b) = pairs(a, b, group);
            Some(mean(&a)? / mean(&b)?)
        }
        Statistic::Correlation(a, b) => {
            let (a, b) = pairs(a, b, Group::All);
            pearson(&a, &b).ok()
        }
        Statistic::MiddleOfWord => {
            let of = |place| mean(&values(long_word(place), Group::All));
            let slowest = MIDDLE.filter_map(of).reduce(f64::max)?;
            Some(slowest / of(2)?)
        }
        Statistic::KeyQuantile(..) | Statistic::KeyQuantileRatio { .. } | Statistic::People { .. } => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::simulate::{CheckPlan, simulate};
    use agogic_typist::Population;

    const TEXT: &str = "The tide turns at noon, and the pen is late again.";

    #[test]
    fn groups_by_hand() {
        let columns: Columns = [(Measure::Speed, vec![Some(50.0), None, Some(20.0), Some(90.0), Some(50.0)])].into();
        let all = [0, 1, 2, 3, 4];
        assert_eq!(members(&columns, Group::All, &all), all);
        assert_eq!(members(&columns, Group::Slowest(0.25), &all), [2]);
        assert_eq!(members(&columns, Group::Fastest(0.5), &all), [3, 0]);
        assert_eq!(members(&columns, Group::SpeedBand { lo: 50.0, hi: 90.0 }, &all), [0, 4]);
        assert_eq!(members(&columns, Group::Fastest(0.25), &[0, 2, 2, 0]), [0]);
    }

    #[test]
    fn statistics_by_hand() {
        let columns: Columns = [
            (Measure::Speed, vec![Some(10.0), Some(20.0), Some(30.0), Some(40.0)]),
            (Measure::Dwell, vec![Some(4.0), Some(3.0), None, Some(1.0)]),
        ]
        .into();
        let of = |statistic| of_positions(&columns, statistic, &[0, 1, 2, 3]);
        assert_eq!(of(Statistic::PersonMean(Measure::Dwell, Group::All)), Some(8.0 / 3.0));
        assert_eq!(of(Statistic::PersonQuantile(Measure::Speed, 0.5)), Some(25.0));
        let both = of(Statistic::Difference(Measure::Speed, Measure::Dwell, Group::All)).unwrap();
        assert!((both - (70.0 / 3.0 - 8.0 / 3.0)).abs() < 1e-12);
        assert!((of(Statistic::Correlation(Measure::Speed, Measure::Dwell)).unwrap() + 1.0).abs() < 1e-12);
        let share = Statistic::PersonShare { measure: Measure::Speed, group: Group::Fastest(0.5), lo: 10.0, hi: 30.0 };
        assert_eq!(of(share), Some(0.5));
    }

    /// The stated error is the spread over independent samples: 24 samples of 120 typists. The ratio of
    /// the two has a relative error of about 1/√(2·23) = 15 %; the bounds are four of that.
    #[test]
    fn errors_are_the_spread_over_samples() {
        let statistics = [
            Statistic::PersonMean(Measure::Dwell, Group::All),
            Statistic::Correlation(Measure::Speed, Measure::Rollover),
            Statistic::KeyQuantile(KeyMeasure::Dwell, 0.5, Group::All),
            Statistic::KeyQuantileRatio {
                over: (KeyMeasure::Dwell, 0.75),
                under: (KeyMeasure::Dwell, 0.5),
                group: Group::All,
            },
        ];
        let runs: Vec<Vec<Simulated>> = (0..24)
            .map(|seed| {
                let plan = CheckPlan { typists: 120, keys: 100, seed, resamples: 100, ..CheckPlan::new(TEXT) };
                let sample = simulate(&Population::volunteers(), &plan).unwrap();
                let mut evaluator = Evaluator::new(&sample);
                statistics.iter().map(|&s| evaluator.simulate(s).unwrap()).collect()
            })
            .collect();
        for (k, statistic) in statistics.iter().enumerate() {
            let column = |f: &dyn Fn(&Simulated) -> f64| runs.iter().map(|run| f(&run[k])).collect::<Vec<f64>>();
            let spread = standard_deviation(&column(&|s| s.value)).unwrap();
            let stated = mean(&column(&|s| s.mcse.unwrap())).unwrap();
            assert!((stated / spread - 1.0).abs() < 0.6, "{statistic}: stated {stated}, spread {spread}");
        }
    }
}

//! How much better the best of several looks than it is, because it was chosen on the same clusters.

use rand::{Rng, RngExt};

use crate::clusters::{ClusterError, Clusters};
use crate::estimate::{Estimate, Interval};

/// Parts into which the clusters are dealt.
const FOLDS: usize = 10;

/// Clusters from which on it can be told what a choice flatters: with fewer nothing can be held out.
pub const FEWEST_TO_CHOOSE: usize = FOLDS;

/// Deals, at most: more change little.
const DEALS: usize = 20;

/// Clusters times deals beyond which fewer deals are made; among so many the winner hardly looks better than it is.
const ENOUGH: usize = 40_000;

/// The candidate with the smallest ratio, the first of equal ones; `None` where none has a ratio.
pub fn least_ratio(candidates: &[Clusters]) -> Option<usize> {
    let ratios = candidates.iter().enumerate().filter_map(|(at, clusters)| {
        let (y, x) = clusters.totals();
        (x > 0.0).then(|| (at, y / x))
    });
    ratios.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(at, _)| at)
}

/// How much the winner's figures are off because it was chosen on the clusters that they are taken from.
///
/// # Definition
/// The clusters are dealt into 10 parts. For each part the candidate with the smallest ratio in `by` is chosen on the other
/// nine; on the part itself, which had no say, its figure is Y ⁄ X where the nine led to expect R. The amount is
/// Σ (Y − R X) ⁄ Σ X over the parts, averaged over up to 20 deals, and times √(9 ⁄ 10), since the luck of a choice goes with
/// the standard error, which is larger for nine tenths: add it to the figure of the winner of all clusters.
/// Where the same candidate wins every time, held-out and leading parts balance, and nothing is moved. One amount for
/// each set of figures, in their order; figures of candidates stand in the order of `by`.
///
/// A figure mixed of those of several winners would be that of none; here only the differences are mixed.
///
/// # Undefined
/// 0 for fewer than 10 clusters or figures without a denominator, where nothing can be held out.
///
/// # Errors
/// Sets that differ in length or unit.
///
/// # Source
/// Cross-validation of a choice: Stone (1974), Journal of the Royal Statistical Society B 36:111; the difference of held-out
/// and apparent error: Efron (1983), Journal of the American Statistical Association 78:316 (both from memory).
/// `WINNER.md` of `agogic-score` has what remains.
pub fn winners_optimism(
    by: &[Clusters],
    figures: &[&[Clusters]],
    rng: &mut impl Rng,
) -> Result<Vec<f64>, ClusterError> {
    let Some(first) = by.first() else { return Ok(vec![0.0; figures.len()]) };
    for set in by.iter().chain(figures.iter().copied().flatten()) {
        first.check_pairing(set)?;
    }
    let n = first.len();
    if n < FEWEST_TO_CHOOSE {
        return Ok(vec![0.0; figures.len()]);
    }
    let deals = (ENOUGH / n).clamp(1, DEALS);
    let of_all = libm::sqrt((FOLDS - 1) as f64 / FOLDS as f64);
    let mut moved = vec![0.0; figures.len()];
    let mut part: Vec<usize> = (0..n).map(|i| i % FOLDS).collect();
    for _ in 0..deals {
        for i in (1..n).rev() {
            part.swap(i, ((rng.random::<f64>() * (i + 1) as f64) as usize).min(i));
        }
        let choosing: Vec<Parts> = by.iter().map(|clusters| Parts::of(clusters, &part)).collect();
        let winners: Vec<Option<usize>> = (0..FOLDS)
            .map(|fold| {
                let without = choosing.iter().enumerate().filter_map(|(at, parts)| Some((at, parts.without(fold)?)));
                without.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(at, _)| at)
            })
            .collect();
        for (sum, figure) in moved.iter_mut().zip(figures) {
            let mut of_winner: Vec<Option<Parts>> = vec![None; figure.len()];
            let (mut off, mut all) = (0.0, 0.0);
            for (fold, winner) in winners.iter().enumerate() {
                let Some(at) = *winner else { continue };
                let parts = of_winner[at].get_or_insert_with(|| Parts::of(&figure[at], &part));
                let Some(led) = parts.without(fold) else { continue };
                off += parts.y[fold] - led * parts.x[fold];
                all += parts.x[fold];
            }
            *sum += if all > 0.0 { of_all * off / all / deals as f64 } else { 0.0 };
        }
    }
    Ok(moved)
}

/// An estimate moved by an amount, with an interval that reaches from where it was to where it is.
///
/// # Definition
/// The value and the limit on the side of the move are moved; the other limit stays. The amount is known badly: an interval
/// moved as a whole misses more often than one that leaves room for no move at all.
///
/// # Shape
/// `most` is the largest value that can be: the unit of a proportion, and ∞ for another ratio. The least is 0.
pub fn moved_by(estimate: Estimate, amount: f64, most: f64) -> Estimate {
    let to = |value: f64, by: f64| (value + by).clamp(0.0, most);
    let interval = estimate.interval().map(|Interval { lo, hi }| Interval {
        lo: to(lo, libm::fmin(amount, 0.0)),
        hi: to(hi, libm::fmax(amount, 0.0)),
    });
    let value = estimate.value.map(|value| to(value, amount));
    Estimate { value, lo: interval.map(|i| i.lo), hi: interval.map(|i| i.hi), ..estimate }
}

/// Totals of a set of clusters by part.
#[derive(Clone)]
struct Parts {
    y: [f64; FOLDS],
    x: [f64; FOLDS],
    all: (f64, f64),
}

impl Parts {
    fn of(clusters: &Clusters, part: &[usize]) -> Self {
        let (mut y, mut x) = ([0.0; FOLDS], [0.0; FOLDS]);
        for ((own_y, own_x), fold) in clusters.numerators().iter().zip(clusters.denominators()).zip(part) {
            y[*fold] += own_y;
            x[*fold] += own_x;
        }
        Self { y, x, all: (y.iter().sum(), x.iter().sum()) }
    }

    /// The ratio without one part.
    fn without(&self, fold: usize) -> Option<f64> {
        let x = self.all.1 - self.x[fold];
        (x > 0.0).then(|| (self.all.0 - self.y[fold]) / x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::level::Level;
    use crate::ratio::ratio;
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;
    use rand_distr::{Distribution, StandardNormal};

    fn noise(rng: &mut ChaCha12Rng, n: usize, mean: f64) -> Clusters {
        let one = |_| {
            let z: f64 = StandardNormal.sample(rng);
            (mean + z, 1.0)
        };
        Clusters::ratio("typist", (0..n).map(one).collect::<Vec<_>>()).unwrap()
    }

    #[test]
    fn a_clear_winner_is_not_moved() {
        let mut rng = ChaCha12Rng::seed_from_u64(1);
        let by = [noise(&mut rng, 60, 20.0), noise(&mut rng, 60, 10.0), noise(&mut rng, 60, 30.0)];
        assert_eq!(least_ratio(&by), Some(1));
        let moved = winners_optimism(&by, &[&by], &mut rng).unwrap();
        assert!(moved[0].abs() < 1e-12, "{moved:?}");
        let few = [noise(&mut rng, 9, 1.0), noise(&mut rng, 9, 1.0)];
        assert_eq!(winners_optimism(&few, &[&few], &mut rng).unwrap(), [0.0]);
        assert!(winners_optimism(&[by[0].clone(), few[0].clone()], &[], &mut rng).is_err());
    }

    /// The least of eight means of 40 standard normal values lies 1.4236 SD below them (expected largest of eight
    /// standard normal values: Harter 1961, Biometrika 48:151, table 1, from memory), 0.2251. n = 4000 studies,
    /// alpha = 1e-6 (4.9 standard errors); without the move the gate rejects.
    #[test]
    fn the_least_of_equal_means_is_moved_back_to_them() {
        let mut rng = ChaCha12Rng::seed_from_u64(2);
        const STUDIES: usize = 4000;
        let values: Vec<(f64, f64)> = (0..STUDIES)
            .map(|_| {
                let by: Vec<Clusters> = (0..8).map(|_| noise(&mut rng, 40, 0.0)).collect();
                let best = least_ratio(&by).unwrap();
                let value = ratio(&by[best], Level::P95).value.unwrap();
                (value, winners_optimism(&by, &[&by], &mut rng).unwrap()[0])
            })
            .collect();
        let moments = |f: &dyn Fn(&(f64, f64)) -> f64| {
            let mean = values.iter().map(f).sum::<f64>() / STUDIES as f64;
            let square = values.iter().map(|v| (f(v) - mean).powi(2)).sum::<f64>() / (STUDIES as f64 - 1.0);
            (mean, (square / STUDIES as f64).sqrt())
        };
        let (plain, error) = moments(&|v| v.0);
        assert!((plain + 1.4236 / 40f64.sqrt()).abs() < 4.9 * error, "{plain} ± {error}");
        let (moved, error) = moments(&|v| v.0 + v.1);
        assert!(moved.abs() < 4.9 * error, "{moved} ± {error}");
        assert!(plain.abs() > 4.9 * error);
    }

    #[test]
    fn an_interval_is_stretched_within_its_range() {
        let estimate = Estimate::new(0.02, "m", Level::P95, "typist", 9).with_interval(Interval { lo: 0.01, hi: 0.98 });
        let moved = moved_by(estimate.clone(), 0.03, 1.0);
        assert!((moved.value.unwrap() - 0.05).abs() < 1e-15 && moved.hi == Some(1.0) && moved.lo == Some(0.01));
        let moved = moved_by(estimate, -0.015, f64::INFINITY);
        assert!((moved.value.unwrap() - 0.005).abs() < 1e-15 && moved.lo == Some(0.0) && moved.hi == Some(0.98));
    }
}

//! How long a finger stays on its key, when it may wait for the press before.

use agogic_typist::InOrderLaw;

use crate::seen::End;
use crate::table::{Spot, Table};

/// Times of release by which a wait that is not seen is averaged, at most.
const MOST_RELEASES: usize = 400;

/// The dwell of a finger that rolls, by its law.
///
/// # Definition
/// With the dwell's density d, its probabilities D of no more and U of more, the release r of the press before, and the
/// lag's density g and probability G of no more, and the share q of rolls that wait: the density at v is
/// (1 − q) d(v) + q [d(v) G(v − r) + g(v − r) D(v)], and more than v has the probability
/// (1 − q) U(v) + q [1 − G(v − r) D(v)]. While the press before is still down, both G and g are zero.
///
/// # Units
/// µs since the press.
#[derive(Clone, Copy)]
pub(crate) struct InOrder(pub InOrderLaw);

impl InOrder {
    /// Density or probability of `end` of a dwell, when the press before was seen to `behind`; `None` when that was
    /// up, or is held on purpose.
    pub fn ending(&self, dwell: &Table, behind: Option<End>, end: End) -> f64 {
        let spot = Spot::of(end.time());
        let free = dwell.ending(end);
        let (lower, density) = match behind {
            None => return free,
            Some(End::At(r)) if r <= 0.0 => return free,
            Some(End::At(r)) => self.0.lag(end.time() - r),
            Some(End::After(_)) => (0.0, 0.0),
        };
        let waits = match end {
            End::At(_) => free * lower + density * dwell.lower(spot),
            End::After(_) => 1.0 - lower * dwell.lower(spot),
        };
        (1.0 - self.0.share) * free + self.0.share * waits
    }

    /// The dwell of a press of which the press before is not seen: it was still down with the probability `rolled`, and
    /// came up at one of `releases`.
    pub fn unseen(&self, dwell: &Table, rolled: f64, releases: &[f64]) -> Table {
        let step = releases.len().div_ceil(MOST_RELEASES).max(1);
        let some: Vec<f64> = releases.iter().copied().step_by(step).collect();
        let share = if some.is_empty() { 0.0 } else { self.0.share * rolled };
        Table::of_upper(|t| {
            let lower = some.iter().map(|r| self.0.lag(t - r).0).sum::<f64>() / some.len().max(1) as f64;
            let spot = Spot::of(t);
            (1.0 - share) * dwell.upper(spot) + share * (1.0 - lower * dwell.lower(spot))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_stats::{normal_quantile, normal_upper};

    const ROLL: InOrder = InOrder(InOrderLaw { share: 0.6, lag_us: 60_000.0 });
    const MEAN: f64 = 11.4;
    const SPREAD: f64 = 0.25;

    fn dwell() -> Table {
        Table::of_upper(|t| normal_upper((libm::log(t) - MEAN) / SPREAD))
    }

    /// Density up to a time and the probability of more add up, wherever the press before stands.
    #[test]
    fn a_wait_adds_up() {
        let dwell = dwell();
        let step = 100.0;
        for behind in [None, Some(End::At(-5e3)), Some(End::At(20e3)), Some(End::At(130e3)), Some(End::After(9e5))] {
            let mut sum = 0.0;
            for i in 0..8000 {
                sum += step * ROLL.ending(&dwell, behind, End::At(step * (f64::from(i) + 0.5)));
                if i % 400 == 399 {
                    let more = ROLL.ending(&dwell, behind, End::After(step * f64::from(i + 1)));
                    assert!((sum + more - 1.0).abs() < 5e-3, "{behind:?}, {i}: {sum} {more}");
                }
            }
        }
    }

    /// The law against its meaning, max(dwell, release + lag) in a share of rolls, at equally probable dwells, lags and
    /// releases: as close as their grid and a table are. Dwells that never wait are far from it.
    #[test]
    fn a_wait_is_for_the_release_and_a_lag() {
        let dwell = dwell();
        let grid = |n: u32| (0..n).map(move |i| (f64::from(i) + 0.5) / f64::from(n));
        let releases: Vec<f64> = grid(50).map(|u| 150e3 * u).collect();
        let unseen = ROLL.unseen(&dwell, 0.7, &releases);
        let own: Vec<f64> = grid(500).map(|u| libm::exp(MEAN + SPREAD * normal_quantile(u))).collect();
        let free = |t: f64| own.iter().filter(|own| **own > t).count() as f64 / 500.0;
        for t in [95e3, 120e3, 145e3] {
            let waits = |release: f64| {
                let late = grid(500).filter(|u| release + ROLL.0.lag_us * u > t).count() as f64 / 500.0;
                late + (1.0 - late) * free(t)
            };
            let of = |waits: f64, share: f64| (1.0 - share) * free(t) + share * waits;
            let seen = (ROLL.ending(&dwell, Some(End::At(90e3)), End::After(t)), of(waits(90e3), ROLL.0.share));
            let any = releases.iter().map(|release| waits(*release)).sum::<f64>() / 50.0;
            for (law, meant) in [seen, (unseen.upper_at(t), of(any, 0.7 * ROLL.0.share))] {
                assert!((law - meant).abs() < 5e-3, "{t}: {law} {meant}");
                assert!((free(t) - meant).abs() > 0.02, "{t}: {} {meant}", free(t));
            }
        }
    }
}

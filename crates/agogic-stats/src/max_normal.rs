//! Maxima of correlated normal numbers, and where their upper end begins.

use std::cmp::Ordering;

use rand::Rng;

use crate::correlation_matrix::Correlation;
use crate::level::Level;
use crate::normal::normal_quantile;
use crate::uniform::open_unit;

/// Monte Carlo standard error of the critical value, as a share of it, at which drawing ends: two of them are 1 %.
const PRECISE: f64 = 0.005;

/// Draws at most. The standard error is about 0.6/√draws of the critical value, so this is hardly ever reached.
const MOST: usize = 1 << 18;

/// Greatest |z| of each draw, in order, and the critical value from them.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Maxima {
    /// The greatest |z| of each draw, rising.
    pub(crate) drawn: Vec<f64>,
    /// The ⌈(1 − α)(B + 1)⌉-th smallest of B.
    pub(crate) critical: f64,
    /// Its Monte Carlo standard error.
    pub(crate) error: f64,
}

impl Maxima {
    /// Draws until the critical value is precise.
    ///
    /// # Definition
    /// Each draw is a normal vector with the correlations Σₖ dᵢₖdⱼₖ / √(Σₖ dᵢₖ² Σₖ dⱼₖ²) of contrasts i and j. The standard
    /// error of the critical value is half the distance of the order statistics √(Bα(1 − α)) places above and below it.
    /// There are `fewest` draws at least, then twice as many and so on until it is below half a percent. Contrasts are taken
    /// in an order of their own, so that nothing depends on the order in which they come.
    ///
    /// # Source
    /// Hothorn, Bretz & Westfall (2008), Biometrical Journal 50:346, on maxima of normal contrasts; David & Nagaraja (2003),
    /// Order Statistics, section 7.1, on the interval of a quantile.
    pub(crate) fn draw<R: Rng + ?Sized>(contrasts: &[&[f64]], level: Level, fewest: usize, rng: &mut R) -> Self {
        let mut contrasts = contrasts.to_vec();
        contrasts.sort_by(|a, b| {
            let apart = a.iter().zip(b.iter()).map(|(a, b)| a.total_cmp(b)).find(|order| order.is_ne());
            apart.unwrap_or(Ordering::Equal)
        });
        let correlation = Correlation::about_zero(&contrasts);
        let mut independent = vec![0.0; contrasts.len()];
        let mut drawn: Vec<f64> = Vec::new();
        let mut wanted = fewest.max(1);
        loop {
            while drawn.len() < wanted {
                independent.fill_with(|| normal_quantile(open_unit(rng)));
                drawn.push(correlation.apply(&independent).iter().fold(0.0, |most: f64, z| most.max(z.abs())));
            }
            drawn.sort_unstable_by(f64::total_cmp);
            let (critical, error) = upper_end(&drawn, level);
            if error <= PRECISE * critical || wanted >= MOST {
                return Maxima { drawn, critical, error };
            }
            wanted *= 2;
        }
    }

    /// Share of draws at or above `z`, the observed one counted with them.
    pub(crate) fn at_least(&self, z: f64) -> f64 {
        let beyond = self.drawn.len() - self.drawn.partition_point(|drawn| *drawn < z);
        (1 + beyond) as f64 / (self.drawn.len() + 1) as f64
    }
}

/// The upper quantile of values that rise, and its standard error.
fn upper_end(rising: &[f64], level: Level) -> (f64, f64) {
    let count = rising.len();
    let rank = (libm::ceil(level.confidence() * (count + 1) as f64) as usize).clamp(1, count) - 1;
    let apart = (libm::ceil(libm::sqrt(count as f64 * level.alpha() * level.confidence())) as usize).max(1);
    let (below, above) = (rank.saturating_sub(apart), (rank + apart).min(count - 1));
    // Where there are too few draws above, those below tell how far apart they lie.
    let places = (above - below).max(1) as f64;
    (rising[rank], (rising[above] - rising[below]) / places * apart as f64)
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;

    use super::*;
    use crate::{Sides, max_t_critical};

    /// Contrasts of `groups` equal arms with one more, each arm in clusters of its own: all correlations are 1/2.
    fn against_control(groups: usize, each: usize) -> Vec<Vec<f64>> {
        let part = |group: usize, cluster: usize| match cluster / each {
            0 => -1.0,
            own if own == group + 1 => 1.0,
            _ => 0.0,
        };
        (0..groups).map(|group| (0..each * (groups + 1)).map(|c| part(group, c)).collect()).collect()
    }

    fn draw(contrasts: &[&[f64]], fewest: usize, seed: u64) -> Maxima {
        Maxima::draw(contrasts, Level::P95, fewest, &mut ChaCha12Rng::seed_from_u64(seed))
    }

    /// Critical values of Dunnett's test without end of degrees of freedom. n = 40 000 draws, α = 10⁻⁶ for each of three:
    /// z = 5.1.
    #[test]
    fn contrasts_with_a_control_have_dunnetts_critical_value() {
        for groups in [1, 3, 9] {
            let known = max_t_critical(groups, 0.5, f64::INFINITY, 0.05, Sides::Two).unwrap();
            let contrasts = against_control(groups, 200);
            let contrasts: Vec<&[f64]> = contrasts.iter().map(Vec::as_slice).collect();
            let found = draw(&contrasts, 40_000, 41);
            let beyond = |critical: f64| found.drawn.iter().filter(|z| **z > critical).count() as f64 / 40_000.0;
            let allowed = 5.1 * (0.05f64 * 0.95 / 40_000.0).sqrt();
            assert_eq!(found.drawn.len(), 40_000);
            assert!((beyond(known) - 0.05).abs() < allowed, "{groups}: {}", beyond(known));
            assert!((found.critical - known).abs() < 5.1 * found.error, "{groups}: {found:?}");
            // Were they taken as independent, the critical value would be another one.
            let independent = max_t_critical(groups, 0.0, f64::INFINITY, 0.05, Sides::Two).unwrap();
            assert!(groups < 9 || (beyond(independent) - 0.05).abs() > allowed, "{groups}: {}", beyond(independent));
        }
    }

    /// The stated error is that of the critical value over 200 repetitions. Their standard deviation has an error of
    /// 1/√400 = 5 % of itself and the stated one varies by some 15 %: half as much again or as little is out of reach.
    #[test]
    fn the_critical_value_is_precise_and_says_how_much() {
        let contrasts = against_control(5, 20);
        let contrasts: Vec<&[f64]> = contrasts.iter().map(Vec::as_slice).collect();
        let all: Vec<Maxima> = (0..200).map(|seed| draw(&contrasts, 400, 100 + seed)).collect();
        assert!(all.iter().all(|one| one.error <= PRECISE * one.critical && one.drawn.len() > 400));
        let criticals: Vec<f64> = all.iter().map(|one| one.critical).collect();
        let spread = crate::standard_deviation(&criticals).unwrap();
        let stated = all.iter().map(|one| one.error).sum::<f64>() / 200.0;
        assert!((0.67..1.5).contains(&(spread / stated)), "{spread} {stated}");
    }

    #[test]
    fn neither_order_nor_repetition_nor_combination_matters() {
        let contrasts = against_control(3, 20);
        let [a, b, c] = [0, 1, 2].map(|at| contrasts[at].as_slice());
        let all = draw(&[a, b, c], 50, 42);
        assert!(all == draw(&[c, a, b], 50, 42) && all == draw(&[b, c, a], 50, 42));
        // One contrast given twice is one contrast: its critical value is that of a normal number.
        let twice = draw(&[a, a], 20_000, 43);
        assert!((twice.critical - Level::P95.z()).abs() < 5.1 * twice.error, "{}", twice.critical);
        // The difference of two contrasts has no number of its own, and the size of its parts does not matter.
        let less: Vec<f64> = a.iter().zip(b).map(|(a, b)| 1e-9 * (a - b)).collect();
        assert!(draw(&[a, b, c, &less], 50, 44).drawn.iter().all(|z| z.is_finite()));
    }

    #[test]
    fn few_draws_still_say_how_sure_they_are() {
        for count in 1..40 {
            let rising: Vec<f64> = (0..count).map(f64::from).collect();
            let (critical, error) = upper_end(&rising, Level::P95);
            assert!(critical >= 0.0 && error.is_finite() && (count < 2 || error > 0.0), "{count}");
        }
    }
}

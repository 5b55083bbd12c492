//! The cluster bootstrap.

use rand::{Rng, RngExt};
use thiserror::Error;

use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::normal::{normal_lower, normal_quantile};
use crate::quantile::quantile_of_sorted;
use crate::sum::compensated_sum;

/// Share of resamples that may be undefined before no interval is given.
const UNDEFINED_ALLOWED: f64 = 0.01;

const NO_SPREAD: &str = "every resample gave the same value, so the bootstrap cannot show the spread";

const UNDEFINED: &str = "the statistic is undefined in more than 1 % of the resamples";

/// Why a bootstrap cannot be made.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum BootstrapError {
    /// There are too few clusters.
    #[error("resample {0} clusters: at least 2 are needed")]
    Clusters(usize),
    /// There are too few resamples.
    #[error("draw {0} resamples: at least 2 are needed")]
    Resamples(usize),
    /// The statistic is undefined or not finite on the data themselves.
    #[error("compute the statistic on the data: it must be defined and finite")]
    Statistic,
}

/// The values of a statistic over resamples of whole clusters.
///
/// # Definition
/// A resample draws K clusters with replacement, each with all its events, so
/// dependence within a cluster is kept. The statistic sees the positions drawn.
///
/// # Shape
/// Finite values in ascending order. Resamples on which the statistic is
/// undefined are counted apart; above 1 % of them no interval is given.
///
/// # Source
/// Efron & Tibshirani (1993), An Introduction to the Bootstrap, chapters 6, 13
/// and 14.
#[derive(Debug, Clone, PartialEq)]
pub struct Resamples {
    observed: f64,
    clusters: usize,
    sorted: Vec<f64>,
    undefined: usize,
}

impl Resamples {
    /// Draws `count` resamples of `clusters` clusters.
    ///
    /// The draws depend on `rng` alone: they are made in order, on the calling
    /// thread, from whole numbers.
    ///
    /// # Errors
    /// Fewer than two clusters or resamples, or a statistic that is not defined
    /// on the data themselves.
    pub fn draw<R: Rng + ?Sized>(
        clusters: usize,
        count: usize,
        rng: &mut R,
        mut statistic: impl FnMut(&[usize]) -> Option<f64>,
    ) -> Result<Self, BootstrapError> {
        check(clusters, count)?;
        let mut positions: Vec<usize> = (0..clusters).collect();
        let observed = statistic(&positions).ok_or(BootstrapError::Statistic)?;
        let mut values = Vec::with_capacity(count);
        for _ in 0..count {
            draw_positions(&mut positions, rng);
            values.push(statistic(&positions).unwrap_or(f64::NAN));
        }
        Self::from_values(observed, clusters, values)
    }

    /// Takes resampled values made elsewhere; NaN stands for undefined.
    ///
    /// # Errors
    /// As [`Resamples::draw`].
    pub fn from_values(observed: f64, clusters: usize, values: Vec<f64>) -> Result<Self, BootstrapError> {
        check(clusters, values.len())?;
        if !observed.is_finite() {
            return Err(BootstrapError::Statistic);
        }
        let count = values.len();
        let mut sorted: Vec<f64> = values.into_iter().filter(|v| v.is_finite()).collect();
        sorted.sort_unstable_by(f64::total_cmp);
        Ok(Resamples { observed, clusters, undefined: count - sorted.len(), sorted })
    }

    /// The statistic on the data themselves.
    pub fn observed(&self) -> f64 {
        self.observed
    }

    /// Defined values in ascending order.
    pub fn sorted(&self) -> &[f64] {
        &self.sorted
    }

    /// Number of resamples on which the statistic is undefined.
    pub fn undefined(&self) -> usize {
        self.undefined
    }

    /// Bootstrap standard error, the SD of the resampled values.
    ///
    /// # Undefined
    /// `None` with fewer than two defined values.
    pub fn standard_error(&self) -> Option<f64> {
        let n = self.sorted.len() as f64;
        if n < 2.0 {
            return None;
        }
        let mean = compensated_sum(self.sorted.iter().copied()) / n;
        let squares = compensated_sum(self.sorted.iter().map(|v| (v - mean) * (v - mean)));
        Some((squares / (n - 1.0)).sqrt())
    }

    /// Percentile interval.
    ///
    /// # Definition
    /// The α/2 and 1 − α/2 quantiles (type 7) of the resampled values. With few
    /// clusters it is too short: it lacks the factor √(K/(K−1)) and the wider
    /// tails of Student's t.
    ///
    /// # Undefined
    /// Without spread, or with more than 1 % of the resamples undefined, the
    /// limits are missing.
    pub fn percentile(&self, level: Level, unit: &str) -> Estimate {
        let estimate = self.estimate("cluster bootstrap, percentile", level, unit);
        match self.obstacle() {
            Some(reason) => estimate.because(reason),
            None => estimate.with_interval(self.between(level.tail(), 1.0 - level.tail())),
        }
    }

    /// Bias-corrected and accelerated interval.
    ///
    /// # Definition
    /// The quantiles at Φ(z₀ + (z₀ ± z)/(1 − a(z₀ ± z))). z₀ is Φ⁻¹ of the share
    /// of resampled values below the observed one, ties counted half. The
    /// acceleration a = Σd³ / 6(Σd²)^1.5, with d the mean of the `jackknife`
    /// values less each of them; 0 if they are all equal.
    ///
    /// # Undefined
    /// As [`Resamples::percentile`]; also if all resampled values lie on one
    /// side of the observed one, or if 1 − a(z₀ ± z) is not positive.
    ///
    /// # Source
    /// Efron & Tibshirani (1993), equations 14.9, 14.10, 14.14 and 14.15.
    pub fn bca(&self, jackknife: &[f64], level: Level, unit: &str) -> Estimate {
        let estimate = self.estimate("cluster bootstrap, BCa", level, unit);
        if let Some(reason) = self.obstacle() {
            return estimate.because(reason);
        }
        let Some(acceleration) = acceleration(jackknife) else {
            return estimate.because("a jackknife value is not finite or there are fewer than 2");
        };
        let below = self.sorted.partition_point(|v| *v < self.observed);
        let not_above = self.sorted.partition_point(|v| *v <= self.observed);
        let share = (below + not_above) as f64 / (2.0 * self.sorted.len() as f64);
        if !(share > 0.0 && share < 1.0) {
            return estimate.because("every resampled value lies on one side of the observed one");
        }
        let bias = normal_quantile(share);
        let adjusted = |z: f64| {
            let shifted = bias + z;
            let scale = 1.0 - acceleration * shifted;
            (scale > 0.0).then(|| normal_lower(bias + shifted / scale))
        };
        match (adjusted(-level.z()), adjusted(level.z())) {
            (Some(lo), Some(hi)) => estimate.with_interval(self.between(lo, hi)),
            _ => estimate.because("the acceleration is too large for the BCa formula"),
        }
    }

    fn estimate(&self, method: &str, level: Level, unit: &str) -> Estimate {
        let estimate = Estimate::new(self.observed, method, level, unit, self.clusters as u64);
        match (self.obstacle(), self.standard_error()) {
            (None, Some(error)) => estimate.with_mcse(error),
            _ => estimate,
        }
    }

    /// Why no interval can be given, if so.
    fn obstacle(&self) -> Option<&'static str> {
        let count = self.sorted.len() + self.undefined;
        if self.undefined as f64 > UNDEFINED_ALLOWED * count as f64 || self.sorted.len() < 2 {
            return Some(UNDEFINED);
        }
        (self.sorted.first() == self.sorted.last()).then_some(NO_SPREAD)
    }

    fn between(&self, lo: f64, hi: f64) -> Interval {
        Interval { lo: quantile_of_sorted(&self.sorted, lo), hi: quantile_of_sorted(&self.sorted, hi) }
    }
}

/// The statistic with each cluster left out in turn.
///
/// # Shape
/// One value per cluster, NaN where the statistic is undefined. Costs as many
/// passes over the data as there are clusters; for a ratio use
/// [`ratio_jackknife`](crate::ratio_jackknife), which costs one.
pub fn jackknife(clusters: usize, mut statistic: impl FnMut(&[usize]) -> Option<f64>) -> Vec<f64> {
    let mut positions: Vec<usize> = (1..clusters).collect();
    let mut values = Vec::with_capacity(clusters);
    for left_out in 0..clusters {
        values.push(statistic(&positions).unwrap_or(f64::NAN));
        if let Some(position) = positions.get_mut(left_out) {
            *position = left_out;
        }
    }
    values
}

/// Acceleration of the BCa interval from jackknife values.
///
/// # Undefined
/// `None` if a value is not finite or there are fewer than two; 0 if all are
/// equal.
///
/// # Source
/// Efron & Tibshirani (1993), equation 14.15.
pub fn acceleration(jackknife: &[f64]) -> Option<f64> {
    if jackknife.len() < 2 || jackknife.iter().any(|v| !v.is_finite()) {
        return None;
    }
    let mean = compensated_sum(jackknife.iter().copied()) / jackknife.len() as f64;
    let squares = compensated_sum(jackknife.iter().map(|v| (mean - v).powi(2)));
    let cubes = compensated_sum(jackknife.iter().map(|v| (mean - v).powi(3)));
    Some(if squares > 0.0 { cubes / (6.0 * squares.powf(1.5)) } else { 0.0 })
}

/// Studentised bootstrap interval, also called bootstrap-t.
///
/// # Definition
/// t* = (θ* − θ)/se* in each resample; the limits are θ − t*(1−α/2) se and
/// θ − t*(α/2) se. The statistic returns an estimate and its standard error.
///
/// # Undefined
/// The limits are missing if the standard error is not positive on the data, or
/// in more than 1 % of the resamples.
///
/// # Errors
/// As [`Resamples::draw`].
///
/// # Source
/// Efron & Tibshirani (1993), section 12.5.
pub fn bootstrap_studentised<R: Rng + ?Sized>(
    clusters: usize,
    count: usize,
    level: Level,
    unit: &str,
    rng: &mut R,
    mut statistic: impl FnMut(&[usize]) -> Option<(f64, f64)>,
) -> Result<Estimate, BootstrapError> {
    check(clusters, count)?;
    let mut positions: Vec<usize> = (0..clusters).collect();
    let (observed, error) = statistic(&positions).ok_or(BootstrapError::Statistic)?;
    if !observed.is_finite() {
        return Err(BootstrapError::Statistic);
    }
    let n = clusters as u64;
    let estimate = Estimate::new(observed, "cluster bootstrap, studentised", level, unit, n);
    if !(error > 0.0 && error.is_finite()) {
        return Ok(estimate.because("the standard error on the data is not positive"));
    }
    let mut values = Vec::with_capacity(count);
    for _ in 0..count {
        draw_positions(&mut positions, rng);
        values.push(match statistic(&positions) {
            Some((value, spread)) if spread > 0.0 => (value - observed) / spread,
            _ => f64::NAN,
        });
    }
    // On the data themselves the studentised value is 0 by definition.
    let studentised = Resamples::from_values(0.0, clusters, values)?;
    let estimate = estimate.with_mcse(error);
    if let Some(reason) = studentised.obstacle() {
        return Ok(estimate.because(reason));
    }
    let t = studentised.between(level.tail(), 1.0 - level.tail());
    Ok(estimate.with_interval(Interval { lo: observed - t.hi * error, hi: observed - t.lo * error }))
}

fn check(clusters: usize, count: usize) -> Result<(), BootstrapError> {
    if clusters < 2 || u32::try_from(clusters).is_err() {
        Err(BootstrapError::Clusters(clusters))
    } else if count < 2 {
        Err(BootstrapError::Resamples(count))
    } else {
        Ok(())
    }
}

/// Fills `positions` with as many draws, with replacement.
fn draw_positions<R: Rng + ?Sized>(positions: &mut [usize], rng: &mut R) {
    // Thirty-two bits on every platform, so that the draws are the same on all.
    let clusters = positions.len() as u32;
    for position in positions {
        *position = rng.random_range(0..clusters) as usize;
    }
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;

    use super::*;

    fn mean(data: &[f64]) -> impl Fn(&[usize]) -> Option<f64> {
        |positions| {
            let sum: f64 = positions.iter().map(|&k| data[k]).sum();
            Some(sum / positions.len() as f64)
        }
    }

    const DATA: [f64; 6] = [1.0, 2.0, 4.0, 4.5, 7.0, 20.0];

    #[test]
    fn the_same_generator_gives_the_same_interval() {
        let run = |seed| {
            let mut rng = ChaCha12Rng::seed_from_u64(seed);
            Resamples::draw(6, 500, &mut rng, mean(&DATA)).unwrap()
        };
        assert_eq!(run(1), run(1));
        assert_ne!(run(1), run(2));
    }

    #[test]
    fn the_jackknife_leaves_each_out_once() {
        let sums = jackknife(6, |positions| Some(positions.iter().map(|&k| DATA[k]).sum()));
        let total: f64 = DATA.iter().sum();
        for (left_out, sum) in DATA.iter().zip(&sums) {
            assert!((total - left_out - sum).abs() < 1e-12);
        }
    }

    #[test]
    fn degenerate_data_are_defined() {
        let mut rng = ChaCha12Rng::seed_from_u64(3);
        let same = Resamples::draw(5, 200, &mut rng, |_| Some(0.0)).unwrap();
        for estimate in [same.percentile(Level::P95, "typist"), same.bca(&[0.0; 5], Level::P95, "typist")] {
            assert_eq!(estimate.value, Some(0.0));
            assert!(estimate.interval().is_none() && estimate.mcse.is_none());
            assert_eq!(estimate.reason.as_deref(), Some(NO_SPREAD));
        }
        assert_eq!(acceleration(&[2.0; 5]), Some(0.0));
        assert_eq!(acceleration(&[1.0, f64::NAN]), None);
    }

    #[test]
    fn undefined_resamples_are_not_ignored() {
        let mut values = vec![f64::NAN; 2];
        values.extend((0..98).map(f64::from));
        let many = Resamples::from_values(50.0, 9, values).unwrap();
        assert_eq!(many.undefined(), 2);
        assert_eq!(many.percentile(Level::P95, "typist").reason.as_deref(), Some(UNDEFINED));
        let one_sided = Resamples::from_values(-1.0, 9, vec![0.0, 1.0, 2.0]).unwrap();
        let estimate = one_sided.bca(&DATA, Level::P95, "typist");
        assert!(estimate.interval().is_none() && estimate.reason.is_some());
    }

    #[test]
    fn nonsense_is_refused() {
        let mut rng = ChaCha12Rng::seed_from_u64(4);
        assert!(Resamples::draw(1, 10, &mut rng, |_| Some(1.0)).is_err());
        assert!(Resamples::draw(3, 1, &mut rng, |_| Some(1.0)).is_err());
        assert!(Resamples::draw(3, 9, &mut rng, |_| None).is_err());
        assert!(Resamples::draw(3, 9, &mut rng, |_| Some(f64::NAN)).is_err());
    }

    #[test]
    fn the_studentised_interval_heeds_the_level() {
        let statistic = |positions: &[usize]| {
            let n = positions.len() as f64;
            let mean = positions.iter().map(|&k| DATA[k]).sum::<f64>() / n;
            let squares: f64 = positions.iter().map(|&k| (DATA[k] - mean).powi(2)).sum();
            Some((mean, (squares / (n - 1.0) / n).sqrt()))
        };
        let width = |level| {
            let mut rng = ChaCha12Rng::seed_from_u64(5);
            let run = bootstrap_studentised(6, 2000, level, "typist", &mut rng, statistic);
            run.unwrap().interval().unwrap().width()
        };
        assert!(width(Level::P90) < width(Level::P99));
    }
}

//! Distributions of positive times as tables over the logarithm of time.

use crate::seen::End;

/// Log of the shortest time of a table, in µs: 20 µs.
const FIRST: f64 = 2.995_732_273_553_991;

/// That time.
const SHORTEST: f64 = 20.0;

/// Step of the logarithm. At a log-normal of spread .25 linear interpolation is then off by at most .3 %.
pub(crate) const STEP: f64 = 0.04;

/// Points of a table; the last is ten minutes.
pub(crate) const POINTS: usize = 431;

/// Log of the time at a point of a table.
pub(crate) fn log_at(point: usize) -> f64 {
    FIRST + STEP * point as f64
}

/// Spread of the wide part of a smoothed sample, in log units, and its share.
const WIDE: f64 = 1.5;
const WIDE_SHARE: f64 = 0.02;

/// A place in every table.
#[derive(Clone, Copy)]
pub(crate) struct Spot {
    below: usize,
    share: f64,
    inverse: f64,
}

impl Spot {
    /// The place of `t` µs. Times shorter than a table reaches have no density.
    #[inline]
    pub fn of(t: f64) -> Self {
        // Asks for what is right, so that NaN counts as too short.
        if t > SHORTEST {
            let at = ((libm::log(t) - FIRST) / STEP).clamp(0.0, (POINTS - 1) as f64 - 1e-9);
            let below = at as usize;
            Self { below, share: at - below as f64, inverse: 1.0 / t }
        } else {
            Self { below: 0, share: 0.0, inverse: 0.0 }
        }
    }
}

/// A distribution of a positive time, or a part of one with less than the whole probability.
#[derive(Clone, Debug)]
pub(crate) struct Table {
    /// Density of the logarithm and probability of more, at each point.
    rows: Vec<[f64; 2]>,
}

impl Table {
    /// Nothing: a law with probability zero.
    pub fn none() -> Self {
        Self { rows: vec![[0.0; 2]; POINTS] }
    }

    /// From densities of the logarithm at the points, scaled to the probability `weight`.
    pub fn new(density: &[f64], weight: f64) -> Self {
        let mut rows = vec![[0.0; 2]; POINTS];
        let mut below = 0.0;
        for i in 0..POINTS {
            if i > 0 {
                below += 0.5 * STEP * (density[i - 1] + density[i]);
            }
            rows[i] = [density[i], below];
        }
        let scale = if below > 0.0 { weight / below } else { 0.0 };
        for row in &mut rows {
            *row = [row[0] * scale, (below - row[1]) * scale];
        }
        Self { rows }
    }

    /// From the probability of more than `t` µs.
    pub fn of_upper(upper: impl Fn(f64) -> f64) -> Self {
        let at = |point: usize| upper(libm::exp(log_at(point)));
        let uppers: Vec<f64> = (0..POINTS).map(at).collect();
        let half = |point: usize| upper(libm::exp(log_at(point) + 0.5 * STEP));
        let density: Vec<f64> = (0..POINTS)
            .map(|i| {
                let before = if i == 0 { uppers[0] } else { half(i - 1) };
                (before - half(i)).max(0.0) / STEP
            })
            .collect();
        Self { rows: density.into_iter().zip(uppers).map(|(d, u)| [d, u]).collect() }
    }

    /// From a sample of times in µs, each smoothed on the log scale with a normal of SD `width`; a small part
    /// is spread wide, so that what a sample happens not to hold is rare and not impossible.
    pub fn of_sample(sample: &[f64], width: f64) -> Self {
        let mut density = vec![0.0; POINTS];
        for &t in sample {
            let Spot { below, share, .. } = Spot::of(t);
            density[below] += 1.0 - share;
            density[(below + 1).min(POINTS - 1)] += share;
        }
        let narrow = blur(&density, 0.0, width);
        let wide = blur(&density, 0.0, WIDE);
        let both: Vec<f64> = narrow.iter().zip(&wide).map(|(a, b)| (1.0 - WIDE_SHARE) * a + WIDE_SHARE * b).collect();
        Self::new(&both, if sample.is_empty() { 0.0 } else { 1.0 })
    }

    /// The law of this time multiplied by a log-normal factor.
    pub fn times(&self, log_factor: f64, spread: f64) -> Self {
        let density: Vec<f64> = self.rows.iter().map(|row| row[0]).collect();
        Self::new(&blur(&density, log_factor, spread), self.total())
    }

    /// Adds another part.
    pub fn add(&mut self, other: &Self, factor: f64) {
        for (row, more) in self.rows.iter_mut().zip(&other.rows) {
            row[0] += factor * more[0];
            row[1] += factor * more[1];
        }
    }

    /// Its whole probability.
    pub fn total(&self) -> f64 {
        self.rows[0][1]
    }

    /// Density per µs.
    #[inline]
    pub fn density(&self, spot: Spot) -> f64 {
        let (a, b) = (self.rows[spot.below][0], self.rows[spot.below + 1][0]);
        (a + spot.share * (b - a)) * spot.inverse
    }

    /// Probability of more.
    #[inline]
    pub fn upper(&self, spot: Spot) -> f64 {
        let (a, b) = (self.rows[spot.below][1], self.rows[spot.below + 1][1]);
        a + spot.share * (b - a)
    }

    /// Probability of no more.
    #[inline]
    pub fn lower(&self, spot: Spot) -> f64 {
        self.total() - self.upper(spot)
    }

    /// Density of an end that was seen, or probability of one that was not.
    #[inline]
    pub fn ending(&self, end: End) -> f64 {
        match end {
            End::At(t) => self.density_at(t),
            End::After(t) => self.upper_at(t),
        }
    }

    /// Density per µs at `t` µs.
    #[inline]
    pub fn density_at(&self, t: f64) -> f64 {
        self.density(Spot::of(t))
    }

    /// Probability of more than `t` µs.
    #[inline]
    pub fn upper_at(&self, t: f64) -> f64 {
        self.upper(Spot::of(t))
    }

    /// Probability of no more than `t` µs.
    #[inline]
    pub fn lower_at(&self, t: f64) -> f64 {
        self.lower(Spot::of(t))
    }
}

/// Points convolved with a normal of mean `shift` and SD `width`.
fn blur(values: &[f64], shift: f64, width: f64) -> Vec<f64> {
    let width = width.max(0.5 * STEP);
    let reach = (5.0 * width / STEP) as i64 + 1;
    let middle = libm::round(shift / STEP) as i64;
    let kernel: Vec<f64> = (middle - reach..=middle + reach)
        .map(|k| agogic_stats::normal_density((k as f64 * STEP - shift) / width) * STEP / width)
        .collect();
    let mut out = vec![0.0; values.len()];
    for (i, &value) in values.iter().enumerate().filter(|(_, value)| **value > 0.0) {
        for (k, weight) in kernel.iter().enumerate() {
            let to = (i as i64 + middle - reach + k as i64).clamp(0, values.len() as i64 - 1) as usize;
            out[to] += value * weight;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_stats::{normal_density, normal_upper};

    #[test]
    fn a_log_normal_comes_back() {
        let (mean, spread) = (libm::log(100_000.0), 0.3);
        let exact_upper = |t: f64| normal_upper((libm::log(t) - mean) / spread);
        let exact = |t: f64| normal_density((libm::log(t) - mean) / spread) / (spread * t);
        let shape: Vec<f64> = (0..POINTS).map(|i| normal_density((log_at(i) - mean) / spread)).collect();
        for table in [Table::of_upper(exact_upper), Table::new(&shape, 1.0)] {
            for t in [40_000.0, 77_700.0, 100_000.0, 234_567.0] {
                assert!((table.density_at(t) / exact(t) - 1.0).abs() < 0.02, "{t}");
                assert!((table.upper_at(t) - exact_upper(t)).abs() < 2e-3, "{t}");
            }
            assert!((table.total() - 1.0).abs() < 1e-9);
            assert_eq!((table.density_at(-5.0), table.density_at(f64::NAN)), (0.0, 0.0));
        }
    }

    #[test]
    fn a_factor_adds_up_in_the_logarithm() {
        let shape = |mean: f64, spread: f64| -> Vec<f64> {
            (0..POINTS).map(|i| normal_density((log_at(i) - mean) / spread)).collect()
        };
        let product = Table::new(&shape(11.0, 0.3), 0.5).times(0.7, 0.4);
        let direct = Table::new(&shape(11.7, 0.5), 0.5);
        for t in [50_000.0, 120_000.0, 300_000.0] {
            assert!((product.density_at(t) / direct.density_at(t) - 1.0).abs() < 0.02, "{t}");
        }
    }
}

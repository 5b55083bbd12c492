//! The bootstrap over blocks of a series.

use rand::{Rng, RngExt};

use crate::block_length::block_length;
use crate::bootstrap::Resamples;
use crate::estimate::Estimate;
use crate::level::Level;

/// Most blocks in one resample. With as many, the error of a variance is 3 %; longer blocks than the rule asks
/// for cost nothing else and save time on long series.
const MOST_BLOCKS: usize = 2000;

/// Fewer values give no interval: their dependence cannot be seen.
const FEWEST: usize = 20;

/// The mean of a series whose neighbours are alike, with a percentile interval from blocks on a circle.
///
/// # Definition
/// The series is closed to a circle. A resample joins ⌈N/b⌉ stretches of b successive values, each beginning
/// at a place drawn evenly, and cuts the last one so that N values remain. b is [`block_length`], rounded up,
/// and longer where that would make more than 2000 blocks. The limits are the α/2 and 1 − α/2 quantiles
/// (type 7) of the resampled means.
///
/// # Undefined
/// - No value: the mean is missing.
/// - Fewer than 20 values, or values that are all equal: the limits are missing.
///
/// # Source
/// Politis & Romano (1992), A circular block-resampling procedure for stationary data, in LePage & Billard,
/// Exploring the Limits of Bootstrap (from memory).
pub fn block_mean<R: Rng + ?Sized>(
    series: &[f64],
    resamples: usize,
    level: Level,
    unit: &str,
    rng: &mut R,
) -> Estimate {
    const METHOD: &str = "circular block bootstrap, percentile";
    let n = series.len();
    if n == 0 {
        return Estimate::unknown("there is nothing to take a mean of", METHOD, level, unit, 0);
    }
    let sums = running_sums(series);
    let mean = sums[n] / n as f64;
    let plain = Estimate::new(mean, METHOD, level, unit, n as u64);
    if n < FEWEST {
        return plain.because("fewer than 20 values, too few to see how alike neighbours are");
    }
    let Some(wanted) = block_length(series) else {
        return plain.because("every value is the same, so the bootstrap cannot show the spread");
    };
    let length = (wanted.ceil() as usize).max(n.div_ceil(MOST_BLOCKS)).min(n);
    let means = (0..resamples).map(|_| resampled_sum(&sums, length, rng) / n as f64).collect();
    let drawn = match Resamples::from_values(mean, n, means) {
        Ok(drawn) => drawn,
        Err(refused) => return plain.because(&refused.to_string()),
    };
    let found = drawn.percentile(level, unit);
    Estimate { method: format!("{METHOD}, blocks of {length}"), ..found }
}

/// Sums of the values before each place, and of all.
fn running_sums(series: &[f64]) -> Vec<f64> {
    let mut sums = Vec::with_capacity(series.len() + 1);
    let mut sum = 0.0;
    sums.push(sum);
    for value in series {
        sum += value;
        sums.push(sum);
    }
    sums
}

fn resampled_sum<R: Rng + ?Sized>(sums: &[f64], length: usize, rng: &mut R) -> f64 {
    let n = sums.len() - 1;
    let (mut left, mut total) = (n, 0.0);
    while left > 0 {
        let take = length.min(left);
        // Sixty-four bits on every platform, so that the draws are the same on all.
        let start = rng.random_range(0..n as u64) as usize;
        let end = start + take;
        total += if end <= n { sums[end] - sums[start] } else { sums[n] - sums[start] + sums[end - n] };
        left -= take;
    }
    total
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;

    use super::*;

    fn run(series: &[f64], level: Level) -> Estimate {
        block_mean(series, 2000, level, "press", &mut ChaCha12Rng::seed_from_u64(1))
    }

    fn noise(n: usize, seed: u64) -> Vec<f64> {
        let mut rng = ChaCha12Rng::seed_from_u64(seed);
        (0..n).map(|_| rng.random_range(0.0..1.0)).collect()
    }

    #[test]
    fn what_cannot_be_known_says_why() {
        assert_eq!(run(&[], Level::P95).value, None);
        for series in [vec![1.0; 19], vec![0.3; 100]] {
            let estimate = run(&series, Level::P95);
            assert!(estimate.value.is_some() && estimate.interval().is_none() && estimate.reason.is_some());
        }
    }

    #[test]
    fn every_resample_has_as_many_values_as_the_series() {
        let sums = running_sums(&[1.0; 37]);
        let mut rng = ChaCha12Rng::seed_from_u64(2);
        for length in [1, 5, 36, 37] {
            assert_eq!(resampled_sum(&sums, length, &mut rng), 37.0, "{length}");
        }
    }

    #[test]
    fn the_level_changes_the_width_and_the_method_tells_the_length() {
        let series = noise(500, 3);
        let wide = run(&series, Level::P95);
        assert!(wide.interval().unwrap().width() > run(&series, Level::P90).interval().unwrap().width());
        assert!(wide.method.contains("blocks of "), "{}", wide.method);
        // Without dependence the standard error is that of a plain mean, √(1/12/500).
        assert!((wide.mcse.unwrap() / (1.0_f64 / 12.0 / 500.0).sqrt() - 1.0).abs() < 0.2, "{:?}", wide.mcse);
    }

    #[test]
    fn long_series_are_cut_into_two_thousand_blocks() {
        let estimate = block_mean(&noise(50_000, 4), 20, Level::P95, "press", &mut ChaCha12Rng::seed_from_u64(1));
        let length: usize = estimate.method.rsplit(' ').next().unwrap().parse().unwrap();
        assert!(length >= 25, "{length}");
    }
}

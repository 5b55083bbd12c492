//! The bootstrap against published intervals, with so many resamples that only
//! a small Monte Carlo error is left on either side.
//!
//! α = 10⁻⁶ per assertion, fixed seed, n = 2·10⁶ resamples; no retries.

use agogic_stats::{Level, Resamples, acceleration, jackknife, normal_density, normal_quantile, pearson};
use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;

const RESAMPLES: usize = 2_000_000;

/// Two-sided standard normal critical value at α = 10⁻⁶.
const Z: f64 = 4.891_638;

/// Efron & Tibshirani (1993), An Introduction to the Bootstrap, Table 3.1.
const LSAT: [f64; 15] =
    [576.0, 635.0, 558.0, 578.0, 666.0, 580.0, 555.0, 661.0, 651.0, 605.0, 653.0, 575.0, 545.0, 572.0, 594.0];
const GPA: [f64; 15] = [3.39, 3.30, 2.81, 3.03, 3.44, 3.07, 3.00, 3.43, 3.36, 3.13, 3.12, 2.74, 2.76, 2.88, 2.96];

/// Efron & Tibshirani (1993), Table 14.1, test A.
const SPATIAL: [f64; 26] = [
    48.0, 36.0, 20.0, 29.0, 42.0, 42.0, 20.0, 42.0, 22.0, 41.0, 45.0, 14.0, 6.0, 0.0, 33.0, 28.0, 34.0, 4.0, 32.0,
    24.0, 47.0, 41.0, 24.0, 26.0, 30.0, 41.0,
];

fn law_school(positions: &[usize]) -> Option<f64> {
    let pick = |data: &[f64]| -> Vec<f64> { positions.iter().map(|&k| data[k]).collect() };
    pearson(&pick(&LSAT), &pick(&GPA)).ok()
}

/// Plug-in variance, with divisor n.
fn spatial(positions: &[usize]) -> Option<f64> {
    let n = positions.len() as f64;
    let mean = positions.iter().map(|&k| SPATIAL[k]).sum::<f64>() / n;
    Some(positions.iter().map(|&k| (SPATIAL[k] - mean).powi(2)).sum::<f64>() / n)
}

/// Fails if a limit lies further from the known one than two Monte Carlo errors
/// at α = 10⁻⁶ allow, one of ours and one of those who computed the known limit.
///
/// Distances are measured as shares of resamples, so no density is needed. A BCa
/// limit also moves with the bias correction z₀, which has an error of its own;
/// its `acceleration` is then given.
fn near(resamples: &Resamples, limit: f64, known: f64, half_unit: f64, acceleration: Option<f64>, what: &str) {
    let share = |value: f64| {
        let below = resamples.sorted().partition_point(|v| *v < value);
        below as f64 / resamples.sorted().len() as f64
    };
    let count = RESAMPLES as f64;
    let p = share(limit);
    let slope = acceleration.map_or(0.0, |a| {
        let z = normal_quantile(p);
        normal_density(z) * (1.0 + (1.0 + a * z).powi(2))
    });
    let bias_error = (0.25 / count).sqrt() / normal_density(0.0);
    let error = (p * (1.0 - p) / count + (slope * bias_error).powi(2)).sqrt();
    let allowed = Z * 2f64.sqrt() * error;
    let (lo, hi) = (share(known - half_unit), share(known + half_unit));
    assert!(
        lo - allowed <= p && p <= hi + allowed,
        "{what}: limit {limit} at share {p}, known {known} at {lo} to {hi}, allowed {allowed}"
    );
}

/// Efron & Tibshirani (1993), chapters 3, 6 and 14. Status: r computed by two
/// implementations; the rest computed at 2·10⁶ resamples.
#[test]
fn law_school_correlation() {
    let mut rng = ChaCha12Rng::seed_from_u64(20_250_101);
    let resamples = Resamples::draw(15, RESAMPLES, &mut rng, law_school).unwrap();
    assert!((resamples.observed() - 0.776374491289407).abs() < 1e-14);
    let left_out = jackknife(15, law_school);
    let a = acceleration(&left_out).unwrap();
    assert!((a + 0.0756715649).abs() < 5e-11, "acceleration {a}");
    let k = 15.0;
    let mean = left_out.iter().sum::<f64>() / k;
    let squares: f64 = left_out.iter().map(|r| (r - mean).powi(2)).sum();
    assert!(((squares * (k - 1.0) / k).sqrt() - 0.1425186186).abs() < 5e-11);

    // The error of an SD is SD·√((κ−1)/4B); κ is that of the resamples.
    let error = resamples.standard_error().unwrap();
    let count = resamples.sorted().len() as f64;
    let center = resamples.sorted().iter().sum::<f64>() / count;
    let fourth = resamples.sorted().iter().map(|v| (v - center).powi(4)).sum::<f64>() / count;
    let allowed = Z * 2f64.sqrt() * error * ((fourth / error.powi(4) - 1.0) / (4.0 * count)).sqrt();
    assert!((error - 0.13361).abs() < allowed + 5e-6, "SE {error}, allowed {allowed}");

    let percentile = resamples.percentile(Level::P95, "school").interval().unwrap();
    near(&resamples, percentile.lo, 0.4593, 5e-5, None, "percentile lower");
    near(&resamples, percentile.hi, 0.9618, 5e-5, None, "percentile upper");
    let bca = resamples.bca(&left_out, Level::P95, "school").interval().unwrap();
    near(&resamples, bca.lo, 0.3315, 5e-5, Some(a), "BCa lower");
    near(&resamples, bca.hi, 0.9416, 5e-5, Some(a), "BCa upper");
}

/// Efron & Tibshirani (1993), Table 14.2 prints 100.8 233.9 and 115.8 259.6 at
/// 2000 resamples. Status: computed at 2·10⁶ resamples.
#[test]
fn spatial_variance() {
    let mut rng = ChaCha12Rng::seed_from_u64(20_250_102);
    let resamples = Resamples::draw(26, RESAMPLES, &mut rng, spatial).unwrap();
    assert!((resamples.observed() - 171.5340236686).abs() < 1e-10);
    let left_out = jackknife(26, spatial);
    let a = acceleration(&left_out).unwrap();
    assert!((a - 0.0612401198).abs() < 5e-11, "acceleration {a}");
    let percentile = resamples.percentile(Level::P90, "child").interval().unwrap();
    near(&resamples, percentile.lo, 97.70, 5e-3, None, "percentile lower");
    near(&resamples, percentile.hi, 235.58, 5e-3, None, "percentile upper");
    let bca = resamples.bca(&left_out, Level::P90, "child").interval().unwrap();
    near(&resamples, bca.lo, 115.66, 5e-3, Some(a), "BCa lower");
    near(&resamples, bca.hi, 261.17, 5e-3, Some(a), "BCa upper");
}

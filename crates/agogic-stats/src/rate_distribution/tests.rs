use super::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use rand_distr::{Binomial, Distribution, StandardNormal};

#[test]
fn another_implementation_finds_the_same() {
    // tests/reference/rate_distribution.py: NumPy and SciPy's BFGS.
    let counts = (0..80_u64).map(|i| (i * i % 7 * (i % 3), 40 + 37 * i % 60));
    let rates = RateDistribution::fit(&Clusters::counts("typist", counts).unwrap()).unwrap();
    for (limit, share, error) in [
        (0.02, 0.472_864_299, 0.075_195_961),
        (0.05, 0.833_827_171, 0.055_244_037),
        (0.1, 0.932_967_411, 0.029_484_462),
    ] {
        let found = rates.share_at_most(limit, Level::P95);
        assert!((found.value.unwrap() - share).abs() < 1e-5, "{limit}: {found:?}");
        assert!((found.mcse.unwrap() - error).abs() < 1e-4 * error.max(0.1), "{limit}: {found:?}");
    }
    for (p, rate) in [(0.5, 0.021_914_324), (0.9, 0.070_195_318)] {
        let found = rates.quantile(p, Level::P95);
        assert!((found.value.unwrap() / rate - 1.0).abs() < 1e-3, "{p}: {found:?}");
        assert!(found.interval().unwrap().contains(rate));
    }
}

/// Clusters whose logits are normal about −4.6 with deviation 1.3, and few trials each.
fn drawn(clusters: usize, trials: u64, seed: u64) -> Clusters {
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    let counts: Vec<(u64, u64)> = (0..clusters)
        .map(|_| {
            let z: f64 = StandardNormal.sample(&mut rng);
            let rate = expit(-4.6 + 1.3 * z);
            let n = trials / 2 + rng.random_range(0..trials);
            (Binomial::new(n, rate).unwrap().sample(&mut rng), n)
        })
        .collect();
    Clusters::counts("typist", counts).unwrap()
}

/// n = 3000 clusters of some 100 trials, alpha = 1e-6 for each (4.9 standard errors): true shares are found. Shares of what
/// was seen are rejected.
#[test]
fn true_shares_are_found_where_seen_ones_are_wrong() {
    let clusters = drawn(3000, 100, 7);
    let rates = RateDistribution::fit(&clusters).unwrap();
    for (limit, wrong) in [(0.005, true), (0.01, false), (0.02, false), (0.05, false)] {
        let truth = crate::normal::normal_lower((logit(limit) + 4.6) / 1.3);
        let found = rates.share_at_most(limit, Level::P95);
        let (value, error) = (found.value.unwrap(), found.mcse.unwrap());
        assert!((value - truth).abs() < 4.9 * error, "{limit}: {value} ± {error}, not {truth}");
        let n = clusters.len() as f64;
        let pairs = clusters.numerators().iter().zip(clusters.denominators());
        let seen = pairs.filter(|(x, size)| *x / *size <= limit).count() as f64 / n;
        let apart = (seen - truth).abs() > 4.9 * libm::sqrt(truth * (1.0 - truth) / n);
        assert!(apart || !wrong, "{limit}: seen {seen}, true {truth}");
    }
    let median = rates.quantile(0.5, Level::P95);
    assert!(median.interval().unwrap().contains(expit(-4.6)), "{median:?}");
    let tail = rates.quantile(0.9, Level::P95);
    assert!(tail.interval().unwrap().contains(expit(-4.6 + 1.3 * 1.281_551_565_5)), "{tail:?}");
}

/// With very many trials nothing is left to take out: errors are those of 400 draws, or a little less since the density is
/// smooth. alpha = 1e-6 for each share (4.9 standard errors).
#[test]
fn many_trials_leave_the_error_of_the_draws() {
    let clusters = drawn(400, 200_000, 3);
    let fitted = RateDistribution::fit(&clusters).unwrap();
    for limit in [0.005, 0.01, 0.02] {
        let truth = crate::normal::normal_lower((logit(limit) + 4.6) / 1.3);
        let found = fitted.share_at_most(limit, Level::P95);
        let error = found.mcse.unwrap();
        assert!((found.value.unwrap() - truth).abs() < 4.9 * error, "{limit}: {found:?} {truth}");
        let binomial = libm::sqrt(truth * (1.0 - truth) / 400.0);
        assert!((0.7..1.1).contains(&(error / binomial)), "{limit}: {error} {binomial}");
    }
}

#[test]
fn what_cannot_be_told_is_refused_with_a_reason() {
    let few = Clusters::counts("typist", [(1, 10); 19]).unwrap();
    assert_eq!(RateDistribution::fit(&few).err(), Some(RateDistributionError::Few { n: 19, least: 20 }));
    let without = Clusters::counts("typist", [(1, 10); 19].into_iter().chain([(0, 0); 5])).unwrap();
    assert!(matches!(RateDistribution::fit(&without).err(), Some(RateDistributionError::Few { n: 19, .. })));
    for outcome in [0, 10] {
        let same = Clusters::counts("typist", [(outcome, 10); 30]).unwrap();
        assert_eq!(RateDistribution::fit(&same).err(), Some(RateDistributionError::OneOutcome));
    }
    let rates = RateDistribution::fit(&drawn(100, 50, 2)).unwrap();
    for limit in [0.0, 1.0, f64::NAN] {
        assert!(rates.share_at_most(limit, Level::P95).value.is_none());
    }
}

#[test]
fn the_ends_of_few_clusters_have_no_limits() {
    let rates = RateDistribution::fit(&drawn(60, 50, 2)).unwrap();
    let found = rates.quantile(0.95, Level::P95);
    assert!(found.value.is_some() && found.interval().is_none() && found.reason.unwrap().starts_with("no limits"));
    assert!(rates.quantile(0.9, Level::P95).interval().is_some());
}

#[test]
fn a_higher_level_is_wider() {
    let rates = RateDistribution::fit(&drawn(100, 50, 2)).unwrap();
    let width = |level: f64| {
        let level = Level::new(level).unwrap();
        [rates.share_at_most(0.01, level), rates.quantile(0.9, level)].map(|found| found.interval().unwrap().width())
    };
    let (narrow, wide) = (width(0.8), width(0.99));
    assert!(narrow[0] < wide[0] && narrow[1] < wide[1]);
}

//! Estimates of clustering and order statistics find the truth of simulated data.
//!
//! α = 10⁻⁶ per assertion, fixed seeds, no retries.

use agogic_stats::{
    Clusters, Interval, Level, Trials, binomial_lower, binomial_upper, mean, quantile_interval, standard_deviation,
    tost_clusters, variance_components,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use rand_distr::{Beta, Binomial, Distribution};

/// Two-sided standard normal critical value at α = 10⁻⁶.
const Z: f64 = 4.891_638;

fn clusters(alpha: f64, beta: f64, typists: usize, rng: &mut ChaCha12Rng) -> Clusters {
    let person = Beta::new(alpha, beta).unwrap();
    let counts: Vec<(u64, u64)> = (0..typists)
        .map(|_| {
            let n = rng.random_range(20..=200);
            (Binomial::new(n, person.sample(rng)).unwrap().sample(rng), n)
        })
        .collect();
    Clusters::counts("typist", counts).unwrap()
}

/// 400 studies of 60 typists at an intracluster correlation of 1/11.
#[test]
fn the_intracluster_correlation_is_found() {
    let mut rng = ChaCha12Rng::seed_from_u64(401);
    let mut found = Vec::new();
    for _ in 0..400 {
        let clusters = clusters(2.0, 8.0, 60, &mut rng);
        found.push(variance_components(&clusters).unwrap().icc().unwrap());
    }
    let error = standard_deviation(&found).unwrap() / 20.0;
    let center = mean(&found).unwrap();
    // The estimate is biased by about 1/60 of the value: its order is 1/K.
    let allowed = Z * error + 1.0 / 11.0 / 60.0 * 2.0;
    assert!((center - 1.0 / 11.0).abs() < allowed, "{center} ± {error}");
    assert!(center > 5.0 * allowed, "the gate cannot tell it from 0");
}

/// 2000 studies of 100 typists: the 90th percentile typist. The promised
/// confidence is at least 95 %; at n = 100 the ranks reach .9557 exactly.
#[test]
fn the_interval_of_a_quantile_holds() {
    let mut rng = ChaCha12Rng::seed_from_u64(403);
    // 90 % point of an exponential.
    let truth = 10f64.ln();
    let mut hits = 0;
    for _ in 0..2000 {
        let values: Vec<f64> = (0..100).map(|_| -(1.0 - rng.random::<f64>()).ln()).collect();
        let found = quantile_interval(&values, 0.9, Level::P95, "typist").unwrap();
        hits += u64::from(found.interval().unwrap().contains(truth));
    }
    let trials = Trials::new(hits, 2000).unwrap();
    assert!(binomial_lower(trials, 0.95) > 1e-6, "{hits} of 2000");
    assert!(binomial_upper(trials, 0.97) > 1e-6, "{hits} of 2000: wider than the ranks explain");
}

/// At the edge of the margin equivalence is claimed in at most 5 % of 2000
/// studies, well within it nearly always.
#[test]
fn equivalence_is_not_claimed_at_the_edge_of_the_margin() {
    let mut rng = ChaCha12Rng::seed_from_u64(404);
    let person = Beta::new(3.0, 12.0).unwrap();
    let margin = Interval { lo: -0.02, hi: 0.02 };
    let mut equivalent = [0, 0];
    for _ in 0..2000 {
        for (i, gap) in [0.02, 0.0].into_iter().enumerate() {
            let pairs: Vec<[(u64, u64); 2]> = (0..50)
                .map(|_| {
                    let rate = 0.9 * person.sample(&mut rng);
                    [rate + gap, rate].map(|p| (Binomial::new(400, p).unwrap().sample(&mut rng), 400))
                })
                .collect();
            let side = |i: usize| Clusters::counts("typist", pairs.iter().map(|p| p[i])).unwrap();
            let test = tost_clusters(&side(0), &side(1), margin, Level::P90).unwrap();
            equivalent[i] += u64::from(test.is_equivalent(0.05));
        }
    }
    let at_edge = Trials::new(equivalent[0], 2000).unwrap();
    assert!(binomial_upper(at_edge, 0.05) > 1e-6 && binomial_lower(at_edge, 0.05) > 1e-6, "{equivalent:?}");
    assert!(equivalent[1] > 1900, "{equivalent:?}");
}

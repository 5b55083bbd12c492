//! Confidence sequences: known answers, and error under continuous looks at skewed counts.

use agogic_stats::confseq::{
    Guarantee, Precision, RatioBetting, StopRule, look_at_difference, look_at_ratio, mixture_radius, sequence_ratio,
};
use agogic_stats::{BetaBinomial, Clusters, Level, Trials, binomial_upper, ratio};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use rand_distr::{Beta, Binomial, Distribution};
use serde_json::Value;

/// Made by `reference/make_sequences.py`.
const REFERENCE: &str = include_str!("../reference/sequences.json");

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

#[test]
fn known_answers() {
    let reference: Value = serde_json::from_str(REFERENCE).unwrap();
    for row in reference["mixture"].as_array().unwrap() {
        let level = Level::new(1.0 - number(&row["alpha"])).unwrap();
        let radius = mixture_radius(number(&row["n"]), number(&row["tuned_for"]), level).unwrap();
        assert!((radius / number(&row["radius"]) - 1.0).abs() < 1e-12, "{row}: {radius}");
    }
    for row in reference["ratios"].as_array().unwrap() {
        let (cap, difference) = (number(&row["cap"]), row["kind"] == "difference");
        let make = if difference { RatioBetting::difference } else { RatioBetting::proportion };
        let mut sequence = make(cap, Level::P95).unwrap();
        for pair in row["pairs"].as_array().unwrap() {
            sequence.push(number(&pair[0]), number(&pair[1])).unwrap();
        }
        let limits = sequence.interval();
        assert!((limits.lo - number(&row["limits"][0])).abs() < 1e-9, "{limits:?}");
        assert!((limits.hi - number(&row["limits"][1])).abs() < 1e-9, "{limits:?}");
    }
}

const RUNS: u64 = 2000;
const CAP: f64 = 400.0;

fn too_many(errors: u64) -> bool {
    binomial_upper(Trials::new(errors, RUNS).unwrap(), 0.05) < 1e-6
}

/// Runs of 200 typists at a rate of 2 % and a correlation of 0.3, looked at after every typist: n = 2000,
/// alpha = 1e-6. The intervals of one look, from the 30th typist on, are rejected by the same gate.
#[test]
fn exact_sequences_hold_at_every_look_at_skewed_counts() {
    let law = BetaBinomial::with_mean_and_icc(0.02, 0.3).unwrap();
    let person = Beta::new(law.alpha(), law.beta()).unwrap();
    let mut rng = ChaCha12Rng::seed_from_u64(401);
    let (mut of_ratio, mut of_difference, mut fixed) = (0, 0, 0);
    for _ in 0..RUNS {
        let mut sequence = RatioBetting::proportion(CAP, Level::P95).unwrap();
        let mut apart = RatioBetting::difference(CAP, Level::P95).unwrap();
        let mut wrong = [false; 3];
        let mut counts = Vec::new();
        for seen in 1..=200 {
            let n = rng.random_range(200..=400);
            let p: f64 = person.sample(&mut rng);
            let draws = [0, 1].map(|_| Binomial::new(n, p).unwrap().sample(&mut rng));
            counts.push((draws[0], n));
            sequence.push(draws[0] as f64, n as f64).unwrap();
            apart.push(draws[0] as f64 - draws[1] as f64, n as f64).unwrap();
            wrong[0] |= sequence.excludes(0.02);
            wrong[1] |= apart.excludes(0.0);
            if seen >= 30 && seen % 10 == 0 {
                let clusters = Clusters::counts("typist", counts.iter().copied()).unwrap();
                wrong[2] |= ratio(&clusters, Level::P95).interval().is_some_and(|i| !i.contains(0.02));
            }
        }
        for (count, wrong) in [&mut of_ratio, &mut of_difference, &mut fixed].into_iter().zip(wrong) {
            *count += u64::from(wrong);
        }
    }
    println!("errors of {RUNS}: exact ratio {of_ratio}, exact difference {of_difference}, fixed {fixed}");
    assert!(!too_many(of_ratio) && !too_many(of_difference), "{of_ratio} {of_difference}");
    assert!(too_many(fixed), "{fixed} of {RUNS} should have been rejected");
}

/// Stopping at a half-width of 0.06 keeps the level: n = 2000 runs, alpha = 1e-6. A run stops where the sequence
/// is narrow and nowhere else.
#[test]
fn a_stopped_run_keeps_its_level() {
    let mut rng = ChaCha12Rng::seed_from_u64(402);
    let rule = StopRule {
        precision: Precision::Absolute(0.06),
        level: Level::P95,
        least: 20,
        guarantee: Guarantee::Exact { cap: CAP },
    };
    let person = Beta::new(2.0, 38.0).unwrap();
    let (mut missed, mut stops) = (0, 0);
    for _ in 0..RUNS {
        let (mut first, mut second) = (Vec::new(), Vec::new());
        while first.len() < 250 {
            for _ in 0..50 {
                let n = rng.random_range(200..=400);
                let p: f64 = person.sample(&mut rng);
                for side in [&mut first, &mut second] {
                    side.push((Binomial::new(n, p).unwrap().sample(&mut rng), n));
                }
            }
            let [a, b] = [&first, &second].map(|side| Clusters::counts("typist", side.iter().copied()).unwrap());
            let look = look_at_difference(&a, &b, &rule).unwrap();
            assert_eq!(look.stop, look.estimate.interval().unwrap().width() <= 0.12);
            if look.stop {
                stops += 1;
                missed += u64::from(!look.estimate.interval().unwrap().contains(0.0));
                break;
            }
        }
    }
    assert!(stops > RUNS / 2, "{stops} of {RUNS} stopped");
    assert!(!too_many(missed), "{missed} of {RUNS}");
    let few = Clusters::counts("typist", [(1, 300); 19]).unwrap();
    assert!(!look_at_ratio(&few, &StopRule { precision: Precision::Absolute(1.0), ..rule }).unwrap().stop);
}

/// Runs of 300 typists at a rate of 2 % and a correlation of 0.1, looked at after every tenth from the 30th: n = 2000,
/// alpha = 1e-6. The same limits without the wait for clusters are rejected by the same gate.
#[test]
fn asymptotic_limits_that_wait_hold_at_every_look_at_skewed_counts() {
    let law = BetaBinomial::with_mean_and_icc(0.02, 0.1).unwrap();
    let person = Beta::new(law.alpha(), law.beta()).unwrap();
    let mut rng = ChaCha12Rng::seed_from_u64(402);
    let (mut waiting, mut given, mut at_once) = (0, 0, 0);
    for _ in 0..RUNS {
        let mut wrong = [false; 3];
        let mut counts = Vec::new();
        for seen in 1..=300 {
            let n = rng.random_range(200..=400);
            let p: f64 = person.sample(&mut rng);
            counts.push((Binomial::new(n, p).unwrap().sample(&mut rng), n));
            if seen < 30 || seen % 10 != 0 {
                continue;
            }
            let clusters = Clusters::counts("typist", counts.iter().copied()).unwrap();
            let limits = sequence_ratio(&clusters, 150.0, Level::P95).unwrap().interval();
            wrong[0] |= limits.is_some_and(|limits| !limits.contains(0.02));
            wrong[1] |= limits.is_some();
            let found = ratio(&clusters, Level::P95);
            let half = found.mcse.unwrap()
                * f64::from(seen).sqrt()
                * mixture_radius(f64::from(seen), 150.0, Level::P95).unwrap();
            wrong[2] |= (found.value.unwrap() - 0.02).abs() > half;
        }
        for (count, wrong) in [&mut waiting, &mut given, &mut at_once].into_iter().zip(wrong) {
            *count += u64::from(wrong);
        }
    }
    println!("errors of {RUNS}: waiting {waiting}, at once {at_once}; limits in {given}");
    assert!(!too_many(waiting) && given > RUNS / 2, "{waiting}, limits in {given}");
    assert!(too_many(at_once), "{at_once}");
}

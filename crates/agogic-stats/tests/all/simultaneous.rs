//! Simultaneous intervals hold together, and confidence sequences hold at every
//! look. In both cases the usual interval is shown to fail.
//!
//! Each assertion has a fixed seed, n = 2000 simulated studies and α = 10⁻⁶. No
//! retries.

use agogic_stats::confseq::{mixture_radius, sequence_ratio};
use agogic_stats::{
    Clusters, Interval, Level, Trials, binomial_lower, binomial_upper, holm, paired_difference, ratio,
    simultaneous_differences,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use rand_distr::{Beta, Binomial, Distribution};

const STUDIES: u64 = 2000;
const ALPHA: f64 = 1e-6;

/// Whether so many errors are too many for a true rate of 5 %.
fn above_five_percent(errors: u64) -> bool {
    binomial_upper(Trials::new(errors, STUDIES).unwrap(), 0.05) < ALPHA
}

/// Whether so few errors are too few for a true rate of `rate`.
fn below(errors: u64, rate: f64) -> bool {
    binomial_lower(Trials::new(errors, STUDIES).unwrap(), rate) < ALPHA
}

/// Error counts of 60 typists under six settings with the same true rate. What
/// a typist does moves with the typist, so the contrasts with the first setting
/// are correlated.
fn settings(rng: &mut ChaCha12Rng) -> Vec<Clusters> {
    let person = Beta::new(2.0, 18.0).unwrap();
    let typists: Vec<(f64, u64)> = (0..60).map(|_| (person.sample(rng), rng.random_range(60..=140))).collect();
    (0..6)
        .map(|_| {
            let counts: Vec<(u64, u64)> = typists
                .iter()
                .map(|&(rate, n)| {
                    // Each setting has its own way with each typist.
                    let rate = rate * rng.random_range(0.6..1.4);
                    (Binomial::new(n, rate).unwrap().sample(rng), n)
                })
                .collect();
            Clusters::counts("typist", counts).unwrap()
        })
        .collect()
}

#[test]
fn max_t_holds_the_family_wise_error_and_single_intervals_do_not() {
    let mut rng = ChaCha12Rng::seed_from_u64(301);
    let (mut simultaneous, mut adjusted, mut single, mut stepwise) = (0, 0, 0, 0);
    for _ in 0..STUDIES {
        let settings = settings(&mut rng);
        let pairs: Vec<(&Clusters, &Clusters)> = settings[1..].iter().map(|s| (s, &settings[0])).collect();
        let found = simultaneous_differences(&pairs, Level::P95, 399, &mut rng).unwrap();
        let missed = |interval: Option<Interval>| !interval.unwrap().contains(0.0);
        simultaneous += u64::from(found.contrasts.iter().any(|c| missed(c.interval())));
        adjusted += u64::from(found.p_values.iter().any(|p| p.unwrap() <= 0.05));
        let alone: Vec<_> = pairs.iter().map(|(a, b)| paired_difference(a, b, Level::P95).unwrap()).collect();
        single += u64::from(alone.iter().any(|e| missed(e.interval())));
        let t = agogic_stats::StudentT::new(59.0).unwrap();
        let p: Vec<f64> = alone.iter().map(|e| t.two_sided(e.value.unwrap() / e.mcse.unwrap())).collect();
        stepwise += u64::from(holm(&p).unwrap().iter().any(|p| *p <= 0.05));
    }
    println!("family-wise errors of {STUDIES}: max-t {simultaneous}, p {adjusted}, Holm {stepwise}, single {single}");
    assert!(!above_five_percent(simultaneous), "max-t: {simultaneous} of {STUDIES}");
    assert!(!above_five_percent(adjusted), "max-t p-values: {adjusted} of {STUDIES}");
    assert!(!above_five_percent(stepwise), "Holm: {stepwise} of {STUDIES}");
    // Nor may it be conservative: the correlation is what it is meant to use.
    assert!(!below(simultaneous, 0.05), "max-t: {simultaneous} of {STUDIES}");
    assert!(above_five_percent(single), "single intervals: {single} of {STUDIES} should have been rejected");
}

/// Normal values with SD 1, where the mixture holds exactly.
#[test]
fn the_normal_mixture_holds_at_every_look() {
    let mut rng = ChaCha12Rng::seed_from_u64(303);
    let radii: Vec<f64> = (1..=1000).map(|n| mixture_radius(f64::from(n), 200.0, Level::P95).unwrap()).collect();
    let mut errors = 0;
    for _ in 0..STUDIES {
        let mut sum = 0.0;
        errors += u64::from(radii.iter().enumerate().fold(false, |wrong, (i, radius)| {
            let z: f64 = rand_distr::StandardNormal.sample(&mut rng);
            sum += z;
            wrong | (sum.abs() > radius * (i + 1) as f64)
        }));
    }
    println!("errors of {STUDIES}: normal mixture {errors}");
    assert!(!above_five_percent(errors), "{errors} of {STUDIES}");
    // Almost all of α is spent by 1000 looks when tuned for 200.
    assert!(errors > 0 && !below(errors, 0.015), "{errors} of {STUDIES}");
}

/// Rates over typists, looked at after every third typist from the 30th to the 300th; the sequence gives limits from the
/// 100th.
#[test]
fn the_asymptotic_sequence_over_clusters_holds_at_every_look() {
    const RATE: f64 = 0.1;
    let person = Beta::new(2.0, 18.0).unwrap();
    let mut rng = ChaCha12Rng::seed_from_u64(304);
    let (mut sequence_errors, mut fixed_errors) = (0, 0);
    for _ in 0..STUDIES {
        let mut counts = Vec::new();
        let (mut wrong, mut fixed_wrong) = (false, false);
        while counts.len() < 300 {
            let n = rng.random_range(60..=140);
            counts.push((Binomial::new(n, person.sample(&mut rng)).unwrap().sample(&mut rng), n));
            if counts.len() >= 30 && counts.len() % 3 == 0 {
                let clusters = Clusters::counts("typist", counts.iter().copied()).unwrap();
                let sequence = sequence_ratio(&clusters, 100.0, Level::P95).unwrap();
                wrong |= sequence.interval().is_some_and(|limits| !limits.contains(RATE));
                fixed_wrong |= !ratio(&clusters, Level::P95).interval().unwrap().contains(RATE);
            }
        }
        sequence_errors += u64::from(wrong);
        fixed_errors += u64::from(fixed_wrong);
    }
    println!("errors of {STUDIES}: asymptotic sequence {sequence_errors}, fixed {fixed_errors}");
    assert!(!above_five_percent(sequence_errors), "{sequence_errors} of {STUDIES}");
    assert!(above_five_percent(fixed_errors), "fixed n: {fixed_errors} of {STUDIES} should have been rejected");
}

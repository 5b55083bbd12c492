//! Intervals hold the truth as often as their level says, and the gate that
//! checks this rejects methods that are known to be wrong.
//!
//! Each assertion has a fixed seed, n = 2000 simulated studies and α = 10⁻⁶: the
//! hits must be possible under a binomial with the nominal level. No retries.
//!
//! The simulated studies have 40 typists with 50 to 150 decisions each. Typist
//! rates vary as Beta(3.8, 15.2): mean .2, intracluster correlation .05.

use agogic_stats::{
    Clusters, DfAdjustment, Interval, Level, Resamples, Trials, binomial_lower, binomial_upper, bootstrap_studentised,
    korn_graubard, paired_difference, ratio, ratio_jackknife, ratio_logit, ratio_standard_error, wilson,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use rand_distr::{Beta, Binomial, Distribution};

const STUDIES: u64 = 2000;
const TYPISTS: usize = 40;
const RATE: f64 = 0.2;
const ALPHA: f64 = 1e-6;

/// Whether so many hits among the studies are possible at the nominal level.
fn possible(hits: u64, nominal: f64) -> bool {
    let trials = Trials::new(hits, STUDIES).unwrap();
    binomial_lower(trials, nominal) > ALPHA / 2.0 && binomial_upper(trials, nominal) > ALPHA / 2.0
}

/// Decisions and errors of all typists in one study.
fn study(rng: &mut ChaCha12Rng) -> Clusters {
    let rates = Beta::new(3.8, 15.2).unwrap();
    let counts = (0..TYPISTS).map(|_| {
        let decisions: u64 = rng.random_range(50..=150);
        let rate = rates.sample(rng);
        (Binomial::new(decisions, rate).unwrap().sample(rng), decisions)
    });
    Clusters::counts("typist", counts.collect::<Vec<_>>()).unwrap()
}

/// How many studies hold the true rate.
fn hits(seed: u64, interval: impl Fn(&Clusters, &mut ChaCha12Rng) -> Interval) -> u64 {
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    let mut hits = 0;
    for _ in 0..STUDIES {
        let clusters = study(&mut rng);
        hits += u64::from(interval(&clusters, &mut rng).contains(RATE));
    }
    hits
}

/// Every decision taken as independent, which they are not.
fn ignoring_typists(clusters: &Clusters) -> Interval {
    let (errors, decisions) = clusters.totals();
    wilson(Trials::new(errors as u64, decisions as u64).unwrap(), Level::P95)
}

#[test]
fn linearised_intervals_hold_their_level() {
    let linear = hits(101, |c, _| ratio(c, Level::P95).interval().unwrap());
    assert!(possible(linear, 0.95), "linearised t: {linear} of {STUDIES}");
    let logit = hits(102, |c, _| ratio_logit(c, Level::P95).interval().unwrap());
    assert!(possible(logit, 0.95), "logit: {logit} of {STUDIES}");
    let survey = hits(103, |c, _| korn_graubard(c, DfAdjustment::Adjusted, Level::P95).interval().unwrap());
    // Conservative by construction: only too few hits would be wrong.
    let trials = Trials::new(survey, STUDIES).unwrap();
    assert!(binomial_lower(trials, 0.95) > ALPHA, "korn-graubard: {survey} of {STUDIES}");
}

#[test]
fn other_levels_hold_too() {
    let ninety = hits(104, |c, _| ratio(c, Level::P90).interval().unwrap());
    assert!(possible(ninety, 0.90), "{ninety} of {STUDIES}");
    assert!(!possible(ninety, 0.95), "the gate cannot tell 90 % from 95 %");
}

#[test]
fn the_gate_rejects_decisions_taken_as_independent() {
    let naive = hits(105, |c, _| ignoring_typists(c));
    assert!(!possible(naive, 0.95), "{naive} of {STUDIES} should have been rejected");
}

#[test]
fn bootstrap_intervals_hold_their_level() {
    let draw = |c: &Clusters, rng: &mut ChaCha12Rng| Resamples::draw(TYPISTS, 500, rng, |p| c.ratio_of(p)).unwrap();
    let percentile = hits(106, |c, rng| draw(c, rng).percentile(Level::P95, "typist").interval().unwrap());
    assert!(possible(percentile, 0.95), "percentile: {percentile} of {STUDIES}");
    let bca = hits(107, |c, rng| {
        let left_out = ratio_jackknife(c).unwrap();
        draw(c, rng).bca(&left_out, Level::P95, "typist").interval().unwrap()
    });
    assert!(possible(bca, 0.95), "BCa: {bca} of {STUDIES}");
    let studentised = hits(108, |c, rng| {
        let statistic = |positions: &[usize]| {
            let pick = positions.iter().map(|&k| (c.numerators()[k], c.denominators()[k]));
            let resample = Clusters::proportion("typist", pick).ok()?;
            let every: Vec<usize> = (0..resample.len()).collect();
            Some((resample.ratio_of(&every)?, ratio_standard_error(&resample)?))
        };
        let run = bootstrap_studentised(TYPISTS, 500, Level::P95, "typist", rng, statistic);
        run.unwrap().interval().unwrap()
    });
    assert!(possible(studentised, 0.95), "studentised: {studentised} of {STUDIES}");
}

/// Two error rates per typist, the second .05 lower on average, both moving with
/// the typist.
#[test]
fn paired_differences_hold_their_level_and_unpaired_ones_do_not() {
    let shared = Beta::new(3.8, 15.2).unwrap();
    let mut rng = ChaCha12Rng::seed_from_u64(109);
    let (mut paired, mut unpaired) = (0, 0);
    for _ in 0..STUDIES {
        let mut sides = [Vec::new(), Vec::new()];
        for _ in 0..TYPISTS {
            let rate = shared.sample(&mut rng);
            for (side, rate) in sides.iter_mut().zip([rate, 0.75 * rate]) {
                side.push((Binomial::new(100, rate).unwrap().sample(&mut rng), 100));
            }
        }
        let [first, second] = sides.map(|side| Clusters::counts("typist", side).unwrap());
        let truth = 0.25 * RATE;
        let difference = paired_difference(&first, &second, Level::P95).unwrap();
        paired += u64::from(difference.interval().unwrap().contains(truth));
        // The wrong method: errors added as if the typists were different people.
        let errors = [&first, &second].map(|side| ratio_standard_error(side).unwrap());
        let half = Level::P95.z() * errors[0].hypot(errors[1]);
        unpaired += u64::from((difference.value.unwrap() - truth).abs() <= half);
    }
    assert!(possible(paired, 0.95), "paired: {paired} of {STUDIES}");
    assert!(!possible(unpaired, 0.95), "unpaired: {unpaired} of {STUDIES} should have been rejected");
}

/// Zero-event studies whose upper bound lies below the true rate, by the bound
/// for clusters and by the rule of three on decisions. Typists err always or
/// never, which is the worst case.
fn zero_event_misses(seed: u64, true_rate: f64) -> [u64; 2] {
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    let mut misses = [0, 0];
    for _ in 0..STUDIES {
        let counts: Vec<(u64, u64)> = (0..TYPISTS)
            .map(|_| {
                let decisions = rng.random_range(50..=150);
                (if rng.random_bool(true_rate) { decisions } else { 0 }, decisions)
            })
            .collect();
        let clusters = Clusters::counts("typist", counts).unwrap();
        let (errors, decisions) = clusters.totals();
        if errors == 0.0 {
            misses[0] += u64::from(ratio(&clusters, Level::P95).hi.unwrap() < true_rate);
            misses[1] += u64::from(3.0 / decisions < true_rate);
        }
    }
    misses
}

#[test]
fn the_bound_at_zero_events_holds_in_the_worst_case() {
    let too_many = |misses| binomial_upper(Trials::new(misses, STUDIES).unwrap(), 0.05) <= ALPHA;
    // No event among 40 typists has probability .084 at a rate of .06, where the
    // bound lies above the rate and the rule of three below it.
    let [bound, naive] = zero_event_misses(110, 0.06);
    assert!(!too_many(bound), "{bound} of {STUDIES}");
    assert!(too_many(naive), "{naive} of {STUDIES} should have been rejected");
    // At .08 it has probability .036, and the bound does miss.
    let [bound, _] = zero_event_misses(111, 0.08);
    assert!(bound > 0 && !too_many(bound), "{bound} of {STUDIES}");
}

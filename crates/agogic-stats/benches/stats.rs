//! Estimates and intervals: `cargo bench -p agogic-stats`.

#[path = "../../../tests/shared/measure.rs"]
mod measure;

use agogic_stats::race::{Demands, RaceRules, Tally, confirm, look, shortlist};
use agogic_stats::{
    Clusters, DfAdjustment, Level, Resamples, korn_graubard, paired_difference, ratio, ratio_jackknife, ratio_logit,
    simultaneous_differences, variance_components,
};
use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use measure::CpuTime;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, LogNormal, Poisson};

/// Typists of a study.
const SIZES: [usize; 2] = [1000, 10_000];
const RESAMPLES: usize = 400;
/// Policies compared at once.
const CONTRASTS: usize = 8;
/// Candidates of a race, units seen at its look, and fresh ones.
const RACE: (usize, usize, usize) = (40, 200, 400);

/// Errors among decisions of typists who differ by a log-normal factor; arm after arm the same typists err more.
fn typists(number: usize, arm: usize) -> Clusters {
    let mut people = ChaCha8Rng::seed_from_u64(1);
    let mut events = ChaCha8Rng::seed_from_u64(2 + arm as u64);
    let rate = LogNormal::new((0.01 + 0.002 * arm as f64).ln(), 0.6).expect("finite");
    let pair = |_| {
        let decisions = people.random_range(50..500_u64);
        let mean = rate.sample(&mut people) * decisions as f64;
        let errors = Poisson::new(mean).expect("positive").sample(&mut events) as u64;
        (errors.min(decisions), decisions)
    };
    Clusters::counts("typist", (0..number).map(pair)).expect("no more errors than decisions")
}

/// Times `job` at every size; throughput in typists.
fn at_sizes<O>(c: &mut Criterion<CpuTime>, name: &str, mut job: impl FnMut(&[Clusters; 2]) -> O) {
    let mut group = c.benchmark_group(name);
    for size in SIZES {
        let arms = [typists(size, 0), typists(size, 1)];
        group.throughput(Throughput::Elements(size as u64));
        group.bench_function(BenchmarkId::from_parameter(size), |b| b.iter(|| job(&arms)));
    }
    group.finish();
}

/// Rates, their differences and what they are made of.
fn rates(c: &mut Criterion<CpuTime>) {
    const LEVEL: Level = Level::P95;
    at_sizes(c, "ratio", |[one, _]| ratio(one, LEVEL));
    at_sizes(c, "ratio_logit", |[one, _]| ratio_logit(one, LEVEL));
    at_sizes(c, "korn_graubard", |[one, _]| korn_graubard(one, DfAdjustment::Adjusted, LEVEL));
    at_sizes(c, "paired_difference", |[one, other]| paired_difference(one, other, LEVEL).expect("the same typists"));
    at_sizes(c, "variance_components", |[one, _]| variance_components(one).expect("proportions"));
}

/// Resampling of whole typists; throughput in typists drawn.
fn resampling(c: &mut Criterion<CpuTime>) {
    let mut group = c.benchmark_group(format!("bootstrap, {RESAMPLES} resamples, BCa"));
    for size in SIZES {
        let clusters = typists(size, 0);
        group.throughput(Throughput::Elements((size * RESAMPLES) as u64));
        group.bench_function(BenchmarkId::from_parameter(size), |b| {
            b.iter(|| {
                let mut rng = ChaCha8Rng::seed_from_u64(3);
                let drawn = Resamples::draw(size, RESAMPLES, &mut rng, |at| clusters.ratio_of(at));
                let left_out = ratio_jackknife(&clusters).expect("two typists or more");
                drawn.expect("a rate").bca(&left_out, Level::P95, "typist")
            });
        });
    }
    group.finish();
    let mut group = c.benchmark_group(format!("max-t, {CONTRASTS} contrasts, {RESAMPLES} draws"));
    for size in SIZES {
        let arms: Vec<Clusters> = (0..=CONTRASTS).map(|arm| typists(size, arm)).collect();
        let pairs: Vec<(&Clusters, &Clusters)> = arms[1..].iter().map(|arm| (arm, &arms[0])).collect();
        group.throughput(Throughput::Elements((size * RESAMPLES) as u64));
        group.bench_function(BenchmarkId::from_parameter(size), |b| {
            b.iter(|| {
                let mut rng = ChaCha8Rng::seed_from_u64(4);
                simultaneous_differences(&pairs, Level::P95, RESAMPLES, &mut rng).expect("the same typists")
            });
        });
    }
    group.finish();
}

/// The parts of a choice; throughput in candidates.
fn race(c: &mut Criterion<CpuTime>) {
    let (candidates, units, fresh) = RACE;
    let rules = RaceRules { level: Level::P95, candidates, looks: 1, shortlist: 8, fresh: fresh as u64 };
    let demands = Demands { served: Some(0.9), limits: vec![0.05] };
    let tally = |units: usize, at: usize| {
        let loss = typists(units, at);
        // 19 of 20 are served by the first candidate, and ever fewer by the others.
        let served = (0..units).map(|unit| Some(unit % 20 > at / 10)).collect();
        Tally { limited: vec![loss.clone()], loss, served }
    };
    let seen: Vec<Tally> = (0..candidates).map(|at| tally(units, at)).collect();
    let seen: Vec<&Tally> = seen.iter().collect();
    let last: Vec<Tally> = (0..rules.shortlist).map(|at| tally(fresh, at)).collect();
    let last: Vec<&Tally> = last.iter().collect();
    let mut group = c.benchmark_group("race");
    group.throughput(Throughput::Elements(candidates as u64));
    group.bench_function(format!("look, {candidates} x {units}"), |b| b.iter(|| look(&rules, &demands, &seen)));
    group.bench_function(format!("short list, {candidates} x {units}"), |b| {
        b.iter(|| shortlist(&rules, &demands, &seen));
    });
    group.throughput(Throughput::Elements(last.len() as u64));
    group.bench_function(format!("confirm, {} x {fresh}", last.len()), |b| b.iter(|| confirm(&rules, &demands, &last)));
    group.finish();
}

criterion_group! { name = benches; config = measure::short(); targets = rates, resampling, race }
criterion_main!(benches);

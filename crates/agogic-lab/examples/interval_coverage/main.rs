//! How often the default intervals of a study hold the truth, on the simulator itself.
//!
//! `cargo run --release -p agogic-lab --example interval_coverage` writes `COVERAGE.md` of this crate;
//! `interval_coverage TYPISTS STUDIES FAMILIES` changes the size and prints the report instead.
//!
//! A pool of typists is simulated under the main study once. Its rates are the truth; studies are typists of the pool,
//! drawn with replacement. Everything follows from the seed: each study has a stream of its own, and results do not
//! depend on the number of threads.

mod families;
mod report;
mod singles;

use agogic_keys::{Purpose, Stream, stream};
use agogic_lab::run;
use agogic_sim::Engine;
use agogic_stats::Clusters;
use agogic_study::{ESTIMANDS, MAIN_STUDY, Study};
use rand::RngExt;

/// Seed of the pool and of the studies drawn from it.
const SEED: u64 = 20_260_211;

/// Typists of the pool for each population; studies for each population and number of typists; studies for families.
const SIZE: [usize; 3] = [8000, 1000, 600];

/// Numerators and denominators of one estimand under each policy.
type Parts = Vec<Vec<(f64, f64)>>;

/// All typists of one population.
struct Pool {
    label: String,
    /// Position among the populations.
    index: usize,
    typists: usize,
    /// For each estimand, in the order of [`ESTIMANDS`].
    parts: Vec<Parts>,
    /// For each policy the one it is compared with.
    versus: Vec<usize>,
    resamples: usize,
}

fn pools(typists: usize) -> Vec<Pool> {
    let of_main = MAIN_STUDY.replace("number = 1000", &format!("number = {typists}"));
    assert_ne!(of_main, MAIN_STUDY, "the main study has 1000 typists for each population");
    let mut study = Study::read(&of_main, std::path::Path::new(".")).expect("the main study is sound");
    study.seed = SEED;
    let result = run(&Engine::new(&study).expect("every rule can learn"), &|_| ());
    let pool = |(index, arm): (usize, &agogic_lab::ArmResult)| {
        let mut parts: Vec<Parts> = vec![vec![Vec::with_capacity(typists); study.policies.len()]; ESTIMANDS.len()];
        for row in arm.typists.iter() {
            for (info, parts) in ESTIMANDS.iter().zip(&mut parts) {
                row.scores.iter().zip(parts).for_each(|(score, own)| own.push((info.parts)(score)));
            }
        }
        let versus = study.inference.versus.clone();
        Pool { label: arm.label.clone(), index, typists, parts, versus, resamples: study.inference.resamples }
    };
    result.arms.iter().enumerate().map(pool).collect()
}

/// The stream of one study with so many typists. Populations and estimands have studies of their own, so that what they
/// tell together is not one draw of typists told many times.
fn address(family: bool, pool: &Pool, estimand: usize, typists: usize, replicate: usize) -> Stream {
    let cell = (u64::from(family) << 16) | ((pool.index as u64) << 8) | estimand as u64;
    stream(SEED, Purpose::Resampling, (cell << 32) | typists as u64, replicate as u64)
}

/// `number` positions below `all`, with replacement: the pool is the population.
fn positions(all: usize, number: usize, rng: &mut Stream) -> Vec<usize> {
    (0..number).map(|_| rng.random_range(0..all)).collect()
}

/// The typists at some positions.
fn clusters(parts: &[(f64, f64)], at: &[usize], proportion: bool) -> Clusters {
    let pairs = at.iter().map(|&i| parts[i]);
    let clusters = if proportion { Clusters::proportion("typist", pairs) } else { Clusters::ratio("typist", pairs) };
    clusters.expect("counts are finite, and a numerator needs its denominator")
}

/// The rate of the whole pool; `None` without opportunities.
fn truth(parts: &[(f64, f64)]) -> Option<f64> {
    let (y, x) = parts.iter().fold((0.0, 0.0), |(y, x), part| (y + part.0, x + part.1));
    (x > 0.0).then(|| y / x)
}

fn main() {
    let given: Vec<usize> = std::env::args().skip(1).map(|text| text.parse().expect("a whole number")).collect();
    let mut size = SIZE;
    size.iter_mut().zip(&given).for_each(|(size, given)| *size = *given);
    let pools = pools(size[0]);
    let singles = singles::all(&pools, size[1]);
    let families = families::all(&pools, size[2]);
    let text = report::markdown(&pools, size, &singles, &families);
    if given.is_empty() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/COVERAGE.md");
        std::fs::write(path, text).expect("the report can be written");
    } else {
        print!("{text}");
    }
}

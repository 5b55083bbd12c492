//! How often many comparisons at once err when there is nothing to find.
//!
//! Prints a Markdown report, the one in `FAMILYWISE.md` when called without arguments:
//!
//! ```text
//! cargo run --release -p agogic-stats --example familywise > crates/agogic-stats/FAMILYWISE.md
//! ```
//!
//! `familywise REPLICATES THREADS` changes the size and the speed.

mod shared;

use agogic_stats::{
    BetaBinomial, Clusters, FEWEST_DIFFERING, Interval, Level, StudentT, holm, paired_difference,
    simultaneous_differences,
};
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Beta, Binomial, Distribution};
use shared::{SEED, each, error_share, size, stream};

const REPLICATES: u64 = 2000;
const RESAMPLES: usize = 399;

/// Contrasts with a reference; typists; rate; how far the rate of the reference and of the others may lie from the
/// typist's, as a share. A reference with much of a way of its own makes the contrasts alike.
const CONTRASTS: [usize; 2] = [3, 12];
const TYPISTS: [usize; 3] = [15, 40, 100];
const RATES: [f64; 2] = [0.1, 0.01];
const OWN_WAYS: [[f64; 2]; 3] = [[0.1, 0.1], [0.6, 0.6], [0.9, 0.1]];

/// Typists of a large study.
const MANY: usize = 5000;

/// Correlation of the errors of one typist.
const CORRELATION: f64 = 0.1;

#[derive(Clone, Copy)]
struct Cell {
    contrasts: usize,
    typists: usize,
    rate: f64,
    own_ways: [f64; 2],
}

#[derive(Default)]
struct Errors {
    /// Studies in which a contrast has joint limits.
    given: u64,
    max_t: u64,
    max_t_p: u64,
    holm: u64,
    bonferroni: u64,
    single: u64,
    first: u64,
    correlation: f64,
    correlated: u64,
}

fn cells() -> Vec<Cell> {
    let mut cells = Vec::new();
    for contrasts in CONTRASTS {
        for typists in TYPISTS {
            for rate in RATES {
                cells.extend(OWN_WAYS.map(|own_ways| Cell { contrasts, typists, rate, own_ways }));
            }
        }
    }
    for contrasts in CONTRASTS {
        for rate in RATES {
            cells.extend(OWN_WAYS.map(|own_ways| Cell { contrasts, typists: MANY, rate, own_ways }));
        }
    }
    cells
}

/// Counts under the reference and the other policies, all with the same rate on average.
fn study(cell: Cell, rng: &mut ChaCha8Rng) -> Vec<Clusters> {
    let law = BetaBinomial::with_mean_and_icc(cell.rate, CORRELATION).expect("a rate and a correlation");
    let person = Beta::new(law.alpha(), law.beta()).expect("positive parameters");
    let people: Vec<(f64, u64)> =
        (0..cell.typists).map(|_| (person.sample(rng), rng.random_range(200..=400))).collect();
    (0..=cell.contrasts)
        .map(|policy| {
            let own_way = cell.own_ways[usize::from(policy > 0)];
            let counts: Vec<(u64, u64)> = people
                .iter()
                .map(|&(rate, n)| {
                    // Cut evenly at both ends, so that the mean stays what it was.
                    let reach = own_way.min((1.0 - rate) / rate.max(1e-300));
                    let rate = (rate * rng.random_range(1.0 - reach..=1.0 + reach)).min(1.0);
                    (Binomial::new(n, rate).expect("a probability").sample(rng), n)
                })
                .collect();
            Clusters::counts("typist", counts).expect("errors among decisions")
        })
        .collect()
}

fn run(index: usize, cell: Cell, replicates: u64) -> Errors {
    let mut errors = Errors::default();
    let t = StudentT::new(cell.typists as f64 - 1.0).expect("two typists or more");
    let adjusted = Level::new(1.0 - 0.05 / cell.contrasts as f64).expect("a level");
    for replicate in 0..replicates {
        let mut rng = stream(index, replicate);
        let policies = study(cell, &mut rng);
        let pairs: Vec<(&Clusters, &Clusters)> = policies[1..].iter().map(|policy| (policy, &policies[0])).collect();
        // An interval that is not given cannot leave out 0.
        let misses = |interval: Option<Interval>| interval.is_some_and(|interval| !interval.contains(0.0));
        if let Ok(found) = simultaneous_differences(&pairs, Level::P95, RESAMPLES, &mut rng) {
            errors.given += u64::from(found.critical.is_some());
            errors.max_t += u64::from(found.contrasts.iter().any(|contrast| misses(contrast.interval())));
            errors.max_t_p += u64::from(found.p_values.iter().flatten().any(|p| *p <= 0.05));
        }
        let at = |level| -> Vec<_> {
            pairs.iter().map(|(a, b)| paired_difference(a, b, level).expect("the same typists")).collect()
        };
        let alone = at(Level::P95);
        errors.single += u64::from(alone.iter().any(|found| misses(found.interval())));
        errors.first += u64::from(misses(alone[0].interval()));
        errors.bonferroni += u64::from(at(adjusted).iter().any(|found| misses(found.interval())));
        let p = |found: &agogic_stats::Estimate| {
            found.value.zip(found.mcse).map_or(1.0, |(value, error)| t.two_sided(value / error))
        };
        let stepwise = holm(&alone.iter().map(p).collect::<Vec<f64>>()).expect("p-values");
        errors.holm += u64::from(stepwise.iter().any(|p| *p <= 0.05));
        // Correlation of the first two contrasts over typists.
        let parts = |which: usize| -> Vec<f64> {
            let rates = |set: &Clusters| -> Vec<f64> {
                set.numerators().iter().zip(set.denominators()).map(|(y, x)| y / x).collect()
            };
            rates(pairs[which].0).iter().zip(rates(pairs[which].1)).map(|(a, b)| a - b).collect()
        };
        if let Ok(r) = agogic_stats::pearson(&parts(0), &parts(1))
            && r.is_finite()
        {
            errors.correlation += r;
            errors.correlated += 1;
        }
    }
    errors
}

fn main() {
    let (replicates, threads) = size(REPLICATES);
    let cells = cells();
    let rows = each(cells.len(), threads, |index| run(index, cells[index], replicates));
    println!(
        "# Family-wise error where there is nothing to find\n\nMade by `cargo run --release -p agogic-stats --example \
         familywise`; do not edit by hand.\n\nEach of {} cells simulates {replicates} studies, seed {SEED}, ChaCha8. A \
         typist makes 200 to 400 decisions and errs with a probability of their own, beta-distributed with the rate as \
         its mean and an intracluster correlation of {CORRELATION}; each policy multiplies it by a factor of its own \
         for each typist, uniform on 1 ± own way (given for the reference and the others). So all policies have the same rate, and each claim is an error. \
         Figures are percent of studies with at least one error, with a Wilson 95 % interval, **bold** where it lies \
         above 5; of methods that keep exactly 5, chance makes one cell in forty bold. *Correlation* is that of two contrasts over typists. Max-t draws {RESAMPLES} times at least, and on until its critical value is precise; it gives no limits to a contrast in which fewer than {FEWEST_DIFFERING} typists differ, and *given* is the percent of studies in which it gives any, of which its errors are a share. Families whose policies do differ are in the lab's `COVERAGE.md`. The last \
         column is the error of one paired difference, whose coverage is 100 less that.\n",
        cells.len()
    );
    println!(
        "| contrasts | typists | rate | own way | correlation | given | max-t intervals | max-t p | Holm | \
         Bonferroni | each at 95 % | one difference |\n|--:|--:|--:|--:|--:|--:|---|---|---|---|---|---|"
    );
    for (cell, row) in cells.iter().zip(&rows) {
        let share = |errors: u64| error_share(errors, replicates);
        let joint = |errors: u64| if row.given == 0 { "–".to_owned() } else { error_share(errors, row.given) };
        println!(
            "| {} | {} | {} | {} | {:.2} | {:.0} | {} | {} | {} | {} | {} | {} |",
            cell.contrasts,
            cell.typists,
            cell.rate,
            cell.own_ways.map(|way| way.to_string()).join(", "),
            row.correlation / row.correlated.max(1) as f64,
            100.0 * row.given as f64 / replicates as f64,
            joint(row.max_t),
            joint(row.max_t_p),
            share(row.holm),
            share(row.bonferroni),
            share(row.single),
            share(row.first)
        );
    }
    println!("\n## In short\n\n| method | mean error | worst | cells above 5 % |\n|---|--:|--:|--:|");
    type Pick = fn(&Errors) -> u64;
    let methods: [(&str, Pick); 6] = [
        ("max-t intervals", |row| row.max_t),
        ("max-t p", |row| row.max_t_p),
        ("Holm", |row| row.holm),
        ("Bonferroni", |row| row.bonferroni),
        ("each at 95 %", |row| row.single),
        ("one paired difference", |row| row.first),
    ];
    for (name, pick) in methods {
        // Joint limits are judged where they are given, in a tenth of the studies or more.
        let of = |row: &&Errors| if name.starts_with("max-t") { row.given } else { replicates };
        let counted: Vec<&Errors> = rows.iter().filter(|row| 10 * of(row) >= replicates).collect();
        let shares: Vec<f64> = counted.iter().map(|row| 100.0 * pick(row) as f64 / of(row) as f64).collect();
        let above = counted.iter().filter(|row| error_share(pick(row), of(row)).starts_with("**")).count();
        let mean = shares.iter().sum::<f64>() / shares.len() as f64;
        let worst = shares.iter().copied().fold(0.0, f64::max);
        println!("| {name} | {mean:.1} % | {worst:.1} % | {above} of {} |", counted.len());
    }
}

//! How often nominal 95 % intervals for a rate over typists hold the truth.
//!
//! Prints a Markdown report. With no arguments it is the one in `COVERAGE.md`:
//!
//! ```text
//! cargo run --release -p agogic-stats --example coverage > crates/agogic-stats/COVERAGE.md
//! ```
//!
//! `coverage REPLICATES THREADS` changes the size and the speed. The numbers
//! depend on the seed and the number of replicates only: each replicate draws
//! from a stream of its own, numbered by cell and replicate.

use std::fmt::Write;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use agogic_stats::{
    BetaBinomial, Clusters, DfAdjustment, Interval, Level, Resamples, Trials, bootstrap_studentised, clopper_pearson,
    coverage, korn_graubard, ratio, ratio_jackknife, ratio_logit,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Beta, Binomial, Distribution};

const SEED: u64 = 20_260_101;
const REPLICATES: u64 = 5000;
const RESAMPLES: usize = 999;

const TYPISTS: [usize; 3] = [10, 30, 100];
const RATES: [f64; 3] = [0.2, 0.02, 0.002];
const CORRELATIONS: [f64; 3] = [0.01, 0.1, 0.3];

/// Fewest and most decisions of a typist; log-uniform in between.
const SIZES: (f64, f64) = (40.0, 800.0);

/// Coverage below which a method is said to fall short.
const SHORT: f64 = 0.925;

const METHODS: [&str; 7] =
    ["linearised t", "logit t", "Korn–Graubard", "percentile", "BCa", "studentised", "naive binomial"];

/// One kind of study.
#[derive(Debug, Clone, Copy)]
struct Cell {
    typists: usize,
    rate: f64,
    correlation: f64,
}

/// What one method did in one cell.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Tally {
    hits: u64,
    missing: u64,
    width: f64,
}

/// What all methods did in one cell.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Row {
    methods: [Tally; METHODS.len()],
    events: f64,
}

fn cells() -> Vec<Cell> {
    let mut cells = Vec::new();
    for typists in TYPISTS {
        for rate in RATES {
            cells.extend(CORRELATIONS.map(|correlation| Cell { typists, rate, correlation }));
        }
    }
    cells
}

/// Beta-binomial counts of one study.
fn study(cell: Cell, rng: &mut ChaCha8Rng) -> Clusters {
    let law = BetaBinomial::with_mean_and_icc(cell.rate, cell.correlation).expect("a rate and a correlation");
    let person = Beta::new(law.alpha(), law.beta()).expect("positive parameters");
    let (fewest, most) = (SIZES.0.ln(), SIZES.1.ln());
    let counts: Vec<(u64, u64)> = (0..cell.typists)
        .map(|_| {
            let decisions = rng.random_range(fewest..most).exp().round() as u64;
            let errors = Binomial::new(decisions, person.sample(rng)).expect("a probability").sample(rng);
            (errors, decisions)
        })
        .collect();
    Clusters::counts("typist", counts).expect("errors among decisions")
}

/// The interval of each method, in the order of [`METHODS`].
fn intervals(clusters: &Clusters, rng: &mut ChaCha8Rng) -> [Option<Interval>; METHODS.len()] {
    let level = Level::P95;
    let (typists, (errors, decisions)) = (clusters.len(), clusters.totals());
    let resamples = Resamples::draw(typists, RESAMPLES, rng, |p| clusters.ratio_of(p)).ok();
    let bca = resamples.as_ref().zip(ratio_jackknife(clusters));
    let studentised = bootstrap_studentised(typists, RESAMPLES, level, "typist", rng, |p| ratio_and_error(clusters, p));
    [
        ratio(clusters, level).interval(),
        ratio_logit(clusters, level).interval(),
        korn_graubard(clusters, DfAdjustment::Adjusted, level).interval(),
        resamples.as_ref().and_then(|r| r.percentile(level, "typist").interval()),
        bca.and_then(|(r, left_out)| r.bca(&left_out, level, "typist").interval()),
        studentised.ok().and_then(|estimate| estimate.interval()),
        Trials::new(errors as u64, decisions as u64).ok().map(|trials| clopper_pearson(trials, level)),
    ]
}

/// The ratio with its linearised error, within a resample.
fn ratio_and_error(clusters: &Clusters, positions: &[usize]) -> Option<(f64, f64)> {
    let ratio = clusters.ratio_of(positions)?;
    let (mut squares, mut total) = (0.0, 0.0);
    for &position in positions {
        let (y, x) = (clusters.numerators()[position], clusters.denominators()[position]);
        squares += (y - ratio * x) * (y - ratio * x);
        total += x;
    }
    let k = positions.len() as f64;
    Some((ratio, (k / (k - 1.0) * squares).sqrt() / total))
}

fn run_cell(index: usize, cell: Cell, replicates: u64) -> Row {
    let mut row = Row::default();
    for replicate in 0..replicates {
        let mut rng = ChaCha8Rng::seed_from_u64(SEED);
        rng.set_stream((index as u64) << 32 | replicate);
        let clusters = study(cell, &mut rng);
        row.events += clusters.totals().0;
        for (tally, interval) in row.methods.iter_mut().zip(intervals(&clusters, &mut rng)) {
            match interval {
                Some(interval) => {
                    tally.hits += u64::from(interval.contains(cell.rate));
                    tally.width += interval.width();
                }
                None => tally.missing += 1,
            }
        }
    }
    row.events /= replicates as f64;
    for tally in &mut row.methods {
        tally.width /= (replicates - tally.missing).max(1) as f64;
    }
    row
}

/// Runs every cell; threads take the next one that is free.
fn run(cells: &[Cell], replicates: u64, threads: usize) -> Vec<Row> {
    let rows = Mutex::new(vec![Row::default(); cells.len()]);
    let next = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..threads.max(1) {
            scope.spawn(|| {
                loop {
                    let index = next.fetch_add(1, Ordering::Relaxed);
                    let Some(&cell) = cells.get(index) else { break };
                    let row = run_cell(index, cell, replicates);
                    rows.lock().expect("no thread panicked")[index] = row;
                }
            });
        }
    });
    rows.into_inner().expect("no thread panicked")
}

fn rate_of(tally: Tally, replicates: u64) -> f64 {
    tally.hits as f64 / replicates as f64
}

/// The method that falls short in the fewest cells; the narrower one of equals.
fn best(rows: &[Row], replicates: u64) -> usize {
    let score = |method: usize| {
        let short = rows.iter().filter(|row| rate_of(row.methods[method], replicates) < SHORT).count();
        let width: f64 = rows.iter().map(|row| row.methods[method].width).sum();
        (short, width)
    };
    let mut order: Vec<usize> = (0..METHODS.len()).collect();
    order.sort_by(|&a, &b| {
        let (a, b) = (score(a), score(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    order[0]
}

fn report(cells: &[Cell], rows: &[Row], replicates: u64) -> Result<String, std::fmt::Error> {
    let mut out = String::new();
    let header = |out: &mut String| {
        writeln!(out, "| typists | rate | correlation | events | {} |", METHODS.join(" | "))?;
        writeln!(out, "|{}", "--:|".repeat(4 + METHODS.len()))
    };
    let percent = |share: f64| format!("{:.1}", 100.0 * share);
    writeln!(out, "# Coverage of nominal 95 % intervals for a rate over typists\n")?;
    writeln!(out, "Made by `cargo run --release -p agogic-stats --example coverage`; do not edit by hand.\n")?;
    writeln!(
        out,
        "Each cell simulates {replicates} studies, seed {SEED}, ChaCha8. A typist makes {} to {} decisions (log-uniform)\n\
         and errs with a probability of their own, beta-distributed with the rate as its mean and the\n\
         intracluster correlation given. Events are errors per study, on average. Bootstraps draw {RESAMPLES} resamples.\n\
         A study for which a method gives no interval counts as a miss.\n",
        SIZES.0, SIZES.1
    )?;
    writeln!(out, "## Share of intervals that hold the rate, in percent (Monte Carlo error)\n")?;
    header(&mut out)?;
    for (cell, row) in cells.iter().zip(rows) {
        write!(out, "| {} | {} | {} | {:.1} |", cell.typists, cell.rate, cell.correlation, row.events)?;
        for tally in row.methods {
            let share = coverage(Trials::new(tally.hits, replicates).expect("replicates"), Level::P95);
            let error = share.mcse.map_or("exact 0".to_owned(), percent);
            write!(out, " {} ({error}) |", percent(rate_of(tally, replicates)))?;
        }
        writeln!(out)?;
    }
    writeln!(out, "\n## Mean width of the intervals given, in percentage points\n")?;
    header(&mut out)?;
    for (cell, row) in cells.iter().zip(rows) {
        write!(out, "| {} | {} | {} | {:.1} |", cell.typists, cell.rate, cell.correlation, row.events)?;
        for tally in row.methods {
            write!(out, " {:.3} |", 100.0 * tally.width)?;
        }
        writeln!(out)?;
    }
    writeln!(out, "\n## Methods compared\n")?;
    writeln!(out, "| method | mean coverage | worst | cells below {} % | studies without interval |", 100.0 * SHORT)?;
    writeln!(out, "|---|--:|--:|--:|--:|")?;
    for (m, name) in METHODS.iter().enumerate() {
        let shares: Vec<f64> = rows.iter().map(|row| rate_of(row.methods[m], replicates)).collect();
        let mean = shares.iter().sum::<f64>() / shares.len() as f64;
        let worst = shares.iter().copied().fold(1.0, f64::min);
        let short = shares.iter().filter(|s| **s < SHORT).count();
        let missing: u64 = rows.iter().map(|row| row.methods[m].missing).sum();
        let missing = missing as f64 / (replicates * rows.len() as u64) as f64;
        let total = rows.len();
        writeln!(
            out,
            "| {name} | {} % | {} % | {short} of {total} | {} % |",
            percent(mean),
            percent(worst),
            percent(missing)
        )?;
    }
    let chosen = best(rows, replicates);
    writeln!(out, "\n## Default\n")?;
    writeln!(
        out,
        "**{}**: it falls below {} % in the fewest cells; among equals the narrower wins. It falls short here:\n",
        METHODS[chosen],
        100.0 * SHORT
    )?;
    for (cell, row) in cells.iter().zip(rows) {
        let share = rate_of(row.methods[chosen], replicates);
        if share < SHORT {
            writeln!(
                out,
                "- {} typists, rate {}, correlation {} ({:.1} events): {} %",
                cell.typists,
                cell.rate,
                cell.correlation,
                row.events,
                percent(share)
            )?;
        }
    }
    writeln!(
        out,
        "\nIn those cells most studies meet no typist, or one or two, of the few who make nearly all errors. No\n\
         interval made from such a study can know of the others. More typists help; more decisions do not."
    )?;
    Ok(out)
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let numbers: Result<Vec<u64>, _> = std::env::args().skip(1).map(|argument| argument.parse()).collect();
    let numbers = numbers.map_err(|_| "usage: coverage [REPLICATES] [THREADS], both whole numbers")?;
    let replicates = numbers.first().copied().unwrap_or(REPLICATES).max(1);
    let available = std::thread::available_parallelism().map_or(1, usize::from);
    let threads = numbers.get(1).map_or(available, |n| *n as usize);
    let cells = cells();
    let rows = run(&cells, replicates, threads);
    print!("{}", report(&cells, &rows, replicates)?);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_number_of_threads_changes_nothing() {
        let some: Vec<Cell> = cells().into_iter().step_by(9).collect();
        let one = run(&some, 20, 1);
        assert_eq!(one, run(&some, 20, 3));
        assert_eq!(report(&some, &one, 20), report(&some, &run(&some, 20, 2), 20));
    }

    #[test]
    fn the_error_within_a_resample_is_that_of_the_ratio() {
        let clusters = Clusters::counts("typist", [(1, 10), (4, 30), (0, 12), (7, 25)]).unwrap();
        let (value, error) = ratio_and_error(&clusters, &[0, 1, 2, 3]).unwrap();
        let known = ratio(&clusters, Level::P95);
        assert!((value - known.value.unwrap()).abs() < 1e-15 && (error - known.mcse.unwrap()).abs() < 1e-15);
    }

    #[test]
    fn there_are_enough_cells() {
        assert!(cells().len() >= 24);
    }
}

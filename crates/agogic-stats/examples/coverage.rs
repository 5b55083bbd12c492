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
    korn_graubard, mcse, ratio, ratio_jackknife, ratio_logit,
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

impl Cell {
    /// Events that would carry as much information if they were independent.
    ///
    /// Events over the design effect 1 + ρ(E m²/E m − 1), for log-uniform sizes.
    fn effective_events(self) -> f64 {
        let (fewest, most) = SIZES;
        let span = (most / fewest).ln();
        let mean = (most - fewest) / span;
        let squares = (most * most - fewest * fewest) / (2.0 * span);
        self.typists as f64 * mean * self.rate / (1.0 + self.correlation * (squares / mean - 1.0))
    }
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

/// By how much coverage lies below 95 %, on average over the cells.
fn shortfall(rows: &[Row], method: usize, replicates: u64) -> f64 {
    let short = rows.iter().map(|row| (0.95 - rate_of(row.methods[method], replicates)).max(0.0));
    short.sum::<f64>() / rows.len() as f64
}

fn report(cells: &[Cell], rows: &[Row], replicates: u64) -> Result<String, std::fmt::Error> {
    let mut out = String::new();
    let header = |out: &mut String| {
        writeln!(out, "| typists | rate | correlation | events | effective | {} |", METHODS.join(" | "))?;
        writeln!(out, "|{}", "--:|".repeat(5 + METHODS.len()))
    };
    let percent = |share: f64| format!("{:.1}", 100.0 * share);
    writeln!(out, "# Coverage of nominal 95 % intervals for a rate over typists\n")?;
    writeln!(out, "Made by `cargo run --release -p agogic-stats --example coverage`; do not edit by hand.\n")?;
    writeln!(
        out,
        "Each cell simulates {replicates} studies, seed {SEED}, ChaCha8. A typist makes {} to {} decisions (log-uniform)\n\
         and errs with a probability of their own, beta-distributed with the rate as its mean and the\n\
         intracluster correlation given. Events are errors per study, on average; effective events are events over\n\
         the design effect. Bootstraps draw {RESAMPLES} resamples.\n\
         A study for which a method gives no interval counts as a miss.\n",
        SIZES.0, SIZES.1
    )?;
    writeln!(out, "## Share of intervals that hold the rate, in percent (Monte Carlo error)\n")?;
    header(&mut out)?;
    for (cell, row) in cells.iter().zip(rows) {
        let Cell { typists, rate, correlation } = *cell;
        write!(out, "| {typists} | {rate} | {correlation} | {:.1} | {:.1} |", row.events, cell.effective_events())?;
        for tally in row.methods {
            let share = mcse::coverage(Trials::new(tally.hits, replicates).expect("replicates"), Level::P95);
            let error = share.mcse.map_or("exact 0".to_owned(), percent);
            write!(out, " {} ({error}) |", percent(rate_of(tally, replicates)))?;
        }
        writeln!(out)?;
    }
    writeln!(out, "\n## Mean width of the intervals given, in percentage points\n")?;
    header(&mut out)?;
    for (cell, row) in cells.iter().zip(rows) {
        let Cell { typists, rate, correlation } = *cell;
        write!(out, "| {typists} | {rate} | {correlation} | {:.1} | {:.1} |", row.events, cell.effective_events())?;
        for tally in row.methods {
            write!(out, " {:.3} |", 100.0 * tally.width)?;
        }
        writeln!(out)?;
    }
    writeln!(out, "\n## Methods compared\n")?;
    writeln!(
        out,
        "| method | mean coverage | worst | mean shortfall | cells below {} % | without interval |",
        100.0 * SHORT
    )?;
    writeln!(out, "|---|--:|--:|--:|--:|--:|")?;
    for (m, name) in METHODS.iter().enumerate() {
        let shares: Vec<f64> = rows.iter().map(|row| rate_of(row.methods[m], replicates)).collect();
        let mean = shares.iter().sum::<f64>() / shares.len() as f64;
        let worst = shares.iter().copied().fold(1.0, f64::min);
        let short = shares.iter().filter(|s| **s < SHORT).count();
        let missing: u64 = rows.iter().map(|row| row.methods[m].missing).sum();
        let missing = missing as f64 / (replicates * rows.len() as u64) as f64;
        let (total, lost) = (rows.len(), percent(shortfall(rows, m, replicates)));
        let (mean, worst, missing) = (percent(mean), percent(worst), percent(missing));
        writeln!(out, "| {name} | {mean} % | {worst} % | {lost} | {short} of {total} | {missing} % |")?;
    }
    default_method(&mut out, cells, rows, replicates)?;
    Ok(out)
}

fn default_method(out: &mut String, cells: &[Cell], rows: &[Row], replicates: u64) -> std::fmt::Result {
    let least = |a: &usize, b: &usize| shortfall(rows, *a, replicates).total_cmp(&shortfall(rows, *b, replicates));
    let chosen = (0..METHODS.len()).min_by(least).expect("a method");
    writeln!(out, "\n## Default\n")?;
    writeln!(
        out,
        "**{}** has the least mean shortfall, the average over cells of what coverage lacks to 95 %. Counting\n\
         cells alone would prefer a method that fails rarely but utterly. What decides is how many effective\n\
         events there are:\n",
        METHODS[chosen]
    )?;
    writeln!(out, "| effective events | cells | least coverage | greatest |\n|---|--:|--:|--:|")?;
    for (name, from, to) in
        [("below 1", 0.0, 1.0), ("1 to 5", 1.0, 5.0), ("5 to 20", 5.0, 20.0), ("20 or more", 20.0, f64::INFINITY)]
    {
        let within = cells.iter().zip(rows).filter(|(cell, _)| (from..to).contains(&cell.effective_events()));
        let shares: Vec<f64> = within.map(|(_, row)| rate_of(row.methods[chosen], replicates)).collect();
        let (lo, hi) = (shares.iter().copied().fold(1.0, f64::min), shares.iter().copied().fold(0.0, f64::max));
        writeln!(out, "| {name} | {} | {:.1} % | {:.1} % |", shares.len(), 100.0 * lo, 100.0 * hi)?;
    }
    writeln!(out, "\nIt falls short, below {} %, in these cells:\n", 100.0 * SHORT)?;
    for (cell, row) in cells.iter().zip(rows) {
        let share = rate_of(row.methods[chosen], replicates);
        if share < SHORT {
            let Cell { typists, rate, correlation } = *cell;
            let (events, share) = (cell.effective_events(), 100.0 * share);
            writeln!(
                out,
                "- {typists} typists, rate {rate}, correlation {correlation}: {share:.1} % ({events:.1} effective events)"
            )?;
        }
    }
    Ok(())
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

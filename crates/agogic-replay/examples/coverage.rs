//! How often the intervals about one participant hold what a very long log of the same person shows.
//!
//! `cargo run --release -p agogic-replay --example coverage` prints the table of this crate's `COVERAGE.md`.

use agogic_keys::{Assignment, Board, Modifier, Purpose, Rates, TextPlan, Unsupported, Workload, stream};
use agogic_log::{Intent, SessionLog};
use agogic_policy::Setting;
use agogic_replay::{Course, Estimand};
use agogic_stats::{
    Clusters, DfAdjustment, Estimate, Level, Trials, block_length, block_mean, clopper_pearson, korn_graubard,
};
use agogic_typist::{Performer, Population, SessionAddress, Typist};

const SEED: u64 = 20_261_101;
const PEOPLE: u64 = 60;
const LOGS: u64 = 8;
const LONG: usize = 400_000;
const SIZES: [usize; 3] = [1000, 4000, 16_000];
const METHODS: [&str; 3] = ["blocks, percentile", "blocks, Korn–Graubard", "presses as if independent"];

fn main() {
    let board = Board::row_staggered();
    let assignment = Assignment::resting(&board, [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift]);
    let text = include_str!("../../../data-synthetic/texts/tide-station.txt");
    let plan = TextPlan::new(text, &board, &assignment, Unsupported::Skip).expect("the text can be typed");
    let rates = Rates { shortcuts: 8.0, ..Rates::default() };
    let workload =
        Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).expect("the board has the keys");
    let performer = Performer::new(&board, &assignment);
    let settings = [
        Setting::rule("dwell-cutoff", &[]).expect("its values have defaults"),
        Setting::rule("enclosed", &[]).expect("its values have defaults"),
    ];
    let course = |typist: &Typist, replicate: u64, keys: usize| {
        let session = performer.perform(typist, &plan, &workload, SessionAddress { seed: SEED, replicate }, keys);
        let intents = session.presses.iter().zip(&session.truths).map(|(press, truth)| {
            assignment.modifier(press.code)?;
            Some(if truth.hold { Intent::Hold(None) } else { Intent::Tap })
        });
        let log = SessionLog {
            participant: "p".to_owned(),
            session: "1".to_owned(),
            part: 0,
            intents: intents.collect(),
            presses: session.presses,
            breaks: Vec::new(),
        };
        Course::of("p", &[&log], &board, &assignment, settings.iter())
    };
    let asked = [Estimand::FalseHolds, Estimand::MissedHolds, Estimand::WrongDecisions, Estimand::Delay];
    // Per size, policy and estimand: hits and misses below and above of each method, events, and lengths.
    let mut cells = vec![Cell::default(); SIZES.len() * settings.len() * asked.len()];
    for number in 0..PEOPLE {
        let typist = Typist::draw(&Population::volunteers(), SEED, number);
        let long = course(&typist, 1 << 20, LONG);
        for (size, keys) in SIZES.into_iter().enumerate() {
            for replicate in 0..LOGS {
                let short = course(&typist, replicate, keys);
                for policy in 0..settings.len() {
                    for (which, estimand) in asked.into_iter().enumerate() {
                        let at = (size * settings.len() + policy) * asked.len() + which;
                        let truth = mean(&estimand.series(&long, policy));
                        let series = estimand.series(&short, policy);
                        let address = (number * LOGS + replicate) * 1000 + at as u64;
                        cells[at].add(&series, truth, estimand.is_share(), address);
                    }
                }
            }
        }
    }
    println!("| presses in the log | rule | number | events | block | {} |", METHODS.join(" | "));
    println!("|--:|---|---|--:|--:|--:|--:|--:|");
    for (at, cell) in cells.iter().enumerate() {
        let (size, rest) = (at / (settings.len() * asked.len()), at % (settings.len() * asked.len()));
        let (policy, which) = (rest / asked.len(), rest % asked.len());
        let n = (PEOPLE * LOGS) as f64;
        let cells = |method: usize| {
            let (hits, given) = cell.hits[method];
            if given == 0 {
                return "–".to_owned();
            }
            let share = hits as f64 / given as f64;
            format!("{:.1} ({:.1})", 100.0 * share, 100.0 * (share * (1.0 - share) / given as f64).sqrt())
        };
        println!(
            "| {} | {} | {} | {:.1} | {:.1} | {} | {} | {} |",
            SIZES[size],
            settings[policy].label(),
            asked[which].name(),
            cell.events / n,
            cell.length / n,
            cells(0),
            cells(1),
            cells(2)
        );
    }
}

fn mean(series: &[f64]) -> f64 {
    series.iter().sum::<f64>() / series.len() as f64
}

#[derive(Clone, Default)]
struct Cell {
    /// Intervals that hold the truth, and intervals given.
    hits: [(u64, u64); 3],
    events: f64,
    length: f64,
}

impl Cell {
    fn add(&mut self, series: &[f64], truth: f64, share: bool, address: u64) {
        let level = Level::P95;
        let mut count = |method: usize, estimate: &Estimate| {
            if let (Some(lo), Some(hi)) = (estimate.lo, estimate.hi) {
                self.hits[method].1 += 1;
                self.hits[method].0 += u64::from((lo..=hi).contains(&truth));
            }
        };
        let mut rng = stream(SEED, Purpose::Resampling, address, 0);
        count(0, &block_mean(series, 1000, level, "press", &mut rng));
        let length = block_length(series).unwrap_or(1.0);
        if share && !series.is_empty() {
            let chunk = (length.ceil() as usize).max(series.len().div_ceil(50));
            let totals = series.chunks(chunk).map(|block| (block.iter().sum::<f64>(), block.len() as f64));
            let clusters = Clusters::proportion("block", totals).expect("flags are part of their number");
            count(1, &korn_graubard(&clusters, DfAdjustment::Adjusted, level));
            let events = series.iter().sum::<f64>() as u64;
            let exact = clopper_pearson(Trials::new(events, series.len() as u64).expect("part of the whole"), level);
            self.hits[2].1 += 1;
            self.hits[2].0 += u64::from(exact.contains(truth));
        }
        self.events += if share { series.iter().sum::<f64>() } else { series.len() as f64 };
        self.length += length;
    }
}

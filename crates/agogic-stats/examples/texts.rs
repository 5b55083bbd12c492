//! How often nominal 95 % intervals hold the rate over texts, when each typist types one of a few.
//!
//! Prints a Markdown report, the one in `TEXTS.md`:
//!
//! ```text
//! cargo run --release -p agogic-stats --example texts > crates/agogic-stats/TEXTS.md
//! ```
//!
//! `texts REPLICATES` changes the size.

use agogic_stats::{Clusters, Interval, Level, StudentT, ratio};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Poisson, StandardNormal};

const SEED: u64 = 20_260_402;
const REPLICATES: u64 = 4000;
const TYPISTS: usize = 300;

/// Texts of a study.
const TEXTS: [usize; 7] = [2, 3, 4, 5, 6, 8, 12];

/// Standard deviation of the logarithm of a text's rate. Between the six texts of the program that of wrong keys is about
/// 0.2 to 0.3.
const SPREADS: [f64; 4] = [0.0, 0.05, 0.25, 0.5];

/// Standard deviation of the logarithm of a typist's rate, and mean events of a typist.
const OF_TYPISTS: f64 = 0.8;
const EVENTS: f64 = 30.0;

fn main() {
    let replicates = std::env::args().nth(1).map_or(REPLICATES, |arg| arg.parse().expect("a number"));
    println!("# Intervals over texts\n");
    println!("Made by `cargo run --release -p agogic-stats --example texts`; do not edit by hand.\n");
    println!(
        "Each cell simulates {replicates} studies, seed {SEED}, ChaCha8. {TYPISTS} typists each type one text, drawn with \
         equal chances. A typist has Poisson events, {EVENTS} in the mean, by a rate that is a log-normal effect of the typist \
         (standard deviation {OF_TYPISTS} of the logarithm) times one of the text. The truth is the rate over all texts. \
         Over typists: the linearised t interval of `ratio` with typists as clusters, which is for these texts. Over texts: \
         the same with texts as clusters. Typists lie within texts, so that two-way clusters come to these (Cameron, \
         Gelbach & Miller 2011, equation 2.13, from memory). Monte Carlo error at most {:.1}.\n",
        50.0 / (replicates as f64).sqrt()
    );
    println!("| texts | spread of texts | over typists, holds | over texts, holds | width over texts / over typists |");
    println!("|--:|--:|--:|--:|--:|");
    for texts in TEXTS {
        for spread in SPREADS {
            let mut held = [0_u64; 2];
            let mut width = [0.0; 2];
            for study in 0..replicates {
                let mut rng = ChaCha8Rng::seed_from_u64(SEED);
                rng.set_stream(study + replicates * ((texts * 10) as u64 + (100.0 * spread) as u64 * 1000));
                for (k, interval) in one(texts, spread, &mut rng).into_iter().enumerate() {
                    // Without an interval, as of two texts with the same rate, a study misses.
                    held[k] += u64::from(interval.is_some_and(|interval| interval.contains(1.0)));
                    width[k] += interval.map_or(0.0, |interval| interval.width());
                }
            }
            let percent = held.map(|count| 100.0 * count as f64 / replicates as f64);
            println!("| {texts} | {spread} | {:.1} | {:.1} | {:.1} |", percent[0], percent[1], width[1] / width[0]);
        }
    }
    println!("\n## How wide\n");
    println!(
        "The t quantile of a study of so many texts over that of very many: what an interval pays for telling how texts \
         differ from few of them.\n"
    );
    println!("| texts | {} |", TEXTS.map(|texts| texts.to_string()).join(" | "));
    println!("|---|{}", "--:|".repeat(TEXTS.len()));
    let paid = TEXTS.map(|texts| {
        format!(
            "{:.1}",
            StudentT::new((texts - 1) as f64).expect("two texts or more").critical(Level::P95) / Level::P95.z()
        )
    });
    println!("| times as wide | {} |", paid.join(" | "));
}

/// The intervals of a study, over typists and over texts; `None` where there is none. The rate over all texts is 1.
fn one(texts: usize, spread: f64, rng: &mut ChaCha8Rng) -> [Option<Interval>; 2] {
    let effect = |spread: f64, rng: &mut ChaCha8Rng| {
        let z: f64 = StandardNormal.sample(rng);
        // A mean of 1 whatever the spread.
        (spread * z - 0.5 * spread * spread).exp()
    };
    let of_texts: Vec<f64> = (0..texts).map(|_| effect(spread, rng)).collect();
    let mut sums = vec![(0.0, 0.0); texts];
    let mut each = Vec::with_capacity(TYPISTS);
    for _ in 0..TYPISTS {
        let text = rng.random_range(0..texts);
        let mean = EVENTS * of_texts[text] * effect(OF_TYPISTS, rng);
        let events: f64 = Poisson::new(mean).expect("a positive mean").sample(rng);
        each.push((events, EVENTS));
        sums[text].0 += events;
        sums[text].1 += EVENTS;
    }
    [("typist", each), ("text", sums)].map(|(unit, pairs)| {
        let clusters = Clusters::ratio(unit, pairs).expect("counts");
        ratio(&clusters, Level::P95).interval()
    })
}

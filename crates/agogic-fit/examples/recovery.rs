//! Do fits recover the traits of synthetic people? Prints the table of `RECOVERY.md`, or writes it.
//!
//! `cargo run --release -p agogic-fit --example recovery -- --write`

#[path = "../tests/common/mod.rs"]
mod common;

use std::fmt::Write as _;

use agogic_fit::{Recovered, fit};
use agogic_typist::{Population, TRAITS, Trait};
use common::TypingTask;
use rayon::prelude::*;

const SEED: u64 = 20_261_125;
const LENGTHS: [usize; 3] = [500, 2000, 5000];

/// Of one typist and trait: error on the normal scale, posterior SD, and whether the likelihood's interval holds.
type Row = [(f64, f64, Option<(f64, bool)>); TRAITS.len()];

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let number = |flag: &str, or: u64| {
        let at = arguments.iter().position(|a| a == flag);
        at.map_or(or, |at| arguments[at + 1].parse().expect("a number"))
    };
    let people = number("--people", 500);
    let task = TypingTask::new(Population::volunteers());
    let (mut out, mut short, mut csv) = (String::new(), String::new(), "trait,presses,people,held\n".to_owned());
    for length in LENGTHS {
        let rows: Vec<Option<Row>> = (0..people).into_par_iter().map(|person| one(&task, person, length)).collect();
        let found: Vec<Row> = rows.into_iter().flatten().collect();
        let unfitted = people - found.len() as u64;
        if unfitted > 0 {
            writeln!(
                short,
                "- {unfitted} of {people} people at {length} presses could not be fitted: no maximum was found."
            )
            .expect("a string takes all that is written");
        }
        table(&mut out, &mut short, &mut csv, &found, length);
    }
    if short.is_empty() {
        short.push_str("No trait.\n");
    }
    let text = format!("{}\n{short}{out}", include_str!("recovery_head.md").replace("{people}", &people.to_string()));
    if arguments.iter().any(|a| a == "--write") {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/");
        std::fs::write(format!("{folder}RECOVERY.md"), text).expect("the folder can be written");
        std::fs::write(format!("{folder}data/recovery.csv"), csv).expect("the folder can be written");
    } else {
        print!("{text}");
    }
}

/// Why the intervals of a trait may fall short, where it is known.
fn reason(id: Trait) -> &'static str {
    match id {
        Trait::Slips | Trait::Detection => {
            "a log tells the product of both shares only, and the posterior along it is far from the normal one taken for it"
        }
        Trait::OneHand => {
            "few gestures tell it, and where the share is near its ends its posterior is far from the normal one taken for it"
        }
        Trait::Lull => "it rests on few holds, among them some after hesitations, which have long tails",
        Trait::IntervalSpread => {
            "corrections hide the length of the word, and with it a part of the median; what that adds counts as spread"
        }
        Trait::Repeat | Trait::SameFinger => "few presses tell it, and those that a busy finger delays are bounds only",
        Trait::Hesitation => "a hesitation is told from a long movement only by its length",
        Trait::Interval | Trait::WordStart | Trait::SameHand => {
            "neighbouring presses share a tempo, and a short log tells little of how far"
        }
        Trait::Dwell | Trait::DwellSpread => {
            "what a press waited for whose predecessor's finger left early is left out of the likelihood"
        }
        _ => "the reason was not found",
    }
}

fn one(task: &TypingTask, person: u64, length: usize) -> Option<Row> {
    let (typist, log) = task.log(SEED, person, length);
    let fit = fit(&[&log], &task.plan()).ok()?;
    Some(std::array::from_fn(|i| {
        let info = &TRAITS[i];
        let found = fit.of(info.id);
        let truth = info.scale.to_normal(typist.get(info.id));
        let alone = found.likeliest.value.zip(found.likeliest.se).map(|(value, se)| {
            let error = info.scale.to_normal(value) - truth;
            (error, error.abs() <= 1.959_964 * se)
        });
        (info.scale.to_normal(found.value) - truth, found.sd, alone)
    }))
}

fn table(out: &mut String, short: &mut String, csv: &mut String, rows: &[Row], length: usize) {
    let mut line = |text: String| writeln!(out, "{text}").expect("a string takes all that is written");
    line(format!("\n## {length} presses\n"));
    line("| trait | spread of people | bias | RMSE | mean posterior SD | coverage of 95 % | (exact interval) | RMSE of likelihood alone | its coverage | it exists for |".to_owned());
    line("|---|---|---|---|---|---|---|---|---|---|".to_owned());
    let population = Population::volunteers();
    let n = rows.len() as f64;
    for (i, info) in TRAITS.iter().enumerate().filter(|(_, info)| info.id != Trait::HoldingHand) {
        let own: Vec<_> = rows.iter().map(|row| row[i]).collect();
        let bias = own.iter().map(|r| r.0).sum::<f64>() / n;
        let rmse = (own.iter().map(|r| r.0 * r.0).sum::<f64>() / n).sqrt();
        let sd = own.iter().map(|r| r.1).sum::<f64>() / n;
        let hits = own.iter().filter(|r| r.0.abs() <= 1.959_964 * r.1).count() as u64;
        let trial = Recovered { presses: length as u64, people: rows.len() as u64, held: hits };
        let exact = trial.limits();
        writeln!(csv, "{},{length},{},{hits}", info.name, rows.len()).expect("a string takes all that is written");
        if trial.is_off() {
            writeln!(
                short,
                "- `{}` at {length} presses: {:.1} % ({:.1}–{:.1}); {}.",
                info.name,
                100.0 * trial.coverage(),
                100.0 * exact.lo,
                100.0 * exact.hi,
                reason(info.id)
            )
            .expect("a string takes all that is written");
        }
        let alone: Vec<(f64, bool)> = own.iter().filter_map(|r| r.2).collect();
        let m = alone.len() as f64;
        let (of_alone, covers) = if alone.is_empty() {
            ("–".to_owned(), "–".to_owned())
        } else {
            let rmse = (alone.iter().map(|r| r.0 * r.0).sum::<f64>() / m).sqrt();
            let hits = alone.iter().filter(|r| r.1).count() as f64;
            (format!("{rmse:.3}"), format!("{:.1} %", 100.0 * hits / m))
        };
        line(format!(
            "| {} | {:.3} | {bias:+.4} | {rmse:.4} | {sd:.4} | {:.1} % | {:.1}–{:.1} % | {of_alone} | {covers} | {:.0} % |",
            info.name,
            population.spread_of(info.id).spread,
            100.0 * hits as f64 / n,
            100.0 * exact.lo,
            100.0 * exact.hi,
            100.0 * m / n,
        ));
    }
}

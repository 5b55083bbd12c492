//! Do fits recover the traits of synthetic people? Prints the table of `RECOVERY.md`, or writes it.
//!
//! `cargo run --release -p agogic-fit --example recovery -- --write`

#[path = "../tests/common/mod.rs"]
mod common;

use std::fmt::Write as _;

use agogic_fit::fit;
use agogic_stats::{Level, Trials, clopper_pearson};
use agogic_typist::{Population, TRAITS, Trait};
use common::Scene;
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
    let scene = Scene::new(Population::volunteers());
    let mut out = String::new();
    for length in LENGTHS {
        let rows: Vec<Option<Row>> = (0..people).into_par_iter().map(|person| one(&scene, person, length)).collect();
        let rows: Vec<Row> = rows.into_iter().flatten().collect();
        table(&mut out, &rows, length);
    }
    if arguments.iter().any(|a| a == "--write") {
        let head = include_str!("recovery_head.md").replace("{people}", &people.to_string());
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/RECOVERY.md");
        std::fs::write(path, format!("{head}{out}")).expect("the folder can be written");
    } else {
        print!("{out}");
    }
}

fn one(scene: &Scene, person: u64, length: usize) -> Option<Row> {
    let (typist, log) = scene.log(SEED, person, length);
    let fit = fit(&[&log], &scene.plan()).inspect_err(|e| eprintln!("{person} {length} {e}")).ok()?;
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

fn table(out: &mut String, rows: &[Row], length: usize) {
    let level = Level::new(0.95).expect("a level");
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
        let exact = clopper_pearson(Trials::new(hits, rows.len() as u64).expect("hits"), level);
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

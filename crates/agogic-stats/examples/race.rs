//! Measures how often the claims of a choice err, and writes `RACE.md`.
//!
//! `cargo run --release -p agogic-stats --example race -- [REPETITIONS]` prints the table; with `--write` it goes into
//! the file.

#[path = "../tests/support/planted.rs"]
mod planted;

use std::fmt::Write;

use agogic_stats::{Level, Trials, clopper_pearson};
use planted::{Choice, PROBLEMS, choose};

fn main() -> std::io::Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let times = arguments.iter().find_map(|text| text.parse().ok()).unwrap_or(2000_u64);
    let mut text = String::from(HEAD);
    let _ = writeln!(
        text,
        "\n{times} repetitions of each problem; shares of repetitions in %, with exact 95 % intervals.\n"
    );
    let _ = writeln!(
        text,
        "| problem | best dropped | demands claimed in vain | differences missed | left out missed | advised the best | \
         advised nobody | loss of the advised over that of the best, mean | 95 % interval misses, fresh units | the same, \
         luckiest in the race |\n|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|"
    );
    for problem in &PROBLEMS {
        let all: Vec<Choice> = (0..times).map(|time| choose(problem, time)).collect();
        let share = |wrong: &dyn Fn(&Choice) -> bool| {
            let events = all.iter().filter(|choice| wrong(choice)).count() as u64;
            let trials = Trials::new(events, times).expect("no more events than trials");
            let limits = clopper_pearson(trials, Level::P95);
            format!("{:.1} ({:.1}–{:.1})", 100.0 * trials.proportion(), 100.0 * limits.lo, 100.0 * limits.hi)
        };
        let regrets: Vec<f64> = all.iter().filter_map(|choice| choice.regret).collect();
        let regret = if regrets.is_empty() {
            "–".to_owned()
        } else {
            format!("{:.3}", regrets.iter().sum::<f64>() / regrets.len() as f64)
        };
        let best = problem.best();
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | {} | {} | {} | {regret} | {} | {} |",
            problem.name,
            share(&|c| c.dropped_the_best),
            share(&|c| c.claimed_in_vain),
            share(&|c| c.gaps_missed),
            share(&|c| c.left_out_missed),
            share(&|c| c.advised == Some(best)),
            share(&|c| c.advised.is_none()),
            share(&|c| !c.loss_covered),
            share(&|c| !c.loss_covered_in_race),
        );
    }
    print!("{text}");
    if arguments.iter().any(|text| text == "--write") {
        std::fs::write(concat!(env!("CARGO_MANIFEST_DIR"), "/RACE.md"), &text)?;
    }
    Ok(())
}

const HEAD: &str = "\
# How often the claims of a choice err

Made by `cargo run --release -p agogic-stats --example race -- --write`. The problems are planted: the true loss of
every candidate and the share of the population it serves are known in closed form. Each of the four kinds of claims
of `race` may err in 1.25 % of repetitions, a quarter of 5 %. A choice asks for 90 % of units to be served.

`best at the limit`: less loss goes with fewer units served, so the best lies where the demand binds, and its
neighbours are nearly as good. `a clear best`: one of 20 has 0.4 of the loss of the others. `many alike`: 40 of the
same, so that whoever seems best is lucky. `nobody serves`: every candidate serves 90 % or a little less, so any
claim is in vain.
";

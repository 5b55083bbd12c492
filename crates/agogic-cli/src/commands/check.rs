//! `agogic check`: the typist model against published values.

use std::io::Write;
use std::process::ExitCode;

use agogic_literature::{CheckPlan, Comparison, Role, Tally, Verdict, check as check_all, distances};
use agogic_report::{Column, Sheet, literature_figure, people_figure, save_figure};
use agogic_study::built_in_text;
use serde_json::json;

use crate::args::Check;
use crate::failure::Failure;
use crate::screen::{screen, shown};

/// Compares every published value with the simulation. The exit code is 1 when a row misses.
pub fn check(args: &Check, as_json: bool) -> Result<ExitCode, Failure> {
    let text = built_in_text("tide-station").expect("the text comes with the program");
    let plan = CheckPlan { typists: args.typists, seed: args.seed, ..CheckPlan::new(text) };
    let comparisons = check_all(&plan)?;
    if let Some(path) = &args.figure {
        let figure = literature_figure(&comparisons, args.typists, args.seed)?;
        save_figure(&figure, path)?;
    }
    if let Some(path) = &args.people {
        let held_out = distances(&comparisons).into_iter().find(|distance| distance.role == Role::HeldOut);
        let part = held_out.expect("the program holds figures of held-out people").part;
        save_figure(&people_figure(&comparisons, &part, args.typists, args.seed)?, path)?;
    }
    let mut screen = screen();
    if as_json {
        let rows: Vec<_> = comparisons.iter().map(row_json).collect();
        serde_json::to_writer_pretty(&mut screen, &json!({ "typists": args.typists, "seed": args.seed, "rows": rows }))
            .map_err(std::io::Error::from)?;
        writeln!(screen)?;
    } else {
        print(&mut screen, args, &comparisons)?;
    }
    let missed = comparisons.iter().any(|c| c.verdict == Verdict::Misses && !c.row.is_of_people());
    Ok(if missed { ExitCode::from(1) } else { ExitCode::SUCCESS })
}

/// A comparison as `--json` shows it.
pub fn row_json(c: &Comparison) -> serde_json::Value {
    let reason = match &c.verdict {
        Verdict::NotModelled(reason) => Some(reason),
        _ => None,
    };
    json!({
        "id": c.row.id, "source": c.row.source, "definition": c.row.definition, "population": c.row.population,
        "published": c.row.value, "unit": c.row.unit, "n": c.row.n, "place": c.row.place,
        "role": role(c.row.role), "status": c.row.status.word(), "simulated": c.simulated, "simulated_mcse": c.mcse,
        "difference": c.difference, "difference_over_allowed": c.scaled, "verdict": c.verdict.word(), "reason": reason,
    })
}

fn role(role: Role) -> &'static str {
    match role {
        Role::Calibration => "calibration",
        Role::HeldOut => "held out",
    }
}

fn print(screen: &mut impl Write, args: &Check, comparisons: &[Comparison]) -> std::io::Result<()> {
    let mut columns = ["published value", "unit"].map(Column::words).to_vec();
    columns.extend(["published", "simulated", "mcse", "diff/allowed"].map(|title| Column::numbers(title, "")));
    columns.extend(["verdict", "role"].map(Column::words));
    let mut table = Sheet::new(columns);
    let number = |value: Option<f64>| value.map_or(String::new(), short);
    for c in comparisons.iter().filter(|c| !c.row.is_of_people()) {
        table.push([
            c.row.id.to_owned(),
            c.row.unit.to_owned(),
            short(c.row.value),
            number(c.simulated),
            number(c.mcse),
            c.scaled.map_or(String::new(), |s| format!("{s:.2}")),
            c.verdict.word().to_owned(),
            role(c.row.role).to_owned(),
        ]);
    }
    writeln!(screen, "{}\n", shown(&table))?;
    writeln!(
        screen,
        "{} simulated typists of each population, seed {}. A row agrees when |diff/allowed| is at most 1; for a row that \
         states only a sign, when the value lies more than 2 Monte Carlo standard errors (mcse) on the right side.",
        args.typists, args.seed
    )?;
    for (what, which) in [("Calibration", Role::Calibration), ("Held out", Role::HeldOut)] {
        let tally = Tally::of(comparisons, which);
        writeln!(
            screen,
            "{what}: {} of {} rows agree; {} more are not modelled.",
            tally.agree,
            tally.agree + tally.miss,
            tally.not_modelled
        )?;
    }
    writeln!(
        screen,
        "\nRates of rules on real people, whose figures the program holds (see experiments/real-people):\n"
    )?;
    for distance in distances(comparisons) {
        let role = if distance.role == Role::HeldOut { "held out" } else { "set the model" };
        writeln!(screen, "{} ({role}).", distance.words())?;
    }
    for (what, which) in [("calibration", Role::Calibration), ("held out", Role::HeldOut)] {
        let tally = Tally::of_people(comparisons, which);
        let compared = tally.agree + tally.miss;
        writeln!(screen, "Figures about people, {what}: {} of {compared} agree.", tally.agree)?;
    }
    writeln!(screen, "Each figure: crates/agogic-literature/PEOPLE.md.\n")?;
    writeln!(screen, "Each miss is explained in crates/agogic-literature/README.md.")
}

/// Four significant digits.
fn short(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let digits = (3 - value.abs().log10().floor() as i32).clamp(0, 6) as usize;
    format!("{value:.digits$}")
}

//! `agogic check`: the typist model against published values.

use std::io::Write;
use std::process::ExitCode;

use agogic_literature::{CheckPlan, Comparison, Distance, Role, Tally, Verdict, check as check_all, distances};
use agogic_report::{Column, Sheet, literature_figure, people_figure, save_figure};
use agogic_study::built_in_text;
use serde_json::json;

use crate::args::Check;
use crate::failure::Failure;
use crate::screen::{details, screen, shown};

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
    let distances = distances(comparisons);
    let setters = distances.iter().filter(|distance| distance.role == Role::Calibration);
    let set_the_model: Vec<String> = setters.map(|distance| format!("`{}`", distance.part)).collect();
    writeln!(
        screen,
        "Rates of rules on real people, whose figures the program holds, and of simulated people: by what factor they differ, \
         as the geometric mean over 12 settings and at worst. There a press of Shift stands for a hold. Only {} set the model.\n\n{}\n",
        set_the_model.join(" and "),
        shown(&people(&distances))
    )?;
    if details() {
        for distance in &distances {
            writeln!(screen, "{}: {}.\n", distance.words(), role_of_part(distance.role))?;
        }
    }
    for (what, which) in [("calibration", Role::Calibration), ("held out", Role::HeldOut)] {
        let tally = Tally::of_people(comparisons, which);
        let compared = tally.agree + tally.miss;
        writeln!(screen, "Figures about people, {what}: {} of {compared} agree.", tally.agree)?;
    }
    for (what, which) in [("calibration", Role::Calibration), ("held out", Role::HeldOut)] {
        let tally = Tally::of(comparisons, which);
        writeln!(
            screen,
            "Published values, {what}: {} of {} agree; {} more are not modelled.",
            tally.agree,
            tally.agree + tally.miss,
            tally.not_modelled
        )?;
    }
    let (said, rows) = match details() {
        true => ("All published values:", published(comparisons, |_| true)),
        false => ("Those that miss:", published(comparisons, |c| c.verdict == Verdict::Misses)),
    };
    writeln!(screen, "\n{said}\n\n{}\n", shown(&rows))?;
    writeln!(
        screen,
        "{} simulated typists of each population, seed {}. A row agrees when |diff/allowed| is at most 1; for a row that \
         states only a sign, when the value lies more than 2 Monte Carlo standard errors (mcse) on the right side. Each miss is \
         explained in crates/agogic-literature/README.md, each figure of people stands in crates/agogic-literature/PEOPLE.md.",
        args.typists, args.seed
    )?;
    if !details() {
        writeln!(screen, "`-v` tells every published value.")?;
    }
    Ok(())
}

fn role_of_part(role: Role) -> &'static str {
    if role == Role::HeldOut { "held out" } else { "set the model" }
}

/// How far rates are off, by data set and third of its people.
fn people(distances: &[Distance]) -> Sheet {
    let mut columns = ["data set", "people"].map(Column::words).to_vec();
    columns.extend(["false holds", "missed holds"].map(|title| Column::numbers(title, "factor (worst)")));
    let mut table = Sheet::new(columns);
    for distance in distances {
        let [slow, middle, fast] = distance.thirds;
        let thirds = [("slow third", slow), ("middle third", middle), ("fast third", fast)];
        let mut of = distance.part.clone();
        for (who, factors) in std::iter::once(("all", distance.factors)).chain(thirds) {
            let words = [std::mem::take(&mut of), who.to_owned()];
            table.push(words.into_iter().chain(factors.map(|(mean, worst)| format!("{mean:.2} ({worst:.2})"))));
        }
    }
    table
}

/// Published values beside the simulation.
fn published(comparisons: &[Comparison], wanted: impl Fn(&Comparison) -> bool) -> Sheet {
    let mut columns = ["published value", "unit"].map(Column::words).to_vec();
    columns.extend(["published", "simulated", "mcse", "diff/allowed"].map(|title| Column::numbers(title, "")));
    columns.extend(["verdict", "role"].map(Column::words));
    let mut table = Sheet::new(columns);
    let number = |value: Option<f64>| value.map_or(String::new(), short);
    for c in comparisons.iter().filter(|c| !c.row.is_of_people() && wanted(c)) {
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
    table
}

/// Four significant digits.
fn short(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let digits = (3 - value.abs().log10().floor() as i32).clamp(0, 6) as usize;
    format!("{value:.digits$}")
}

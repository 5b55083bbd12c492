//! `agogic fit`: how a person types, from a log.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use agogic_fit::{Fit as Found, FitPlan, TraitFit, fit as fit_person};
use agogic_keys::{Assignment, Board};
use agogic_log::{Log, PersonSummary, SessionLog};
use agogic_report::{Column, ReportError, Sheet, fit_page};
use agogic_sim::disk::write_file;
use agogic_stats::Level;
use agogic_study::population_of;
use agogic_typist::TRAITS;
use serde_json::json;

use super::{left_out, log, study};
use crate::args::Fit;
use crate::failure::Failure;
use crate::screen::{screen, shown, shown_broken};

/// Fits the traits of one person.
pub fn fit(args: &Fit, as_json: bool) -> Result<ExitCode, Failure> {
    let log = log(&args.log)?;
    let (participant, sessions) = person(&log, &args.log.log, args.participant.as_deref())?;
    let population = population_of(&args.population).map_err(Failure::Population)?;
    let study = args.spec.is_some().then(|| study(args.spec.as_ref())).transpose()?;
    let (board, assignment) = match study.as_ref().and_then(|study| study.arms.first()) {
        Some(arm) => (arm.board.clone(), arm.assignment.clone()),
        None => (Board::row_staggered(), Assignment::none()),
    };
    let level = level(args.level)?;
    let plan = FitPlan {
        population: &population,
        board: &board,
        assignment: &assignment,
        level,
        seed: args.seed,
        redraws: args.redraws,
    };
    let found = fit_person(&sessions, &plan)?;
    if let Some(path) = &args.write {
        write_person(&found, participant, path)?;
    }
    let note = left_out(&log);
    if let Some(path) = &args.page {
        let notes: Vec<String> =
            said(&found).into_iter().chain(note.as_ref().map(|note| format!("Note: {note}."))).collect();
        write_file(path, fit_page(&found, participant, &notes).map_err(ReportError::from)?.as_bytes())?;
    }
    let mut screen = screen();
    if as_json {
        let all = json!({ "log": args.log.log, "participant": participant, "fit": found, "note": note });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    let seen = &found.evidence;
    writeln!(
        screen,
        "`{participant}`, as one of `{}`: {} presses, {} intervals, {} dwells, {} hold gestures, {} corrections.\n",
        found.population, seen.presses, seen.intervals, seen.dwells, seen.gestures, seen.corrections
    )?;
    writeln!(screen, "{}\n", traits(&found))?;
    writeln!(
        screen,
        "Intervals: {} %, {}; unit: {}.\nShare of log: how much of the spread between people the log has done away \
         with; the rest of the estimate is the population's.\nNumbers are medians over what the trait names; SDs and \
         the estimates without the population are in --json.\n",
        found.level * 100.0,
        found.method,
        found.unit
    )?;
    let all = PersonSummary::of(participant, &sessions, level).interval_ms.median();
    if let Some((all, own)) = all.zip(found.traits.iter().find(|row| row.name == TRAITS[0].name)) {
        writeln!(
            screen,
            "interval_ms, {} ms, is of presses inside a word by the other hand without hesitation; what these add has traits of \
             its own. The median of all intervals, as `agogic inspect` tells it, is {} ms.\n",
            number(own.value),
            number(all)
        )?;
    }
    writeln!(screen, "{}", laws(&found))?;
    for line in said(&found) {
        writeln!(screen, "\n{line}")?;
    }
    if let Some(note) = note {
        writeln!(screen, "\nNote: {note}.")?;
    }
    if let Some(path) = &args.page {
        writeln!(screen, "\nPage: {}", path.display())?;
    }
    if let Some(path) = &args.write {
        writeln!(screen, "\nWritten: {}; name it in a study with [typists] populations = [\"…\"].", path.display())?;
    }
    Ok(ExitCode::SUCCESS)
}

/// A level of intervals.
pub(super) fn level(given: f64) -> Result<Level, Failure> {
    Level::new(given).map_err(|_| Failure::Argument {
        argument: "--level",
        must: "between 0.5 and 1, such as 0.95",
        value: given.to_string(),
    })
}

/// The sessions of the participant that is asked for, or of the only one.
pub(super) fn person<'l>(
    log: &'l Log,
    path: &Path,
    wanted: Option<&str>,
) -> Result<(&'l str, Vec<&'l SessionLog>), Failure> {
    let mut people = log.by_participant();
    let known = || -> String {
        let names: Vec<String> = people.iter().take(12).map(|(name, _)| format!("`{name}`")).collect();
        format!("{}{}", names.join(", "), if people.len() > 12 { ", …" } else { "" })
    };
    let place = match wanted {
        Some(wanted) => people.iter().position(|(name, _)| *name == wanted).ok_or_else(|| Failure::Name {
            what: "participant in the log",
            name: wanted.to_owned(),
            known: known(),
        })?,
        None if people.len() > 1 => return Err(Failure::Several { path: path.to_owned(), known: known() }),
        None => 0,
    };
    if people.is_empty() {
        return Err(Failure::Nothing {
            path: path.to_owned(),
            lacks: "no press",
            mend: "`agogic inspect` says what became of its rows",
        });
    }
    Ok(people.swap_remove(place))
}

fn write_person(found: &Found, participant: &str, path: &Path) -> Result<(), Failure> {
    let plain = |c: char| if c.is_ascii_lowercase() || c.is_ascii_digit() { c } else { '-' };
    let name: String = participant.to_lowercase().chars().map(plain).take(48).collect();
    let name = format!("person-{name}");
    let about = "one person fitted to a log; the spread is what the log leaves unknown";
    let person = found.as_population(&name, about).map_err(|refused| Failure::Population(refused.to_string()))?;
    std::fs::write(path, person.to_toml(&name)).map_err(Failure::Print)
}

/// A number with as many digits as it deserves.
fn number(value: f64) -> String {
    let digits = match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 10.0 => 1,
        v if v >= 1.0 => 2,
        _ => 3,
    };
    format!("{value:.digits$}")
}

fn traits(found: &Found) -> String {
    let mut table = Sheet::new(vec![
        Column::words("trait"),
        Column::words("unit"),
        Column::numbers("estimate", ""),
        Column::numbers("interval", ""),
        Column::numbers("log alone", ""),
        Column::numbers("population", ""),
        Column::numbers("share", "of log"),
        Column::numbers("seen", ""),
        Column::numbers("presses", "to halve"),
        Column::words("note"),
    ]);
    for row in &found.traits {
        let TraitFit { name, unit, value, lo, hi, population_median, weight, observations, .. } = row;
        table.push([
            (*name).to_owned(),
            (*unit).to_owned(),
            number(*value),
            format!("{} to {}", number(*lo), number(*hi)),
            row.likeliest.value.map_or_else(|| "–".to_owned(), number),
            number(*population_median),
            format!("{:.0} %", weight * 100.0),
            observations.to_string(),
            match row.more.presses_to_halve {
                Some(more) if *observations > 0 => format!("+{more}"),
                _ => "–".to_owned(),
            },
            row.note.clone().unwrap_or_default(),
        ]);
    }
    shown_broken(&table, 160)
}

fn laws(found: &Found) -> String {
    let titles = ["law of", "seen", "distance", "usual at most", "p", "note"];
    let mut table = Sheet::new(titles.map(Column::words).into());
    for row in &found.goodness {
        let share = |value: Option<f64>| value.map_or_else(|| "–".to_owned(), |v| format!("{:.1} %", v * 100.0));
        table.push([
            row.law.to_owned(),
            row.n.to_string(),
            share(row.distance),
            share(row.usual_distance),
            row.p_value.map_or_else(|| "–".to_owned(), |p| format!("{p:.2}")),
            row.reason.clone().unwrap_or_default(),
        ]);
    }
    format!(
        "{}\nDistance: the largest gap between the log and the law fitted to it, in shares (Kolmogorov–Smirnov). p is \
         over times drawn anew from the fitted law\nand fitted again. A long log of a real person departs from any \
         law: look at the size of the gap.",
        shown(&table)
    )
}

/// What to make of it, in sentences.
fn said(found: &Found) -> Vec<String> {
    let mut lines = Vec::new();
    let short: Vec<&TraitFit> = found.traits.iter().filter(|row| row.too_short && row.observations > 0).collect();
    if !short.is_empty() {
        let names: Vec<&str> = short.iter().map(|row| row.name).collect();
        let most = short.iter().filter_map(|row| row.more.presses_to_halve).min();
        let more = most.map_or(String::new(), |n| {
            format!(" {n} presses more of the same kind would halve the first of these uncertainties.")
        });
        lines.push(format!(
            "The log is too short for {}: the SD left is more than half of that between people.{more}",
            names.join(", ")
        ));
    }
    for row in &found.traits {
        if let Some(caution) = &row.caution {
            lines.push(format!("Caution, {}: {caution}.", row.name));
        }
    }
    let silent: Vec<&str> = found
        .traits
        .iter()
        .filter(|row| row.observations == 0 && row.population_spread > 0.0)
        .map(|row| row.name)
        .collect();
    if !silent.is_empty() {
        lines.push(format!(
            "The log says nothing of {}: there the population stands in. `agogic record` makes a page that asks for \
             holds.",
            silent.join(", ")
        ));
    }
    lines
}

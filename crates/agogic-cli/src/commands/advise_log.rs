//! `agogic advise --log`: values for one person.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use agogic_fit::{FitPlan, fit};
use agogic_lab::{FamilyAdvice, PersonalAdvice, PersonalQuestion, PersonalVerdict, common_losses, personal_advice};
use agogic_report::{Column, Sheet, Style};
use agogic_study::EstimandInfo;
use serde_json::json;

use super::fit::person;
use super::{arm, layout, left_out, study};
use crate::args::{Advise, PersonalObjective};
use crate::failure::Failure;
use crate::progress;

/// Presses of each drawn typist: once through the text, but not more than the most.
const LEAST_KEYS: usize = 2000;
const MOST_KEYS: usize = 8000;

/// People whose best common setting is the default.
const COMMON_PEOPLE: u64 = 200;

/// Fits the person of a log and chooses values for them.
pub fn advise_log(args: &Advise, path: &Path, as_json: bool) -> Result<ExitCode, Failure> {
    let log = agogic_files::read_log(path, &layout(&args.layout)?)?;
    let (participant, sessions) = person(&log, path, args.participant.as_deref())?;
    let (name, usual) = match args.objective {
        PersonalObjective::WrongKeys => ("wrong_keys", 2.0),
        PersonalObjective::Harm => ("harm", 5.0),
        PersonalObjective::FalseHolds => ("false_holds", 1.0),
    };
    let least_gain = args.least_gain.unwrap_or(usual);
    if !(least_gain >= 0.0 && least_gain.is_finite()) {
        let value = least_gain.to_string();
        return Err(Failure::Argument { argument: "--least-gain", must: "zero or above", value });
    }
    let study = study(args.spec.as_ref())?;
    let arm = arm(&study, args.arm.as_deref())?;
    let level = study.inference.level;
    let fitted = fit(
        &sessions,
        &FitPlan {
            population: &arm.population,
            board: &arm.board,
            assignment: &arm.assignment,
            level,
            seed: study.seed,
            redraws: 0,
        },
    )?;
    let someone = fitted
        .as_population("the-person", "one person fitted to a log")
        .map_err(|refused| Failure::Population(refused.to_string()))?;
    let question = PersonalQuestion {
        arm,
        costs: &study.costs,
        objective: EstimandInfo::by_name(name).expect("names of our own table"),
        least_gain,
        level,
        seed: study.seed,
        keys: arm.plan.steps().len().clamp(LEAST_KEYS, MOST_KEYS),
        common_people: COMMON_PEOPLE,
        search_draws: args.draws,
        confirm_draws: 2 * args.draws,
    };
    let spinner = progress::spinner("steps");
    let common = common_losses(&question);
    spinner.inc(1);
    let advice = personal_advice(&question, &common, &someone, &sessions);
    spinner.finish_and_clear();
    let mut screen = std::io::stdout().lock();
    if as_json {
        let all = json!({ "log": path, "participant": participant, "study": study.name, "arm": arm.label, "advice": advice,
            "fit": fitted, "note": left_out(&log) });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    writeln!(screen, "{}\n", advice.sentence)?;
    writeln!(
        screen,
        "`{participant}`, {} presses, as one of `{}`; {} per rule:\n",
        fitted.evidence.presses, advice.population, advice.unit
    )?;
    writeln!(screen, "{}\n", table(&advice))?;
    writeln!(
        screen,
        "Gain: {} % interval over {} draws of what the log leaves unknown, none of which chose a value. Less than {} is not worth a change.",
        level.confidence() * 100.0,
        advice.overall.gain.n,
        advice.least_gain
    )?;
    writeln!(
        screen,
        "As good: from the lowest to the highest value that costs less than {} more. A lull of 0 ms is no guard.",
        advice.least_gain
    )?;
    let short: Vec<&str> = fitted.traits.iter().filter(|row| row.too_short).map(|row| row.name).collect();
    if !short.is_empty() {
        writeln!(
            screen,
            "The log tells little of {}: there the draws are people of `{}`.",
            short.join(", "),
            advice.population
        )?;
    }
    if advice.known_presses == 0 {
        writeln!(
            screen,
            "The log states of no dual-role press what it was meant as: the advice rests on the fitted model alone."
        )?;
    } else {
        writeln!(
            screen,
            "The log states of {} dual-role presses what they were meant as; `on the log` counts wrong decisions there, default and personal. Values were chosen with a look at them.",
            advice.known_presses
        )?;
    }
    writeln!(
        screen,
        "Hold gestures on dual-role keys change with practice, which no log of today shows. Pain that stays is a matter for a clinician."
    )?;
    if let Some(note) = left_out(&log) {
        writeln!(screen, "Note: {note}.")?;
    }
    Ok(ExitCode::SUCCESS)
}

fn table(advice: &PersonalAdvice) -> String {
    let mut table = Sheet::new(vec![
        Column::words("rule"),
        Column::words("default"),
        Column::numbers("costs", ""),
        Column::words("personal"),
        Column::numbers("costs", ""),
        Column::numbers("gain", ""),
        Column::words("as good"),
        Column::numbers("on the log", ""),
        Column::words("change?"),
    ]);
    for row in advice.rules.iter().chain([&advice.overall]) {
        table.push(cells(row));
    }
    table.text(Style::Screen)
}

fn cells(row: &FamilyAdvice) -> [String; 9] {
    let cost = |loss: Option<f64>| loss.map_or_else(|| "unknown".to_owned(), |loss| format!("{loss:.1}"));
    let ranges: Vec<String> =
        row.values.iter().map(|v| format!("{} {} to {}", v.name, v.as_good.0, v.as_good.1)).collect();
    let [default, personal] = row.on_log;
    let on_log = match default.known() {
        0 => "unknown".to_owned(),
        known => format!("{} and {} of {known}", default.wrong(), personal.wrong()),
    };
    let change = match row.verdict {
        PersonalVerdict::Change => "yes",
        PersonalVerdict::Stay => "no",
        PersonalVerdict::StayUnsure => "not on what is known",
    };
    [
        row.rule.to_owned(),
        row.default.clone(),
        cost(row.default_loss),
        row.personal.clone(),
        cost(row.personal_loss),
        row.gain.text(1),
        ranges.join(", "),
        on_log,
        change.to_owned(),
    ]
}

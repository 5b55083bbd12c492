//! `agogic replay --against`: a log held against simulated groups.

use std::io::Write;
use std::process::ExitCode;

use agogic_files::session_log;
use agogic_log::Log;
use agogic_policy::Setting;
use agogic_replay::{PredictedRow, PredictiveCheck, ReplayPlan, predictive_check};
use agogic_report::{Cell, Column, Sheet, Width, predictive_figure, save_figure};
use agogic_study::{Arm, Study};
use serde_json::json;

use crate::args::Replay;
use crate::failure::Failure;
use crate::screen::{screen, shown};

/// Says whether the log looks as groups of simulated people would.
pub fn against(
    args: &Replay,
    log: &Log,
    settings: &[(String, Setting)],
    (study, arm, plan): (&Study, &Arm, &ReplayPlan<'_>),
    groups: u64,
    as_json: bool,
) -> Result<ExitCode, Failure> {
    let people = log.by_participant().len();
    let presses: usize = log.sessions.iter().map(|session| session.presses.len()).sum();
    if presses == 0 {
        return Err(Failure::Nothing {
            path: args.log.log.clone(),
            lacks: "no press",
            mend: "look at its defects with `agogic inspect`",
        });
    }
    // Each simulated person presses as many keys as those of the log do on average.
    let arm = Arm { keys: presses.div_ceil(people.max(1)), ..arm.clone() };
    let found =
        predictive_check(&log.sessions, settings, plan, groups, |number| session_log(study, &arm, number, 0, true));
    if let Some(path) = &args.figure {
        save_figure(&predictive_figure(&found, Width::TwoColumn)?, path)?;
    }
    let mut screen = screen();
    if as_json {
        let all = json!({ "log": args.log.log, "arm": arm.label, "check": found, "sentence": found.sentence() });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    writeln!(screen, "{}\n\n{}\n", found.sentence(), shown(&table(&found)))?;
    writeln!(
        screen,
        "People of `{}` type the text of the study, a log its own; and who never had keys with two roles holds otherwise. Such a \
         check says where log and model part, not why.",
        arm.population.name()
    )?;
    if let Some(path) = &args.figure {
        writeln!(screen, "\nFigure: {}", path.display())?;
    }
    Ok(ExitCode::SUCCESS)
}

fn table(found: &PredictiveCheck) -> Sheet {
    let mut table = Sheet::new(vec![
        Column::words("of"),
        Column::words("what"),
        Column::words("unit"),
        Column::numbers("log", ""),
        Column::numbers("groups", ""),
        Column::words("inside"),
    ]);
    for row in &found.rows {
        table.push(cells(row));
    }
    table
}

fn cells(row: &PredictedRow) -> Vec<Cell> {
    let (of, what) = match row.estimand {
        Some(estimand) => (row.name.clone(), estimand.name().replace(['_', '-'], " ")),
        None => ("people".to_owned(), row.name.clone()),
    };
    let digits = if row.unit == "share of presses" { 3 } else { 1 };
    let number = |value: f64| agogic_stats::fixed(value, digits);
    vec![
        Cell::Words(of),
        Cell::Words(what),
        Cell::Words(row.unit.split(" of dual-role").next().unwrap_or(row.unit).to_owned()),
        row.observed.map_or(Cell::Words("unknown".into()), |value| Cell::Number(value, digits)),
        row.limits.map_or(Cell::Nothing, |[lo, hi]| Cell::Words(format!("{} to {}", number(lo), number(hi)))),
        Cell::Words(match row.is_inside() {
            Some(true) => "yes".to_owned(),
            Some(false) => "no".to_owned(),
            None => row.reason.clone().unwrap_or_default(),
        }),
    ]
}

//! `agogic calibrate`: the values of the population `volunteers`, from published rows.

use std::io::Write;
use std::process::ExitCode;

use agogic_literature::{CalibrationPlan, Progress, calibrate as fit, calibration_markdown};
use agogic_study::built_in_text;

use crate::args::Calibrate;
use crate::failure::Failure;
use crate::progress;
use crate::screen::screen;

/// Fits the population to the rows with role `calibration` and prints what came of it.
pub fn calibrate(args: &Calibrate, as_json: bool) -> Result<ExitCode, Failure> {
    let text = built_in_text("tide-station").expect("the text comes with the program");
    let mut plan = CalibrationPlan::volunteers(text);
    if let Some(typists) = args.typists {
        plan.simulation.typists = typists;
    }
    if let Some(seed) = args.seed {
        plan.simulation.seed = seed;
    }
    let bar = progress::spinner("simulations");
    let found = fit(&plan, &|Progress { evaluations, objective }| {
        bar.set_position(evaluations as u64);
        bar.set_message(format!("objective {objective:.1}"));
    })?;
    bar.finish_and_clear();
    let mut screen = screen();
    if as_json {
        serde_json::to_writer_pretty(&mut screen, &found).map_err(std::io::Error::from)?;
        writeln!(screen)?;
    } else {
        writeln!(screen, "{}", calibration_markdown(&found))?;
    }
    Ok(ExitCode::SUCCESS)
}

//! `agogic sensitivity`: which values and traits an outcome hangs on.

use std::io::Write;
use std::process::ExitCode;

use agogic_lab::{SENSITIVITY_NOTE, sensitivity as run_sensitivity};
use agogic_report::{PAGE, index_table, sensitivity_folder};
use agogic_sim::Engine;
use serde_json::json;

use super::place::Place;
use super::run::{Timer, absolute};
use super::study;
use crate::args::Sensitivity;
use crate::failure::Failure;
use crate::progress;
use crate::screen::{screen, shown};

/// Runs the sensitivity analysis of a study, writes its folder and prints its indices.
pub fn sensitivity(args: &Sensitivity, as_json: bool) -> Result<ExitCode, Failure> {
    let study = study(Some(&args.spec))?;
    let lacks = || Failure::Lacks {
        table: "sensitivity",
        example: "[sensitivity] with rule, over = { lull_ms = { from = 0, to = 200 } } and traits = { dwell_ms = { from = \
                  80, to = 130 } }",
    };
    let plan = study.sensitivity.as_ref().ok_or_else(lacks)?;
    let Place { out, claim, store } = Place::take(&study, args.out.as_ref(), "-sensitivity", args.force)?;
    let timer = Timer::start();
    let bar = progress::bar(plan.runs() * study.arms.len() as u64, "points");
    let result = run_sensitivity(&Engine::new(&study)?, Some(&store), &|done| bar.inc(done)).ok_or_else(lacks)?;
    bar.finish_and_clear();
    let info = timer.info();
    let seconds = info.seconds;
    sensitivity_folder(&study, &result)?.write(info, &out)?;
    claim.settle()?;
    let mut screen = screen();
    if as_json {
        let all = json!({ "study": study.name, "folder": out, "indices": result.indices, "note": SENSITIVITY_NOTE });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    for arm in &study.arms {
        let base = plan.rule.blank().map(|setting| setting.label()).unwrap_or_default();
        writeln!(
            screen,
            "{}: {base}, {} rows of {} points with {} typists each\n{}\n",
            arm.label,
            plan.rows,
            plan.inputs() + 2,
            plan.typists,
            shown(&index_table(&result.indices, &arm.label))
        )?;
    }
    let percent = study.inference.level.confidence() * 100.0;
    writeln!(screen, "{SENSITIVITY_NOTE}. Intervals: {percent} %, bootstrap over rows of the design.")?;
    writeln!(screen, "\n{seconds:.1} s. All points: {}\nPage: {}", absolute(&out), absolute(&out.join(PAGE)))?;
    Ok(ExitCode::SUCCESS)
}

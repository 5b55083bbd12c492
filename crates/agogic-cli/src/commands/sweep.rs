//! `agogic sweep`: rules over whole ranges of their values, and the front they make.

use std::io::Write;
use std::process::ExitCode;

use agogic_lab::{Front, SweepResult, SweepRow, run_sweep};
use agogic_report::{Column, PAGE, Sheet, front_sentences, front_verdict, sweep_folder};
use agogic_sim::Engine;
use agogic_study::{GOALS, Study};
use serde_json::json;

use super::place::Place;
use super::run::{Timer, absolute, steps};
use super::study;
use crate::args::Sweep;
use crate::failure::Failure;
use crate::progress;
use crate::screen::{screen, shown};

/// Settings of a sweep that are shown on the screen; the files have all of them.
const MOST_ON_SCREEN: usize = 9;

/// Runs the sweeps of a study, writes their folder and prints the front.
pub fn sweep(args: &Sweep, as_json: bool) -> Result<ExitCode, Failure> {
    let study = study(args.spec.as_ref())?;
    let Place { out, claim, store } = Place::take(&study, args.out.as_ref(), "-sweep", args.force)?;
    let timer = Timer::start();
    let bar = progress::bar(steps(&study), "typists");
    let result = run_sweep(&Engine::new(&study)?, Some(&store), &|done| bar.inc(done));
    bar.finish_and_clear();
    let info = timer.info();
    let seconds = info.seconds;
    sweep_folder(&study, &result)?.write(info, &out)?;
    claim.settle()?;
    let mut screen = screen();
    if as_json {
        let all = json!({ "study": study.name, "folder": out, "rows": result.rows, "fronts": result.fronts });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    for front in &result.fronts {
        writeln!(screen, "{}\n{}\n", front.arm, table(&study, &result, front))?;
        for line in front_sentences(&study, front) {
            writeln!(screen, "{line}")?;
        }
        writeln!(screen)?;
    }
    if result.arms.iter().any(|arm| arm.floor.is_some()) {
        writeln!(screen, "{}\n", study.floor.note(study.floor.typists))?;
    }
    if study.sweeps.is_empty() {
        writeln!(screen, "The spec has no [[sweep]]; the front is that of its policies.")?;
    }
    writeln!(
        screen,
        "Hold-gesture timing is largely assumed: see `agogic populations --register` before you rely on a difference."
    )?;
    writeln!(screen, "\n{seconds:.1} s. All points: {}\nPage: {}", absolute(&out), absolute(&out.join(PAGE)))?;
    Ok(ExitCode::SUCCESS)
}

/// The policies, and some points from end to end of each sweep.
fn table(study: &Study, result: &SweepResult, front: &Front) -> String {
    let mut table = Sheet::new(vec![
        Column::words("setting"),
        Column::numbers("false holds", "per 1000 taps"),
        Column::numbers("missed holds", "per 100 holds"),
        Column::numbers("mean tap delay", "ms"),
        Column::numbers("loss above floor", "per 1000 presses"),
        Column::words("front"),
    ]);
    let of_arm: Vec<&SweepRow> = result.rows.iter().filter(|row| row.arm == front.arm).collect();
    let mut sweeps = vec![("policies", study.policies.len(), study.policies.len())];
    sweeps.extend(study.sweeps.iter().map(|plan| (plan.label.as_str(), plan.points.len(), MOST_ON_SCREEN)));
    for (sweep, points, most) in sweeps {
        let count = most.min(points);
        for at in (0..count).map(|i| i * (points - 1) / (count - 1).max(1)) {
            let rows: Vec<&&SweepRow> = of_arm.iter().filter(|row| row.sweep == sweep && row.point == at).collect();
            let Some(first) = rows.first() else { continue };
            let mut cells = vec![first.setting.clone()];
            for (goal, digits) in GOALS.iter().zip([2, 2, 0]) {
                let row = rows.iter().find(|row| row.estimand == *goal);
                cells.push(row.map_or_else(String::new, |row| row.estimate.text(digits)));
            }
            let place = front.points.iter().find(|point| point.sweep == sweep && point.setting == first.setting);
            let above = place.and_then(|point| point.above_floor.as_ref());
            cells.push(above.map_or_else(String::new, |loss| loss.text(1)));
            cells.push(place.map_or_else(String::new, front_verdict));
            table.push(cells);
        }
    }
    shown(&table)
}

//! `agogic sweep`: rules over whole ranges of their values, and the front they make.

use std::io::Write;
use std::process::ExitCode;

use agogic_files::write_sweep_folder;
use agogic_lab::{Front, FrontPoint, SweepResult, SweepRow, run_sweep};
use agogic_report::{Column, Sheet, Style, Width, sweep_figures};
use agogic_sim::Engine;
use agogic_study::{GOALS, Study};
use serde_json::json;

use super::place::Place;
use super::run::{Timer, shown, steps};
use super::study;
use crate::args::Sweep;
use crate::failure::Failure;
use crate::progress;

/// Settings of a sweep that are shown on the screen; the files have all of them.
const SHOWN: usize = 9;

/// Runs the sweeps of a study, writes their folder and prints the front.
pub fn sweep(args: &Sweep, as_json: bool) -> Result<ExitCode, Failure> {
    let study = study(args.spec.as_ref())?;
    let Place { out, claim, store } = Place::take(&study, args.out.as_ref(), "-sweep")?;
    let timer = Timer::start();
    let bar = progress::bar(steps(&study), "typists");
    let result = run_sweep(&Engine::new(&study)?, Some(&store), &|done| bar.inc(done));
    bar.finish_and_clear();
    let info = timer.info();
    let seconds = info.seconds;
    write_sweep_folder(&study, &result, &figures(&study, &result)?, &info, &out)?;
    claim.settle()?;
    let mut screen = std::io::stdout().lock();
    if as_json {
        let all = json!({ "study": study.name, "folder": out, "rows": result.rows, "fronts": result.fronts });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    for front in &result.fronts {
        writeln!(screen, "{}\n{}\n", front.arm, table(&study, &result, front))?;
        for line in in_words(&study, front) {
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
    writeln!(screen, "\n{seconds:.1} s. All points: {}", shown(&out))?;
    Ok(ExitCode::SUCCESS)
}

/// The fronts and curves as files of the folder.
pub(super) fn figures(study: &Study, result: &SweepResult) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let drawn = sweep_figures(study, result, Width::TwoColumn).map_err(Failure::Figure)?;
    Ok(drawn.into_iter().map(|(name, figure)| (format!("{name}.svg"), figure.svg().into_bytes())).collect())
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
    sweeps.extend(study.sweeps.iter().map(|plan| (plan.label.as_str(), plan.points.len(), SHOWN)));
    for (sweep, points, most) in sweeps {
        let shown = most.min(points);
        for at in (0..shown).map(|i| i * (points - 1) / (shown - 1).max(1)) {
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
            cells.push(place.map_or_else(String::new, verdict));
            table.push(cells);
        }
    }
    table.text(Style::Screen)
}

fn verdict(point: &FrontPoint) -> String {
    match &point.dominated_by {
        Some(by) if by.sure => format!("behind {}", by.setting),
        Some(by) => format!("perhaps behind {}", by.setting),
        None => "on it".to_owned(),
    }
}

fn in_words(study: &Study, front: &Front) -> Vec<String> {
    let percent = study.inference.level.confidence() * 100.0;
    let sure = front.points.iter().filter(|point| point.dominated_by.as_ref().is_some_and(|by| by.sure)).count();
    let on = front.points.iter().filter(|point| point.on_front).count();
    let [taps, holds, ms] = front.reference;
    let mut lines = vec![format!(
        "{on} of {} settings are on the front; {sure} are behind another one with {percent} % confidence for all pairs \
         together (p-values by Holm over {} ordered pairs). Intervals: {percent} %, unit of resampling: typist.",
        front.points.len(),
        front.pairs
    )];
    let margins: Vec<String> = study
        .inference
        .margins
        .iter()
        .filter(|line| GOALS.contains(&line.info.name))
        .map(|line| format!("{} {} {}", line.info.name.replace('_', " "), line.value, line.info.unit))
        .collect();
    if !margins.is_empty() {
        lines.push(format!("Behind means no worse, and better in one goal, by more than: {}.", margins.join(", ")));
    }
    let volume = &front.hypervolume;
    lines.push(match (volume.value, volume.lo, volume.hi) {
        (Some(value), Some(lo), Some(hi)) => format!(
            "The front dominates {:.1} % ({:.1}–{:.1}) of the box up to {taps} false holds per 1000 taps, {holds} missed \
             holds per 100 holds and {ms} ms.",
            100.0 * value,
            100.0 * lo,
            100.0 * hi
        ),
        (value, ..) => format!(
            "Share of the box up to {taps}, {holds} and {ms} ms that the front dominates: {} ({}).",
            value.map_or("unknown".to_owned(), |value| format!("{:.1} %", 100.0 * value)),
            volume.reason.as_deref().unwrap_or("no interval")
        ),
    });
    lines.extend(front.left_out.iter().map(|left_out| format!("Not placed: {left_out}.")));
    lines
}

//! `agogic robust`: which conclusions survive other assumptions, and which assumption breaks them.

use std::io::Write;
use std::process::ExitCode;

use agogic_lab::{Against, Conclusion, Robustness, Verdict, recommend, robust as run_robust, variants_of};
use agogic_report::{Column, PAGE, Sheet, robust_folder};
use agogic_sim::Engine;
use serde_json::json;

use super::advice_study;
use super::place::Place;
use super::run::{Timer, absolute};
use crate::args::Robust;
use crate::failure::Failure;
use crate::progress;
use crate::screen::{screen, shown_broken};

/// Assumptions named for a conclusion on the screen; the files have all of them.
const NAMED: usize = 3;

/// Holds the conclusions of a study against other assumptions, writes its folder and prints their fate. The exit code
/// is 1 where an assumption breaks one.
pub fn robust(args: &Robust, as_json: bool) -> Result<ExitCode, Failure> {
    let study = advice_study(args.spec.as_ref())?;
    let Place { out, claim, store } = Place::take(&study, args.out.as_ref(), "-robust", args.force)?;
    let timer = Timer::start();
    let spinner = progress::spinner("settings × typists of the advice");
    let engine = Engine::new(&study)?;
    let advice = recommend(&engine, Some(&store), &|done| spinner.inc(done)).unwrap_or_default();
    spinner.finish_and_clear();
    let bar = progress::bar(variants_of(&study), "variants");
    let found = run_robust(&engine, &advice, Some(&store), &|done| bar.inc(done));
    bar.finish_and_clear();
    let info = timer.info();
    let seconds = info.seconds;
    robust_folder(&study, &advice, &found)?.write(info, &out)?;
    claim.settle()?;
    let broken = found.iter().flat_map(|arm| &arm.conclusions).any(|own| own.verdict == Verdict::Breaks);
    let mut screen = screen();
    if as_json {
        let all = json!({ "study": study.name, "folder": out, "robust": found });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
    } else {
        for arm in &found {
            writeln!(
                screen,
                "{}: {} assumed numbers, each at both ends of its range, and {} points with all of them moved \
                 together; {} typists each\n{}\n",
                arm.arm,
                arm.assumptions,
                arm.points,
                study.robust.typists,
                table(arm)
            )?;
        }
        writeln!(
            screen,
            "Breaks: some assumption surely turns it round (error over all of them: {:.0} %). Wavers: the estimate \
             changes its sign, but not surely. Open: the study is not sure of it at these typists. The share is of points \
             spread evenly over the ranges, not a probability.",
            100.0 * study.inference.level.alpha()
        )?;
        writeln!(screen, "\n{seconds:.1} s. All tables: {}\nPage: {}", absolute(&out), absolute(&out.join(PAGE)))?;
    }
    Ok(if broken { ExitCode::from(1) } else { ExitCode::SUCCESS })
}

fn table(arm: &Robustness) -> String {
    let titles = ["conclusion", "margin", "fate", "holds at points, %", "which assumptions speak against it"];
    let mut table = Sheet::new(titles.map(Column::words).into());
    for own in &arm.conclusions {
        let fate = match own.verdict {
            Verdict::Survives => "survives",
            Verdict::Wavers => "wavers",
            Verdict::Breaks => "breaks",
            Verdict::Open => "open",
        };
        let holds = &own.holds_percent;
        let holds = holds.value.map_or_else(|| "unknown".to_owned(), |share| format!("{share:.0}"));
        table.push([own.claim.clone(), own.margin.text(1), fate.to_owned(), holds, against(own)]);
    }
    shown_broken(&table, 150)
}

fn against(own: &Conclusion) -> String {
    let one = |against: &Against| format!("{} = {}", against.assumption, against.value);
    let all: Vec<&Against> = own.broken_by.iter().chain(&own.doubted_by).collect();
    if all.is_empty() {
        let weakest = own.weakest.as_ref();
        return weakest.map_or_else(String::new, |w| format!("none; least margin {} at {}", w.margin.text(1), one(w)));
    }
    let mut text: Vec<String> = all.iter().take(NAMED).map(|own| one(own)).collect();
    if all.len() > NAMED {
        text.push(format!("and {} more", all.len() - NAMED));
    }
    text.join(", ")
}

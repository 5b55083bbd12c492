//! `agogic run`: the main job.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Instant, SystemTime, UNIX_EPOCH};

use agogic_files::{Claim, Results, RunInfo};
use agogic_lab::{StudyResult, beside_recommendation, run_kept};
use agogic_report::{
    Comparisons, PAGE, RunFolder, assignment_table, caution_notes, effect_table, floor_note, policy_table, run_folder,
    short_answer, short_answer_words, stop_table, transfer_in_short,
};
use agogic_sim::Engine;
use agogic_study::Study;
use serde_json::json;

use super::place::Place;
use super::study;
use crate::args::Run;
use crate::failure::Failure;
use crate::progress;
use crate::screen::{details, screen, shown};

/// Runs a study, writes its folder and prints what it found.
pub fn run(args: &Run, as_json: bool) -> Result<ExitCode, Failure> {
    let study = study(args.spec.as_ref())?;
    let Place { out, claim, store } = Place::take(&study, args.out.as_ref(), "", args.force)?;
    let timer = Timer::start();
    let bar = progress::bar(steps(&study), "typists");
    let result = run_kept(&Engine::new(&study)?, &store, &|done| bar.inc(done))?;
    bar.finish_and_clear();
    report(&study, result, &claim, &timer, &out, as_json)
}

/// Steps of the progress of a run.
pub fn steps(study: &Study) -> u64 {
    (study.typists + study.floor.typists) * study.arms.len() as u64
}

/// When a command began.
pub(super) struct Timer {
    unix_s: u64,
    clock: Instant,
}

impl Timer {
    pub fn start() -> Self {
        let unix_s = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
        Self { unix_s, clock: Instant::now() }
    }

    /// What differs between two runs, until now.
    pub fn info(&self) -> RunInfo {
        let seconds = self.clock.elapsed().as_secs_f64();
        RunInfo::here(self.unix_s, seconds, rayon::current_num_threads())
    }
}

/// Writes the folder of a study and prints what it found.
pub(super) fn report(
    study: &Study,
    result: StudyResult,
    claim: &Claim,
    timer: &Timer,
    out: &Path,
    as_json: bool,
) -> Result<ExitCode, Failure> {
    let RunFolder { folder, results } = run_folder(study, &result)?;
    let info = timer.info();
    let seconds = info.seconds;
    folder.write(info, out)?;
    claim.settle()?;
    let mut screen = screen();
    if as_json {
        let all = json!({ "study": study.name, "folder": out, "rows": result.rows, "advice": results.advice,
            "transfer": results.transfer });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    describe(&mut screen, study, &result)?;
    if details() {
        tell_all(&mut screen, study, &results)?;
    } else {
        tell_answer(&mut screen, study, &results)?;
    }
    writeln!(screen, "\n{seconds:.1} s. Results: {}\nPage: {}", absolute(out), absolute(&out.join(PAGE)))?;
    Ok(ExitCode::SUCCESS)
}

/// The answer on one screen.
fn tell_answer(screen: &mut impl Write, study: &Study, results: &Results) -> std::io::Result<()> {
    let assignments = assignment_table(results);
    match &assignments {
        Some(sheet) => {
            let policy = study.policies.first().expect("a study has a policy");
            writeln!(screen, "Under `{policy}`, by population and assignment:\n\n{}\n", shown(sheet))?;
        }
        None => writeln!(screen, "{}\n", shown(&short_answer(results)))?,
    }
    for text in short_answer_words(results).iter().filter(|_| assignments.is_none()) {
        writeln!(screen, "{text}\n")?;
    }
    for note in &study.notes {
        writeln!(screen, "Note: {note}.")?;
    }
    let cautions: usize = study.arms.iter().map(|arm| caution_notes(results, &arm.label).len()).sum();
    let minded = match cautions {
        0 => String::new(),
        1 => "; one caution".to_owned(),
        several => format!("; {several} cautions"),
    };
    let settings = results.settings_and_rules();
    writeln!(
        screen,
        "`-v` tells all {settings}, their comparisons and what to mind{minded}. `agogic check` holds rates against \
         people; `agogic advise` searches for what serves most typists, and one default for all."
    )
}

/// Everything that was found.
fn tell_all(screen: &mut impl Write, study: &Study, results: &Results) -> std::io::Result<()> {
    let assignments = assignment_table(results).map(|sheet| shown(&sheet));
    if let Some(table) = &assignments {
        let policy = study.policies.first().expect("a study has a policy");
        writeln!(screen, "Under `{policy}`, by population and assignment:\n\n{table}\n")?;
    }
    // With many assignments the tables of all arms would bury that one; they are in the files.
    for arm in study.arms.iter().filter(|_| assignments.is_none()) {
        if study.arms.len() > 1 {
            writeln!(screen, "{}", arm.label)?;
        }
        writeln!(screen, "{}\n", shown(&policy_table(results, &arm.label)))?;
        if let Some(sheet) = stop_table(results, &arm.label) {
            writeln!(screen, "{}\n\n{}\n", sheet.caption, shown(&sheet))?;
        }
        if let Some(transfer) = results.transfer(&arm.label) {
            let sheet = transfer_in_short(transfer);
            writeln!(screen, "{}\n\n{}\n", sheet.caption, shown(&sheet))?;
        }
        if let Some(effects) = effect_table(results, &arm.label) {
            writeln!(screen, "{}\n", shown(&effects))?;
        }
    }
    let mut notes: Vec<String> = Vec::new();
    let notes_of = |arm: &str| floor_note(results, arm).into_iter().chain(caution_notes(results, arm));
    for note in study.arms.iter().filter(|_| assignments.is_none()).flat_map(|arm| notes_of(&arm.label)) {
        // Arms differ where one of them stopped early.
        if !notes.contains(&note) {
            writeln!(screen, "{note}\n")?;
            notes.push(note);
        }
    }
    let comparisons = Comparisons::of(results).words(study.inference.level.confidence());
    if !comparisons.is_empty() {
        writeln!(screen, "{comparisons}\n")?;
    }
    for note in &study.notes {
        writeln!(screen, "Note: {note}.")?;
    }
    let assumed = if results.advice.iter().any(|advice| !advice.ends.is_empty()) {
        "the advice says what becomes of it at both ends of what is assumed"
    } else {
        "`agogic populations --register` says what is assumed"
    };
    writeln!(
        screen,
        "How people hold keys with two roles is not published: {assumed}. `agogic check` holds the rates of rules against \
         people."
    )?;
    // One sentence for each of many assignments would say the same over and over; they are in advice.json.
    for advice in results.advice.iter().filter(|_| assignments.is_none()) {
        writeln!(screen, "\n{}", advice.sentence)?;
    }
    if assignments.is_none() && !results.advice.is_empty() {
        writeln!(screen, "\n{}", beside_recommendation(study))?;
    }
    Ok(())
}

fn describe(screen: &mut impl Write, study: &Study, result: &StudyResult) -> std::io::Result<()> {
    if !study.question.is_empty() {
        writeln!(screen, "{}\n", study.question)?;
    }
    let mut names: Vec<String> = Vec::new();
    for arm in &study.arms {
        let name = format!("`{}`", arm.population.name());
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let arm = study.arms.first().expect("a study has an arm");
    let ran = result.arms.iter().map(|arm| arm.typists.len() as u64);
    let (fewest, most) = (ran.clone().min().unwrap_or(0), ran.max().unwrap_or(0));
    let ran = if fewest == most { most.to_string() } else { format!("{fewest} to {most}") };
    let planned = if fewest < study.typists {
        format!(" (at most {}; the run stopped when it was precise enough)", study.typists)
    } else {
        String::new()
    };
    writeln!(
        screen,
        "{ran} typists{planned} of {} each press {} keys of the {} ({} words once through) with {} shortcuts per 1000 keys. \
         Intervals: {} %, unit of resampling: typist. Primary estimand: {}.\n",
        names.join(", "),
        arm.keys,
        study.text_from,
        arm.plan.words(),
        study.rates.shortcuts,
        study.inference.level.confidence() * 100.0,
        study.primary.name.replace('_', " "),
    )
}

pub(super) fn absolute(out: &Path) -> String {
    std::path::absolute(out).unwrap_or_else(|_| PathBuf::from(out)).display().to_string()
}

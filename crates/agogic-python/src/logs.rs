//! Logs of key events: simulated, cut into encounters, replayed, fitted, advised.

use std::path::PathBuf;

use agogic_cli::shared::{COMMON_PEOPLE, fits, keys_of_draws, settings};
use agogic_files::{prompted_logs, read_log, session_log};
use agogic_fit::{FitPlan, fit as fit_person};
use agogic_keys::{Assignment, Board, Hand};
use agogic_lab::{PersonalQuestion, common_people, personal_advice};
use agogic_log::{Log, LogCsv, LogLayout, SessionLog, read_bytes, write_csv};
use agogic_policy::{EncounterScan, Setting};
use agogic_replay::{ReplayPlan, replay as replay_log};
use agogic_sim::{TrainedArm, learned};
use agogic_stats::Level;
use agogic_study::population_of;
use pyo3::prelude::*;
use pyo3::types::PyBytes;
use serde_json::json;

use crate::arrays::EncounterArrays;
use crate::job::{Trouble, job};
use crate::refused::Refused;
use crate::rule::{RuleParts, own_settings};
use crate::spec::{Spec, arm};

/// A log as the Python half hands it over: a file, or the bytes of one; how it is laid out; and the participant that alone
/// is wanted.
#[derive(Debug, FromPyObject)]
pub struct LogSource(Option<PathBuf>, Option<Vec<u8>>, String, Option<String>);

impl LogSource {
    fn read(&self) -> Result<Log, Refused> {
        let Self(path, bytes, layout, wanted) = self;
        let layout = match LogLayout::preset(layout) {
            Some(preset) => preset,
            None => {
                let known: Vec<&str> = LogLayout::presets().map(|(name, _)| name).collect();
                let known = known.join(", ");
                let text = std::fs::read_to_string(layout).map_err(|refused| {
                    Refused::new(format!("there is no layout, and no file, `{layout}` (known: {known}): {refused}"))
                })?;
                LogLayout::from_toml(&text).map_err(|mistakes| Refused::spec(layout, mistakes))?
            }
        };
        let mut log = match (path, bytes) {
            (Some(path), _) => read_log(path, &layout).map_err(|refused| Refused::to("read the log")(&refused))?,
            (None, bytes) => read_bytes(bytes.as_deref().unwrap_or_default(), &layout)
                .map_err(|refused| Refused::to("read the log")(&refused))?,
        };
        if let Some(wanted) = wanted {
            let known = names(&log);
            log.sessions.retain(|session| session.participant == *wanted);
            if log.sessions.is_empty() {
                return Err(Refused::new(format!("there is no participant in the log `{wanted}` (known: {known})")));
            }
        }
        Ok(log)
    }
}

fn names(log: &Log) -> String {
    let all = log.by_participant();
    let shown: Vec<&str> = all.iter().take(12).map(|(name, _)| *name).collect();
    format!("{}{}", shown.join(", "), if all.len() > 12 { ", …" } else { "" })
}

/// The one person of a log.
fn person(log: &Log) -> Result<(&str, Vec<&SessionLog>), Refused> {
    let mut people = log.by_participant();
    match people.len() {
        0 => Err(Refused::new("the log has no press")),
        1 => Ok(people.swap_remove(0)),
        _ => Err(Refused::new(format!(
            "the log holds several participants; choose one with participant=… (there are {})",
            names(log)
        ))),
    }
}

/// What became of rows that were left out.
fn left_out(log: &Log) -> Vec<String> {
    let rows = log.report.rows_refused();
    let s = if rows == 1 { "" } else { "s" };
    if rows > 0 { vec![format!("{rows} row{s} of the log left out")] } else { Vec::new() }
}

/// Key events of typists of a study as a log in CSV: of the first `typists`, or one session by its address.
#[pyfunction]
#[expect(clippy::too_many_arguments, reason = "each is an argument in Python")]
pub fn simulate(
    py: Python<'_>,
    spec: Spec,
    arm_label: Option<String>,
    typists: u64,
    typist: Option<u64>,
    replicate: u64,
    intents: bool,
    progress: Option<Bound<'_, PyAny>>,
) -> PyResult<Py<PyBytes>> {
    let study = py.detach(|| spec.study())?;
    if let Some(number) = typist.filter(|number| *number >= study.typists) {
        let has = study.typists;
        return Err(
            Refused::new(format!("`typist` must be 0 to {}, a typist of the study, not {number}", has - 1)).into()
        );
    }
    let total = if typist.is_some() { 1 } else { typists };
    let csv = job(py, progress.as_ref(), total, &Trouble::default(), move |counter| {
        let arm = arm(&study, arm_label.as_deref())?;
        let refused = |refused: &dyn std::fmt::Display| Refused::to("write the log")(refused);
        let mut bytes = Vec::new();
        let mut csv = LogCsv::new(&mut bytes).map_err(|e| refused(&e))?;
        match typist {
            Some(typist) => csv.add(&session_log(&study, arm, typist, replicate, intents)).map_err(|e| refused(&e))?,
            None => prompted_logs(&study, arm, typists, intents, |log| {
                counter.add(1);
                csv.add(&log).map_err(|e| refused(&e))
            })?,
        }
        csv.finish().map_err(|e| refused(&e))?;
        Ok(bytes)
    })?;
    Ok(PyBytes::new(py, &csv).unbind())
}

/// The key events of a log in the published format, as CSV.
#[pyfunction]
pub fn log_events(py: Python<'_>, log: LogSource) -> PyResult<Py<PyBytes>> {
    let csv = job(py, None, 0, &Trouble::default(), move |_| {
        let mut bytes = Vec::new();
        write_csv(&mut bytes, &log.read()?.sessions).map_err(|refused| Refused::to("write the log")(&refused))?;
        Ok(bytes)
    })?;
    Ok(PyBytes::new(py, &csv).unbind())
}

/// Every press of a dual-role key of a log, on the keyboard of an arm.
#[pyfunction]
pub fn log_arrays(py: Python<'_>, log: LogSource, spec: Spec, arm_label: Option<String>) -> PyResult<EncounterArrays> {
    job(py, None, 0, &Trouble::default(), move |_| {
        let log = log.read()?;
        let study = spec.study()?;
        let arm = arm(&study, arm_label.as_deref())?;
        let mut arrays = EncounterArrays::with_capacity(0);
        let mut scan = EncounterScan::new();
        for session in &log.sessions {
            let truths = session.truths(&arm.assignment);
            let mut first = 0;
            for run in session.runs() {
                let dual = |code| arm.assignment.modifier(code).is_some();
                let hand = |code| arm.board.place(code).map_or(Hand::Either, |place| place.hand);
                scan.each(run, dual, hand, |press, encounter| {
                    let meant = match truths[first + press] {
                        None => "",
                        Some(truth) if truth.hold => "hold",
                        Some(_) => "tap",
                    };
                    arrays.push(encounter);
                    arrays.tell(&session.participant, &session.session, meant);
                });
                first += run.len();
            }
        }
        Ok(arrays)
    })
}

/// Plays a log to the policies of a study and to rules of the user's; gives JSON.
#[pyfunction]
pub fn replay(
    py: Python<'_>,
    log: LogSource,
    spec: Spec,
    arm_label: Option<String>,
    rules: Vec<RuleParts>,
) -> PyResult<String> {
    let trouble = Trouble::default();
    let own = own_settings(py, &rules, &trouble)?;
    job(py, None, 0, &trouble, move |_| {
        let log = log.read()?;
        let study = spec.study()?;
        let arm = arm(&study, arm_label.as_deref())?;
        let trained = TrainedArm::new(&study, arm).map_err(|refused| Refused::to("train the rules")(&refused))?;
        let (mut all, skipped) = settings(&study, &trained);
        for (label, setting, _) in own {
            if all.iter().any(|(known, _)| *known == label) {
                return Err(Refused::new(format!("the study has a policy `{label}` already; name the rule otherwise")));
            }
            all.push((label, setting));
        }
        let plan = ReplayPlan {
            board: &arm.board,
            assignment: &arm.assignment,
            level: study.inference.level,
            resamples: study.inference.resamples,
            seed: study.seed,
        };
        let found = replay_log(&log.sessions, &all, &plan);
        if found.presses == 0 {
            return Err(Refused::new(
                "the log has no press of a dual-role key; name a study whose [keyboard] has two roles for keys that were \
                 typed",
            ));
        }
        let mut notes = left_out(&log);
        if all.iter().any(|(_, setting): &(String, Setting)| setting.entry().needs_training) {
            let people = arm.population.name();
            notes.push(format!("rules that learn were trained on simulated typists of `{people}`, not on this log"));
        }
        notes.extend(skipped);
        Ok(json!({ "arm": arm.label, "replay": found, "notes": notes }).to_string())
    })
}

/// Fits the traits of the one person of a log; gives JSON. `people` is a population by name or file, or the first of a
/// spec.
#[pyfunction]
pub fn fit(
    py: Python<'_>,
    log: LogSource,
    people: (Option<String>, Option<Spec>),
    spec: Option<Spec>,
    level: f64,
    redraws: u32,
    seed: u64,
) -> PyResult<String> {
    let level =
        Level::new(level).map_err(|_| Refused::new(format!("`level` must be between 0.5 and 1, not {level}")))?;
    job(py, None, 0, &Trouble::default(), move |_| {
        let log = log.read()?;
        let (participant, sessions) = person(&log)?;
        let population = match people {
            (Some(name), _) => population_of(&name).map_err(Refused::new)?,
            (None, Some(spec)) => arm(&spec.study()?, None)?.population.clone(),
            (None, None) => return Err(Refused::new("name the people that the person is one of")),
        };
        let study = spec.map(|spec| spec.study()).transpose()?;
        let (board, assignment) = match study.as_ref().and_then(|study| study.arms.first()) {
            Some(arm) => (arm.board.clone(), arm.assignment.clone()),
            None => (Board::row_staggered(), Assignment::none()),
        };
        let plan = FitPlan { population: &population, board: &board, assignment: &assignment, level, seed, redraws };
        let found = fit_person(&sessions, &plan).map_err(|refused| Refused::to("fit the log")(&refused))?;
        Ok(json!({ "participant": participant, "fit": found, "notes": left_out(&log) }).to_string())
    })
}

/// A setting for the one person of a log; gives JSON.
#[pyfunction]
#[expect(clippy::too_many_arguments, reason = "each is an argument in Python")]
pub fn advise_log(
    py: Python<'_>,
    log: LogSource,
    spec: Spec,
    arm_label: Option<String>,
    now: Option<String>,
    false_hold_counts: f64,
    least_gain: f64,
    draws: u64,
    progress: Option<Bound<'_, PyAny>>,
) -> PyResult<String> {
    job(py, progress.as_ref(), 4, &Trouble::default(), move |counter| {
        let log = log.read()?;
        let (participant, sessions) = person(&log)?;
        for (argument, value, least) in
            [("least_gain", least_gain, 0.0), ("false_hold_counts", false_hold_counts, 0.01)]
        {
            // Written so that NaN is refused too.
            if !(value >= least && value <= 1e3) {
                return Err(Refused::new(format!("`{argument}` must be between {least} and 1000, not {value}")));
            }
        }
        if !(20..=100_000).contains(&draws) {
            return Err(Refused::new(format!("`draws` must be 20 to 100000, not {draws}")));
        }
        let study = spec.study()?;
        let arm = arm(&study, arm_label.as_deref())?;
        let fits = fits(&study, arm, &sessions).map_err(|refused| Refused::to("fit the log")(&refused))?;
        counter.add(1);
        let tables = learned(&study, arm, true).map_err(|refused| Refused::to("train the rules")(&refused))?;
        counter.add(1);
        let written = |text: &String| {
            Setting::written(text, Some(&tables))
                .map_err(|refused| Refused::new(format!("failed to read the setting `{text}`: {refused}")))
        };
        let question = PersonalQuestion {
            arm,
            now: now.as_ref().map(written).transpose()?,
            tables: Some(tables.clone()),
            false_hold: false_hold_counts,
            costs: &study.costs,
            least_gain,
            level: study.inference.level,
            seed: study.seed,
            keys: keys_of_draws(arm),
            common_people: COMMON_PEOPLE,
            draws,
            practice: true,
        };
        let common = common_people(&question);
        counter.add(1);
        let outcome = personal_advice(&question, &common, &fits, &sessions).map_err(Refused::new)?;
        counter.add(1);
        let all = json!({ "participant": participant, "study": study.name, "arm": arm.label, "advice": outcome,
            "fit": fits[0], "notes": left_out(&log) });
        Ok(all.to_string())
    })
}

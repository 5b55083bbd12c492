//! Studies: run, swept, searched for advice, and repeated.

use std::path::PathBuf;
use std::time::{Instant, SystemTime, UNIX_EPOCH};

use agogic_cli::shared::steps;
use agogic_files::{Claim, FolderKind, ResultFolder, RunInfo, check_target, differences};
use agogic_lab::{recommend, run as run_study, run_kept, run_sweep};
use agogic_policy::Setting;
use agogic_report::{advice_folder, run_folder, sweep_folder};
use agogic_sim::{Engine, FileError, Store};
use agogic_study::Study;
use pyo3::prelude::*;

use crate::folder::Folder;
use crate::job::{Counter, Trouble, job};
use crate::refused::Refused;
use crate::rule::{RuleParts, own_settings};
use crate::spec::Spec;

/// A folder that is written at the end and takes up what earlier tries left for it.
struct Place {
    out: PathBuf,
    claim: Claim,
    store: Store,
}

impl Place {
    fn take(study: &Study, out: PathBuf) -> Result<Self, FileError> {
        check_target(&out)?;
        let claim = Claim::new(&out)?;
        let store = Store::open(study, &claim.unfinished())?;
        Ok(Self { out, claim, store })
    }
}

/// What was made, and written where a place is given.
fn finished(folder: ResultFolder, began: (Instant, u64), place: Option<&Place>) -> Result<Folder, Refused> {
    let info = RunInfo::here(began.1, began.0.elapsed().as_secs_f64(), rayon::current_num_threads());
    if let Some(Place { out, claim, .. }) = place {
        folder.write(info.clone(), out).map_err(|refused| Refused::to("write results")(&refused))?;
        claim.settle().map_err(|refused| Refused::to("write results")(&refused))?;
    }
    Ok(Folder::new(folder, info))
}

fn now() -> (Instant, u64) {
    (Instant::now(), SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |past| past.as_secs()))
}

/// Adds rules of the user's to a study.
fn add(study: &mut Study, own: Vec<(String, Setting, Option<String>)>) -> Result<(), Refused> {
    for (label, setting, versus) in own {
        let at = match &versus {
            None => 0,
            Some(versus) => study.policies.iter().position(|known| known == versus).ok_or_else(|| {
                let known = study.policies.join(", ");
                Refused::new(format!("`{label}` is compared with `{versus}`, which the study has not (known: {known})"))
            })?,
        };
        let taken =
            |label: String| Refused::new(format!("the study has a policy `{label}` already; name the rule otherwise"));
        study.add_policy(&label, setting, at).map_err(taken)?;
    }
    Ok(())
}

fn trained(study: &Study) -> Result<Engine<'_>, Refused> {
    Engine::new(study).map_err(|refused| Refused::to("train the rules")(&refused))
}

fn shown<T, E: std::fmt::Display>(made: Result<T, E>) -> Result<T, Refused> {
    made.map_err(|refused| Refused::to("show the result")(&refused))
}

fn kept<T>(made: Result<T, FileError>) -> Result<T, Refused> {
    made.map_err(|refused| Refused::to("write results")(&refused))
}

/// Runs a study, with rules of the user's beside its own.
#[pyfunction]
pub fn run(
    py: Python<'_>,
    spec: Spec,
    rules: Vec<RuleParts>,
    out: Option<PathBuf>,
    progress: Option<Bound<'_, PyAny>>,
) -> PyResult<Folder> {
    let trouble = Trouble::default();
    let own = own_settings(py, &rules, &trouble)?;
    let mut study = py.detach(|| spec.study())?;
    add(&mut study, own)?;
    let total = steps(&study);
    job(py, progress.as_ref(), total, &trouble, move |counter| {
        let began = now();
        let place = kept(out.map(|out| Place::take(&study, out)).transpose())?;
        let engine = trained(&study)?;
        let result = match &place {
            Some(place) => kept(run_kept(&engine, &place.store, &|done| counter.add(done)))?,
            None => run_study(&engine, &|done| counter.add(done)),
        };
        finished(shown(run_folder(&study, &result))?.folder, began, place.as_ref())
    })
}

/// Sweeps the rules of a study over ranges of their values.
#[pyfunction]
pub fn sweep(py: Python<'_>, spec: Spec, out: Option<PathBuf>, progress: Option<Bound<'_, PyAny>>) -> PyResult<Folder> {
    let study = py.detach(|| spec.study())?;
    let total = steps(&study);
    job(py, progress.as_ref(), total, &Trouble::default(), move |counter| {
        let began = now();
        let place = kept(out.map(|out| Place::take(&study, out)).transpose())?;
        let store = place.as_ref().map(|place| &place.store);
        let result = run_sweep(&trained(&study)?, store, &|done| counter.add(done));
        finished(shown(sweep_folder(&study, &result))?, began, place.as_ref())
    })
}

/// Looks for the best setting of a study that meets what is asked.
#[pyfunction]
pub fn advise(
    py: Python<'_>,
    spec: Spec,
    out: Option<PathBuf>,
    progress: Option<Bound<'_, PyAny>>,
) -> PyResult<Folder> {
    let study = py.detach(|| spec.advice_study())?;
    job(py, progress.as_ref(), 0, &Trouble::default(), move |counter| {
        let began = now();
        let place = kept(out.map(|out| Place::take(&study, out)).transpose())?;
        let folder = searched(&study, place.as_ref().map(|place| &place.store), counter)?;
        finished(folder, began, place.as_ref())
    })
}

fn searched(study: &Study, store: Option<&Store>, counter: &Counter) -> Result<ResultFolder, Refused> {
    let advice = recommend(&trained(study)?, store, &|done| counter.add(done)).ok_or_else(|| {
        Refused::new(
            "the spec has no table [advice]; add [advice] with objective = \"false_holds\" and \
             limits = { missed_holds = 5, tap_delay_p95 = 150 }",
        )
    })?;
    shown(advice_folder(study, &advice))
}

/// Makes the result of a folder again, and says file by file what differs; nothing does where it repeats.
#[pyfunction]
pub fn repeat(
    py: Python<'_>,
    folder: &Folder,
    rules: Vec<RuleParts>,
    progress: Option<Bound<'_, PyAny>>,
) -> PyResult<Vec<String>> {
    let trouble = Trouble::default();
    let own = own_settings(py, &rules, &trouble)?;
    let before = folder.inner.clone();
    let mut study = before.study().map_err(Refused::new)?;
    add(&mut study, own)?;
    let total = steps(&study);
    job(py, progress.as_ref(), total, &trouble, move |counter| {
        let engine = || trained(&study);
        let again = match before.kind() {
            FolderKind::Run => shown(run_folder(&study, &run_study(&engine()?, &|done| counter.add(done))))?.folder,
            FolderKind::Sweep => shown(sweep_folder(&study, &run_sweep(&engine()?, None, &|done| counter.add(done))))?,
            FolderKind::Advice => searched(&study, None, counter)?,
            other @ (FolderKind::Sensitivity | FolderKind::Robust) => {
                return Err(Refused::new(format!(
                    "a result of `agogic {}` is repeated by the command: agogic repeat FOLDER",
                    other.command()
                )));
            }
        };
        Ok(differences(&before.files, &again.files).iter().map(ToString::to_string).collect())
    })
}

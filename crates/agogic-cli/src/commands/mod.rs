//! One command a file.

pub mod advise;
pub mod advise_log;
mod against;
pub mod calibrate;
pub mod check;
pub mod compare;
pub mod completions;
pub mod conform;
pub mod costs;
pub mod export;
pub mod fit;
pub mod inspect;
pub mod manual;
pub mod merge;
pub mod new;
pub mod people;
mod people_advised;
pub mod picture;
mod place;
pub mod plan;
pub mod policies;
pub mod populations;
pub mod record;
pub mod redact;
pub mod repeat;
pub mod replay;
pub mod report;
pub mod robust;
pub mod run;
pub mod sensitivity;
pub mod shard;
pub mod simulate;
pub mod sweep;
pub mod try_page;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use agogic_files::{read_log, read_log_text};
use agogic_log::{Log, LogLayout};
use agogic_policy::{EvidenceTables, Setting};
use agogic_study::{Arm, DEFAULTS_STUDY, MAIN_STUDY, Study};

use crate::args::LogFile;
use crate::failure::Failure;

/// Reads the study at `path`, or the built-in main study.
fn study(path: Option<&PathBuf>) -> Result<Study, Failure> {
    let (name, spec, folder) = match path {
        None => ("built-in main study".to_owned(), MAIN_STUDY.to_owned(), PathBuf::from(".")),
        Some(path) => {
            let spec = std::fs::read_to_string(path).map_err(|source| Failure::Spec { path: path.clone(), source })?;
            let folder = path.parent().unwrap_or(Path::new(".")).to_owned();
            (path.display().to_string(), spec, folder)
        }
    };
    read_study(&name, &spec, &folder)
}

/// Reads the study at `path`, or the built-in study of defaults.
fn advice_study(path: Option<&PathBuf>) -> Result<Study, Failure> {
    match path {
        None => read_study("built-in study of defaults", DEFAULTS_STUDY, Path::new(".")),
        path => study(path),
    }
}

/// Reads a spec that `name` stands for.
fn read_study(name: &str, spec: &str, folder: &Path) -> Result<Study, Failure> {
    Study::read(spec, folder).map_err(|mistakes| Failure::Mistakes { name: name.to_owned(), mistakes })
}

/// The arm of that label, or the first.
fn arm<'s>(study: &'s Study, label: Option<&str>) -> Result<&'s Arm, Failure> {
    let Some(label) = label else { return Ok(study.arms.first().expect("a study has an arm")) };
    study.arms.iter().find(|arm| arm.label == label).ok_or_else(|| Failure::Name {
        what: "arm",
        name: label.to_owned(),
        known: study.arms.iter().map(|arm| arm.label.as_str()).collect::<Vec<_>>().join(", "),
    })
}

/// A setting as a person wrote it on the command line.
fn setting(text: &str, tables: Option<&Arc<EvidenceTables>>) -> Result<Setting, Failure> {
    Setting::written(text, tables).map_err(|refused| Failure::Setting { text: text.to_owned(), refused })
}

/// Reads a text that a command was given.
fn text(what: &'static str, path: &Path) -> Result<String, Failure> {
    std::fs::read_to_string(path).map_err(|source| Failure::Input { what, path: path.to_owned(), source })
}

/// The layout of a log: a preset by its name, or a file.
fn layout(name: &str) -> Result<LogLayout, Failure> {
    if let Some(preset) = LogLayout::preset(name) {
        return Ok(preset);
    }
    let path = Path::new(name);
    if !path.exists() && path.extension().is_none() {
        return Err(Failure::Name {
            what: "layout, and no file,",
            name: name.to_owned(),
            known: LogLayout::presets().map(|(preset, _)| preset).collect::<Vec<_>>().join(", "),
        });
    }
    let source = text("layout", path)?;
    LogLayout::from_toml(&source).map_err(|mistakes| Failure::Layout { path: path.to_owned(), mistakes })
}

/// Reads a log as its layout says.
fn log(file: &LogFile) -> Result<Log, Failure> {
    read(&file.log, &layout(&file.layout)?)
}

/// Reads a log from a file, or from standard input where its name is `-`.
fn read(path: &Path, layout: &LogLayout) -> Result<Log, Failure> {
    if path == Path::new("-") {
        return Ok(read_log_text(Path::new("standard input"), std::io::stdin().lock(), layout)?);
    }
    Ok(read_log(path, layout)?)
}

/// What a reader should know first where rows were left out; `None` where none was.
fn left_out(log: &Log) -> Option<String> {
    let rows = log.report.rows_refused();
    let s = if rows == 1 { "" } else { "s" };
    (rows > 0).then(|| format!("{rows} row{s} of the log left out; `agogic inspect` says which and why"))
}

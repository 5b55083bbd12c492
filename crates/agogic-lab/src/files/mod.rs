//! Result folders and event logs on disk, written whole or not at all.
//!
//! A result folder holds `results.parquet`, `results.csv` and `results.json` (one row per arm, policy,
//! estimand and statistic), `typists.parquet` (counts per typist and policy), `kinds.csv` (wrong outcomes by
//! modifier and key), `floor.csv` (the floor of an ideal observer), `hands.csv` (finger
//! load and reach of each assignment), `advice.json`, `cautions.json` (what to mind when reading the estimates), `register.json` (every number of the typist model with its provenance)
//! and `manifest.json`. Copies of the files that the spec names lie beside them as `input-1-NAME` and so on, so that
//! a folder can be repeated by itself: whoever passes it on passes those texts on.
//!
//! The folder of a sweep holds `sweep.parquet`, `sweep.csv` and `sweep.json` (one row per arm, setting and
//! estimand), `front.csv` and `front.json` (what is dominated, by what), `register.json` and `manifest.json`.
//! That of a sensitivity analysis holds `indices.csv` and `indices.json` (one row per arm, outcome, input and
//! index), `points.csv` (every point of the design), `register.json` and `manifest.json`. That of advice holds
//! `advice.json`, `searched.csv` (what became of every setting), `listed.csv` (the short list on fresh typists),
//! `rules.csv` (the best setting of each rule), `whom.csv` (whom the setting fails), `knobs.csv` (what turning a value
//! does), `turns.csv` (what would change the advice), `register.json`, `page.html` and `manifest.json`. That of a
//! robustness analysis holds `robust.json`, `conclusions.csv`, `against.csv` (which assumption speaks against which
//! conclusion), `register.json` and `manifest.json`, and the page of the advice where there is one.

mod claim;
mod compare;
mod csv_text;
mod events;
mod folder;
mod log_read;
mod log_write;
mod parquet_footer;
mod parquet_pages;
mod read;
mod recommend;
mod robust;
mod sensitivity;
mod sweep;
mod tables;
mod thrift;
mod typist_columns;

pub use claim::Claim;
pub use compare::{Difference, differences};
pub use events::write_events;
pub use folder::{
    Files, FolderKind, RunInfo, check_target, input_files, manifest, register_json, run_files, save_folder,
    write_folder, write_whole,
};
pub(crate) use folder::{hex, save_synced, to_json};
pub use log_read::{LogFileError, read_log, read_log_within};
pub use log_write::LogSink;
pub use read::{FolderError, ResultFolder};
pub use recommend::{advice_files, write_advice_folder};
pub use robust::{robust_files, write_robust_folder};
pub use sensitivity::{sensitivity_files, write_sensitivity_folder};
pub use sweep::{sweep_files, write_sweep_folder};
pub use typist_columns::TypistColumns;

use std::io::Write;
use std::path::{Path, PathBuf};

/// Why files could not be written. The texts continue "failed to write results: …".
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// The operating system refused.
    #[error("{doing} {path}: {source}. Check that the folder exists, can be written to and that the disk is not full")]
    Io {
        /// What was tried.
        doing: &'static str,
        /// Where.
        path: PathBuf,
        /// Its answer.
        source: std::io::Error,
    },
    /// The target is something else than an earlier result.
    #[error("{0} exists and is no result folder of agogic; name another with --out, or move it away")]
    Occupied(PathBuf),
    /// Another run writes there at this moment.
    #[error("another run of agogic is writing to {0}; wait for it, or name another place with --out")]
    Busy(PathBuf),
    /// The folder of another shard.
    #[error(
        "{0} holds another shard, or this one of another spec, other input files or another build; name another \
             folder with --out, or move it away"
    )]
    OtherShard(PathBuf),
    /// Finished work could not be kept.
    #[error(
        "keeping finished blocks in {folder}: {source}. Make room or mend the folder, then give the same command \
             again: it goes on from the blocks that are kept"
    )]
    Unfinished {
        /// Where.
        folder: PathBuf,
        /// The system's answer.
        source: std::io::Error,
    },
    /// The dataframe library refused.
    #[error("writing the table {path}: {message}")]
    Table {
        /// Where.
        path: PathBuf,
        /// Its answer.
        message: String,
    },
}

/// Writes a file whole or not at all.
///
/// # Errors
/// The disk refuses; what was there before then stays.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let parent = path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut draft = tempfile::NamedTempFile::new_in(parent).map_err(io("creating a temporary file in", parent))?;
    draft.write_all(bytes).and_then(|()| draft.as_file().sync_all()).map_err(io("writing", path))?;
    draft.persist(path).map_err(|e| io("moving the file to", path)(e.error))?;
    Ok(())
}

/// The folder that a path lies in.
pub(crate) fn parent_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    }
}

pub(crate) fn io(doing: &'static str, path: &Path) -> impl FnOnce(std::io::Error) -> FileError {
    let path = path.to_owned();
    move |source| FileError::Io { doing, path, source }
}

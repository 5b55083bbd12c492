//! Result folders and event logs on disk, written whole or not at all.
//!
//! A result folder holds `results.parquet`, `results.csv` and `results.json` (one row per arm, policy,
//! estimand and statistic), `typists.parquet` (counts per typist and policy), `kinds.csv` (wrong outcomes by
//! modifier and key), `floor.csv` (the floor of the ideal observer), `hands.csv` (finger
//! load and reach of each assignment), `advice.json`, `register.json` (every number of the typist model with its provenance)
//! and `manifest.json`.
//!
//! The folder of a sweep holds `sweep.parquet`, `sweep.csv` and `sweep.json` (one row per arm, setting and
//! estimand), `front.csv` and `front.json` (what is dominated, by what), `register.json` and `manifest.json`.
//! That of a sensitivity analysis holds `indices.csv` and `indices.json` (one row per arm, outcome, input and
//! index), `points.csv` (every point of the design), `register.json` and `manifest.json`. That of advice holds
//! `advice.json`, `searched.csv` (what became of every setting), `listed.csv` (the short list on fresh typists),
//! `whom.csv` (whom the setting fails), `knobs.csv` (what turning a value does), `turns.csv` (what would change the
//! advice), `register.json` and `manifest.json`. That of a robustness analysis holds `robust.json`, `conclusions.csv`,
//! `against.csv` (which assumption speaks against which conclusion), `register.json` and `manifest.json`.

mod csv_text;
mod events;
mod folder;
mod log_read;
mod log_write;
mod recommend;
mod robust;
mod sensitivity;
mod sweep;
mod tables;

pub use events::write_events;
pub use folder::{RunInfo, check_target, write_folder};
pub use log_read::{LogFileError, read_log, read_log_within};
pub use log_write::LogSink;
pub use recommend::write_advice_folder;
pub use robust::write_robust_folder;
pub use sensitivity::write_sensitivity_folder;
pub use sweep::write_sweep_folder;

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
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let parent = path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut draft = tempfile::NamedTempFile::new_in(parent).map_err(io("creating a temporary file in", parent))?;
    draft.write_all(bytes).and_then(|()| draft.as_file().sync_all()).map_err(io("writing", path))?;
    draft.persist(path).map_err(|e| io("moving the file to", path)(e.error))?;
    Ok(())
}

pub(crate) fn io(doing: &'static str, path: &Path) -> impl FnOnce(std::io::Error) -> FileError {
    let path = path.to_owned();
    move |source| FileError::Io { doing, path, source }
}

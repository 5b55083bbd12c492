//! Result folders and event logs on disk, written whole or not at all.
//!
//! A result folder holds `results.parquet`, `results.csv` and `results.json` (one row per arm, policy,
//! estimand and statistic), `typists.parquet` (counts per typist and policy), `kinds.csv` (wrong outcomes by
//! modifier and key), `floor.csv` (the floor of the ideal observer), `hands.csv` (finger
//! load and reach of each assignment), `advice.json`, `register.json` (every number of the typist model with its provenance)
//! and `manifest.json`. Copies of the files that the spec names lie beside them as `input-1-NAME` and so on, so that
//! a folder can be repeated by itself: whoever passes it on passes those texts on.
//!
//! The folder of a sweep holds `sweep.parquet`, `sweep.csv` and `sweep.json` (one row per arm, setting and
//! estimand), `front.csv` and `front.json` (what is dominated, by what), `register.json` and `manifest.json`.
//! That of a sensitivity analysis holds `indices.csv` and `indices.json` (one row per arm, outcome, input and
//! index), `points.csv` (every point of the design), `register.json` and `manifest.json`.

mod compare;
mod csv_text;
mod events;
mod folder;
mod read;
mod sensitivity;
mod sweep;
mod tables;

pub use compare::{Difference, differences};
pub use events::write_events;
pub use folder::{
    Files, FolderKind, RunInfo, check_target, input_files, manifest, register_json, run_files, save_folder,
    write_folder, write_whole,
};
pub use read::{FolderError, ResultFolder, TypistTable, read_typists};
pub use sensitivity::{sensitivity_files, write_sensitivity_folder};
pub use sweep::{sweep_files, write_sweep_folder};

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

pub(crate) fn io(doing: &'static str, path: &Path) -> impl FnOnce(std::io::Error) -> FileError {
    let path = path.to_owned();
    move |source| FileError::Io { doing, path, source }
}

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
//! index), `points.csv` (every point of the design), `register.json` and `manifest.json`.

mod claim;
mod csv_text;
mod events;
mod folder;
mod sensitivity;
mod sweep;
mod tables;

pub use claim::Claim;
pub use events::write_events;
pub use folder::{RunInfo, check_target, write_folder};
pub(crate) use folder::{hex, save_synced, to_json};
pub use sensitivity::write_sensitivity_folder;
pub use sweep::write_sweep_folder;

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

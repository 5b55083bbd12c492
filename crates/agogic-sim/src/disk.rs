//! Files written whole or not at all.

use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};

use serde::Serialize;

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
pub fn parent_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// Turns what the system said into a [`FileError`]: what was tried, and where.
pub fn io(doing: &'static str, path: &Path) -> impl FnOnce(std::io::Error) -> FileError {
    let path = path.to_owned();
    move |source| FileError::Io { doing, path, source }
}

/// Writes a file and waits until the disk has it.
///
/// # Errors
/// The disk refuses.
pub fn save_synced(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let mut file = File::create(path).map_err(io("creating", path))?;
    file.write_all(bytes).and_then(|()| file.sync_all()).map_err(io("writing", path))
}

/// A struct of our own as JSON with a line feed at the end.
///
/// # Panics
/// It cannot be said in JSON.
pub fn to_json(value: &impl Serialize) -> Vec<u8> {
    let mut bytes = serde_json::to_vec_pretty(value).expect("our own structs serialise");
    bytes.push(b'\n');
    bytes
}

/// Bytes as hexadecimal digits.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

//! One shard of a study: every n-th block, in a folder of its own.

use std::fs;
use std::path::{Path, PathBuf};

use agogic_keys::one_line;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::fingerprint::Fingerprint;
use super::plan::{BlockPlan, Shard};
use super::store::Store;
use crate::disk::{FileError, io, save_synced, to_json};
use crate::engine::Engine;
use crate::runner::Buffers;

/// Name of the file that says a shard is complete.
pub const SHARD_FILE: &str = "shard.json";

/// Format of that file.
pub(super) const FORMAT: &str = "agogic-shard-1";

/// What stands in [`SHARD_FILE`].
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShardInfo {
    /// Format of the file.
    pub format: String,
    /// Name of the study.
    pub study: String,
    /// Number of the shard, from 1.
    pub shard: u32,
    /// How many there are.
    pub of: u32,
    /// Blocks in the folder.
    pub blocks: usize,
    /// Fingerprint of the study.
    pub fingerprint: String,
    /// Digest of the sources of the program that made it.
    pub sources_sha256: String,
    /// The spec.
    pub spec: String,
    /// Folder from which the paths in the spec start.
    pub spec_folder: PathBuf,
}

impl ShardInfo {
    /// Reads the file of a shard.
    ///
    /// # Errors
    /// It is not of this format; the text continues "failed to read the shard: …".
    pub fn read(text: &str) -> Result<Self, String> {
        let info: Self = serde_json::from_str(text).map_err(|e| one_line(&e.to_string()).into_owned())?;
        if info.format != FORMAT {
            return Err(format!("its format is `{}`, not `{FORMAT}`", one_line(&info.format)));
        }
        Shard::new(info.shard, info.of).map_err(|fault| fault.to_string())?;
        Ok(info)
    }
}

/// How a shard was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShardProgress {
    /// Blocks in the shard.
    pub blocks: usize,
    /// Of those, found finished.
    pub found: usize,
}

/// Makes a shard of a study in the folder `out`, or what is missing of it. Whoever does must be the only one there.
///
/// `progress` is called as by [`run_blocks`](super::run_blocks).
///
/// # Errors
/// The folder holds something else than this shard; the disk refuses. What was finished stays.
pub fn run_shard(
    engine: &Engine<'_>,
    shard: Shard,
    spec_folder: &Path,
    out: &Path,
    progress: &(dyn Fn(u64) + Sync),
) -> Result<ShardProgress, FileError> {
    let study = engine.study;
    let info = ShardInfo {
        format: FORMAT.to_owned(),
        study: study.name.clone(),
        shard: shard.number(),
        of: shard.of(),
        blocks: BlockPlan::of(study).of_shard(shard).len(),
        fingerprint: Fingerprint::of(study).hex(),
        sources_sha256: Fingerprint::SOURCES.to_owned(),
        spec: study.spec.clone(),
        spec_folder: std::path::absolute(spec_folder).unwrap_or_else(|_| spec_folder.to_owned()),
    };
    check_folder(out, &info)?;
    // The number of the shard is written before the first block: no other shard may start here from then on.
    let store = Store::open(study, out)?;
    let begun = out.join(BEGUN_FILE);
    save_synced(&begun, &to_json(&info))?;
    let plan = BlockPlan::of(study);
    let found = plan.of_shard(shard).into_par_iter().map_init(Buffers::default, |buffers, place| {
        let (_, found) = store.block(engine, &place, buffers, progress)?;
        Ok(usize::from(found))
    });
    let found = found.collect::<Result<Vec<usize>, FileError>>()?.into_iter().sum();
    let done = out.join(SHARD_FILE);
    fs::rename(&begun, &done).map_err(io("finishing the shard", &done))?;
    if let Ok(folder) = fs::File::open(out) {
        // Not every file system can sync a folder; the files themselves are safe already.
        let _ = folder.sync_all();
    }
    Ok(ShardProgress { blocks: info.blocks, found })
}

/// Name of the same file before the shard is complete.
const BEGUN_FILE: &str = "shard-begun.json";

/// Whether a folder is free, or holds a part of this very shard.
fn check_folder(out: &Path, info: &ShardInfo) -> Result<(), FileError> {
    if fs::symlink_metadata(out).is_err() {
        return Ok(());
    }
    for name in [SHARD_FILE, BEGUN_FILE] {
        let path = out.join(name);
        let Ok(text) = fs::read_to_string(&path) else { continue };
        let same = ShardInfo::read(&text)
            .is_ok_and(|there| (&there.fingerprint, there.shard, there.of) == (&info.fingerprint, info.shard, info.of));
        return if same { Ok(()) } else { Err(FileError::OtherShard(out.to_owned())) };
    }
    let is_empty = fs::read_dir(out).is_ok_and(|mut entries| entries.next().is_none());
    if is_empty { Ok(()) } else { Err(FileError::Occupied(out.to_owned())) }
}

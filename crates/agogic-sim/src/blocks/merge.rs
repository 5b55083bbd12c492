//! Shards put together: the same bytes as one run.

use std::fs;
use std::path::{Path, PathBuf};

use agogic_study::{Mistakes, Study};

use super::block::Block;
use super::fingerprint::Fingerprint;
use super::plan::{BlockPlan, Shard};
use super::run::finished;
use super::shard::{SHARD_FILE, ShardInfo};
use super::store::Store;
use crate::scratch::Scratch;
use agogic_keys::one_line;

/// Why shards do not come together. The texts continue "failed to merge the shards: …".
#[derive(Debug, thiserror::Error)]
pub enum MergeError {
    /// No folder was named.
    #[error("no folder was named; name the folder of each shard")]
    Nothing,
    /// No finished shard.
    #[error(
        "{folder} holds no finished shard ({why}); make it again with `agogic shard`, which goes on where it stopped"
    )]
    Unfinished {
        /// The folder.
        folder: PathBuf,
        /// What is wrong.
        why: String,
    },
    /// Of another study.
    #[error(
        "{folder} is foreign: it belongs to the study `{study}` with another spec, other input files or another build than {first}"
    )]
    Foreign {
        /// The folder.
        folder: PathBuf,
        /// Its study.
        study: String,
        /// The folder it does not go with.
        first: PathBuf,
    },
    /// Cut into another number of shards.
    #[error("{folder} is one of {of} shards, but {first} is one of {first_of}; merge shards of one division only")]
    OtherDivision {
        /// The folder.
        folder: PathBuf,
        /// Its number of shards.
        of: u32,
        /// The folder it does not go with.
        first: PathBuf,
        /// That one's.
        first_of: u32,
    },
    /// The same shard twice.
    #[error("shard {shard} is there twice: {first} and {second}; leave one out")]
    Doubled {
        /// Which.
        shard: Shard,
        /// Where.
        first: PathBuf,
        /// And where again.
        second: PathBuf,
    },
    /// Not all shards.
    #[error("of {of} shards these are missing: {}", list(.missing))]
    Missing {
        /// Their numbers.
        missing: Vec<u32>,
        /// How many there should be.
        of: u32,
    },
    /// The spec of the shards can no longer be read.
    #[error("the spec of the shards has {} mistakes here; its paths start from {folder}\n{mistakes}", .mistakes.0.len())]
    Spec {
        /// Folder of the spec.
        folder: PathBuf,
        /// What is wrong.
        mistakes: Mistakes,
    },
    /// The program or the files named by the spec are not those that made the shards.
    #[error("{folder} was made {}", if *.build { "by another build of agogic; merge with the one that made it" } else { "from other input files than those that its spec names now; put the old ones back" })]
    Changed {
        /// The folder.
        folder: PathBuf,
        /// It is the program that differs.
        build: bool,
    },
}

/// The first few numbers.
fn list(numbers: &[u32]) -> String {
    const MOST: usize = 12;
    let mut text = numbers.iter().take(MOST).map(u32::to_string).collect::<Vec<_>>().join(", ");
    if numbers.len() > MOST {
        text.push_str(&format!(" and {} more", numbers.len() - MOST));
    }
    text
}

fn info(folder: &Path) -> Result<ShardInfo, MergeError> {
    let unfinished = |why: String| MergeError::Unfinished { folder: folder.to_owned(), why };
    let path = folder.join(SHARD_FILE);
    let text = fs::read_to_string(&path).map_err(|e| unfinished(format!("reading {SHARD_FILE}: {e}")))?;
    ShardInfo::read(&text).map_err(|e| unfinished(format!("reading {SHARD_FILE}: {e}")))
}

/// The study of the shards in `folders`, once they are known to be all of one study.
///
/// # Errors
/// Foreign, missing or doubled shards; another build or other input files than made them.
pub fn study_of(folders: &[PathBuf]) -> Result<Study, MergeError> {
    let first = folders.first().ok_or(MergeError::Nothing)?;
    let head = info(first)?;
    let mut places: Vec<Option<&PathBuf>> = vec![None; head.of as usize];
    for folder in folders {
        let info = info(folder)?;
        if info.fingerprint != head.fingerprint {
            let study = one_line(&info.study).into_owned();
            return Err(MergeError::Foreign { folder: folder.clone(), study, first: first.clone() });
        }
        if info.of != head.of {
            let (first, first_of) = (first.clone(), head.of);
            return Err(MergeError::OtherDivision { folder: folder.clone(), of: info.of, first, first_of });
        }
        let place = &mut places[info.shard as usize - 1];
        if let Some(first) = place {
            let shard = Shard::new(info.shard, info.of).expect("checked when it was read");
            return Err(MergeError::Doubled { shard, first: first.clone(), second: folder.clone() });
        }
        *place = Some(folder);
    }
    let missing: Vec<u32> = (1..=head.of).filter(|&number| places[number as usize - 1].is_none()).collect();
    if !missing.is_empty() {
        return Err(MergeError::Missing { missing, of: head.of });
    }
    let study = Study::read(&head.spec, &head.spec_folder)
        .map_err(|mistakes| MergeError::Spec { folder: head.spec_folder.clone(), mistakes })?;
    if Fingerprint::of(&study).hex() != head.fingerprint {
        let build = head.sources_sha256 != Fingerprint::SOURCES;
        return Err(MergeError::Changed { folder: first.clone(), build });
    }
    Ok(study)
}

/// Puts the shards of a study together, each arm as one block; `folders` as for [`study_of`].
///
/// # Errors
/// A block is missing or damaged.
pub fn merge_blocks(study: &Study, folders: &[PathBuf]) -> Result<Vec<Block>, MergeError> {
    let plan = BlockPlan::of(study);
    let fingerprint = Fingerprint::of(study);
    let mut sources = Vec::new();
    for folder in folders {
        let ShardInfo { shard, of, .. } = info(folder)?;
        let shard = Shard::new(shard, of).expect("checked when it was read");
        sources.push((folder, Store::of(fingerprint, folder), plan.of_shard(shard)));
    }
    // Where the first shard lies there may be no room or no right to write: then memory has to do.
    let scratch = folders.first().and_then(|folder| Scratch::on_disk_of(folder));
    let arms = (0..study.arms.len()).map(|arm| {
        finished(study, arm, scratch.as_ref(), |place| {
            let (folder, store, _) =
                sources.iter().find(|(.., blocks)| blocks.contains(place)).expect("the shards are all there");
            store.load(study, place).ok_or_else(|| MergeError::Unfinished {
                folder: (*folder).clone(),
                why: format!("{} is missing or damaged", store.path(place).display()),
            })
        })
    });
    arms.collect()
}

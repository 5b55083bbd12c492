//! The claim on a place for results: one run at a time, and what a killed one left behind.

use agogic_sim::FileError;
use agogic_sim::disk::{io, parent_of};

use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};

/// The right to write to a place, for as long as the value lives.
///
/// The operating system holds the lock and drops it with the process, however that ends: a killed run is no obstacle.
/// The lock file `.NAME.lock` beside the place is removed at the end where that can be done without a race.
#[derive(Debug)]
pub struct Claim {
    out: PathBuf,
    lock_path: PathBuf,
    /// Locked until it is closed.
    lock: File,
}

/// Prefix of the folders in which the results for `out` are put together.
pub(crate) fn draft_prefix(out: &Path) -> String {
    format!(".{}.draft-", name_of(out))
}

fn name_of(out: &Path) -> String {
    out.file_name().unwrap_or(out.as_os_str()).to_string_lossy().into_owned()
}

impl Claim {
    /// Claims a place for results, and removes what killed runs left half-written beside it.
    ///
    /// # Errors
    /// Another run has it; the disk refuses.
    pub fn new(out: &Path) -> Result<Self, FileError> {
        let parent = parent_of(out);
        fs::create_dir_all(&parent).map_err(io("creating the folder", &parent))?;
        let lock_path = parent.join(format!(".{}.lock", name_of(out)));
        let lock = loop {
            let open = File::options().read(true).write(true).create(true).truncate(false).open(&lock_path);
            let lock = open.map_err(io("creating the lock file", &lock_path))?;
            match lock.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => return Err(FileError::Busy(out.to_owned())),
                Err(TryLockError::Error(e)) => return Err(io("locking the file", &lock_path)(e)),
            }
            // The run before may have removed the file between our opening and locking it.
            if is_at(&lock, &lock_path) {
                break lock;
            }
        };
        let claim = Self { out: out.to_owned(), lock_path, lock };
        claim.tidy(&parent)?;
        Ok(claim)
    }

    /// The folder beside the place in which finished blocks of a run are kept until all are there.
    pub fn unfinished(&self) -> PathBuf {
        parent_of(&self.out).join(format!("{}.unfinished", name_of(&self.out)))
    }

    /// Removes the folder of finished blocks: their results stand at the place now.
    ///
    /// # Errors
    /// The disk refuses.
    pub fn settle(&self) -> Result<(), FileError> {
        let folder = self.unfinished();
        if folder.exists() {
            fs::remove_dir_all(&folder).map_err(io("removing the folder", &folder))?;
        }
        Ok(())
    }

    /// Drafts are removed; an earlier result that was moved aside and not replaced is put back.
    fn tidy(&self, parent: &Path) -> Result<(), FileError> {
        let prefix = draft_prefix(&self.out);
        for entry in fs::read_dir(parent).map_err(io("reading the folder", parent))?.flatten() {
            let name = entry.file_name().to_string_lossy().into_owned();
            let path = entry.path();
            if !name.starts_with(&prefix) {
                continue;
            }
            if name.ends_with("-old") && fs::symlink_metadata(&self.out).is_err() {
                fs::rename(&path, &self.out).map_err(io("putting back the earlier result from", &path))?;
            } else {
                fs::remove_dir_all(&path).map_err(io("removing the unfinished folder", &path))?;
            }
        }
        Ok(())
    }
}

impl Drop for Claim {
    fn drop(&mut self) {
        // Removed while it is locked: whoever has it open by now will find that it is not the file at the path.
        // Elsewhere than on Unix that cannot be found out, so the empty file stays.
        if cfg!(unix) {
            let _ = fs::remove_file(&self.lock_path);
        }
        let _ = self.lock.unlock();
        // Nothing finished, nothing to keep: fails when there is something.
        let _ = fs::remove_dir(self.unfinished());
    }
}

/// Whether an open file is the one at a path.
#[cfg(unix)]
fn is_at(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let id = |meta: fs::Metadata| (meta.dev(), meta.ino());
    matches!((file.metadata().map(id), fs::metadata(path).map(id)), (Ok(open), Ok(there)) if open == there)
}

/// Whether an open file is the one at a path; here nobody removes it.
#[cfg(not(unix))]
fn is_at(_file: &File, _path: &Path) -> bool {
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_claim_at_a_time_and_none_after() {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join("deep/results");
        let claim = Claim::new(&out).unwrap();
        assert!(matches!(Claim::new(&out), Err(FileError::Busy(_))));
        // Another place in the same folder is free.
        Claim::new(&folder.path().join("deep/others")).unwrap();
        drop(claim);
        Claim::new(&out).unwrap();
        // A lock file that a killed run left is no obstacle.
        fs::write(folder.path().join("deep/.results.lock"), "").unwrap();
        drop(Claim::new(&out).unwrap());
        let left = fs::read_dir(folder.path().join("deep")).unwrap().count();
        assert_eq!(left, usize::from(!cfg!(unix)) * 2);
    }

    #[test]
    fn what_a_killed_run_left_is_tidied_up() {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join("results");
        let beside = |name: &str| folder.path().join(name);
        fs::create_dir(beside(".results.draft-aB3")).unwrap();
        fs::create_dir(beside(".results.draft-aB3-old")).unwrap();
        fs::write(beside(".results.draft-aB3-old/manifest.json"), "{}").unwrap();
        fs::create_dir(beside(".others.draft-x")).unwrap();
        drop(Claim::new(&out).unwrap());
        // The earlier result stands again where it stood; drafts of other places are theirs.
        assert!(out.join("manifest.json").is_file() && beside(".others.draft-x").is_dir());
        assert!(!beside(".results.draft-aB3").exists() && !beside(".results.draft-aB3-old").exists());
        // Once a result stands there, what was moved aside is the older one.
        fs::create_dir(beside(".results.draft-cD4-old")).unwrap();
        drop(Claim::new(&out).unwrap());
        assert!(!beside(".results.draft-cD4-old").exists() && out.join("manifest.json").is_file());
    }

    #[test]
    fn blocks_are_kept_until_they_are_settled() {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join("results");
        let claim = Claim::new(&out).unwrap();
        let unfinished = claim.unfinished();
        fs::create_dir(&unfinished).unwrap();
        fs::write(unfinished.join("one.block"), "1").unwrap();
        drop(claim);
        assert!(unfinished.join("one.block").is_file());
        let claim = Claim::new(&out).unwrap();
        claim.settle().unwrap();
        assert!(!unfinished.exists());
    }
}

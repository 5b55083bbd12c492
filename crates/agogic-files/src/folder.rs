//! The result folder: made beside its place, then renamed into it.

use std::fs::{self, File};
use std::path::Path;

use agogic_typist::{Entry, register_of};

use crate::claim::draft_prefix;
use agogic_sim::FileError;
use agogic_sim::disk::{io, parent_of, save_synced, to_json};
use agogic_study::{Input, Study};

/// Name of the file that makes a folder a result folder.
pub(crate) const MANIFEST: &str = "manifest.json";

/// Whether results may be written to `out`: it is free, or holds an earlier result.
///
/// # Errors
/// The place is taken by something else.
pub fn check_target(out: &Path) -> Result<(), FileError> {
    check_place(out, MANIFEST)
}

/// The spec of the study whose results lie at `out`; `None` where there are none.
pub fn spec_kept(out: &Path) -> Option<String> {
    let manifest: serde_json::Value = serde_json::from_slice(&fs::read(out.join(MANIFEST)).ok()?).ok()?;
    manifest.get("spec")?.as_str().map(str::to_owned)
}

fn check_place(out: &Path, marker: &str) -> Result<(), FileError> {
    match fs::symlink_metadata(out) {
        Err(_) => Ok(()),
        Ok(meta) if meta.is_dir() && (out.join(marker).is_file() || is_empty(out)) => Ok(()),
        Ok(_) => Err(FileError::Occupied(out.to_owned())),
    }
}

fn is_empty(folder: &Path) -> bool {
    fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_none())
}

/// File names and contents.
pub type Files = Vec<(String, Vec<u8>)>;

/// The files that the spec of a study names, as copies under plain names.
pub fn input_files(study: &Study) -> Files {
    let plain = |c: char| if c.is_ascii_alphanumeric() || ".-_".contains(c) { c } else { '-' };
    let last =
        |named: &str| named.rsplit(['/', '\\']).next().unwrap_or_default().chars().map(plain).collect::<String>();
    let name = |(at, input): (usize, &Input)| format!("input-{}-{}", at + 1, last(&input.named));
    study.inputs.iter().enumerate().map(|pair| (name(pair), pair.1.text.clone().into_bytes())).collect()
}

/// Writes `files` as the folder `out`, or nothing; a name may lead into a folder of its own, as `tables/a.csv`.
///
/// What is at `out` already is replaced only if it is empty or holds `marker`, the file by which such a folder is
/// known, and only once the new folder is complete.
///
/// # Errors
/// The place is taken by something else, or the disk refuses; nothing is left behind then.
pub fn save_folder(files: &[(String, Vec<u8>)], out: &Path, marker: &str) -> Result<(), FileError> {
    save_files(files.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice())), out, marker)
}

pub(crate) fn save_files<'a>(
    files: impl Iterator<Item = (&'a str, &'a [u8])>,
    out: &Path,
    marker: &str,
) -> Result<(), FileError> {
    check_place(out, marker)?;
    let parent = parent_of(out);
    fs::create_dir_all(&parent).map_err(io("creating the folder", &parent))?;
    // Removed by its destructor if anything below fails.
    let draft = tempfile::Builder::new()
        .prefix(&draft_prefix(out))
        .tempdir_in(&parent)
        .map_err(io("creating a temporary folder in", &parent))?;
    for (name, bytes) in files {
        let path = draft.path().join(name);
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(io("creating the folder", folder))?;
        }
        save_synced(&path, bytes)?;
    }
    let draft = draft.keep();
    put_in_place(&draft, out, &parent)
}

fn put_in_place(draft: &Path, out: &Path, parent: &Path) -> Result<(), FileError> {
    let mut earlier = None;
    if out.exists() {
        let aside = parent.join(format!("{}-old", draft.file_name().unwrap_or_default().to_string_lossy()));
        fs::rename(out, &aside).map_err(io("moving the earlier result away from", out))?;
        earlier = Some(aside);
    }
    if let Err(refused) = fs::rename(draft, out) {
        if let Some(aside) = &earlier {
            let _ = fs::rename(aside, out);
        }
        let _ = fs::remove_dir_all(draft);
        return Err(io("moving the results to", out)(refused));
    }
    if let Some(aside) = earlier {
        fs::remove_dir_all(&aside).map_err(io("removing the earlier result", &aside))?;
    }
    if let Ok(folder) = File::open(parent) {
        // Not every file system can sync a folder; the files themselves are safe already.
        let _ = folder.sync_all();
    }
    Ok(())
}

/// `register.json`: every number of the populations of a study, with its provenance.
pub fn register_json(study: &Study) -> Vec<u8> {
    to_json(&registers(study))
}

/// Every number of the populations of the study, with its provenance.
pub(crate) fn registers(study: &Study) -> Vec<Entry> {
    let mut seen: Vec<&str> = Vec::new();
    let mut entries = Vec::new();
    for arm in &study.arms {
        if !seen.contains(&arm.population.name()) {
            seen.push(arm.population.name());
            entries.extend(register_of(&arm.population));
        }
    }
    entries
}

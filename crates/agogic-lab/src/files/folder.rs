//! The result folder: made beside its place, then renamed into it.

use std::fs::{self, File};
use std::io::Write;
use std::path::Path;

use agogic_typist::{Entry, register_of};
use serde::Serialize;
use serde_json::json;
use sha2::{Digest, Sha256};

use super::claim::draft_prefix;
use super::{FileError, io, parent_of, tables};
use crate::advice::Advice;
use crate::blocks::Fingerprint;
use crate::run::StudyResult;
use crate::study::Study;

/// Name of the file that makes a folder a result folder.
const MANIFEST: &str = "manifest.json";

/// What differs between two runs of the same study.
#[derive(Clone, Debug, Serialize)]
pub struct RunInfo {
    /// When the run began, in seconds since 1970-01-01 UTC.
    pub started_unix_s: u64,
    /// How long it took, in seconds.
    pub seconds: f64,
    /// Threads used.
    pub threads: usize,
}

/// Whether results may be written to `out`: it is free, or holds an earlier result.
///
/// # Errors
/// The place is taken by something else.
pub fn check_target(out: &Path) -> Result<(), FileError> {
    match fs::symlink_metadata(out) {
        Err(_) => Ok(()),
        Ok(meta) if meta.is_dir() && (out.join(MANIFEST).is_file() || is_empty(out)) => Ok(()),
        Ok(_) => Err(FileError::Occupied(out.to_owned())),
    }
}

fn is_empty(folder: &Path) -> bool {
    fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_none())
}

/// Writes a result folder, `figures` (file names and contents) with it. An earlier result at `out` is replaced only
/// once the new one is complete.
///
/// # Errors
/// The place is taken by something else, or the disk refuses; nothing is left behind then.
pub fn write_folder(
    study: &Study,
    result: &StudyResult,
    advice: &[Advice],
    figures: &[(String, Vec<u8>)],
    info: &RunInfo,
    out: &Path,
) -> Result<(), FileError> {
    let mut files = vec![
        ("results.parquet".to_owned(), tables::results_parquet(&result.rows, out)?),
        ("results.csv".to_owned(), tables::results_csv(&result.rows, out)?),
        ("results.json".to_owned(), to_json(&result.rows)),
        ("typists.parquet".to_owned(), tables::typists_parquet(study, &result.arms, out)?),
        ("kinds.csv".to_owned(), tables::kinds_csv(study, &result.arms, out)?),
        ("hands.csv".to_owned(), tables::hands_csv(study, out)?),
        ("floor.csv".to_owned(), tables::floor_csv(&result.arms, out)?),
        ("advice.json".to_owned(), to_json(&advice)),
        ("register.json".to_owned(), to_json(&registers(study))),
    ];
    files.extend_from_slice(figures);
    write_whole("agogic-results-1", study, &files, info, out)
}

/// Writes `files` and their manifest as the folder `out`, or nothing.
pub(super) fn write_whole(
    format: &str,
    study: &Study,
    files: &[(String, Vec<u8>)],
    info: &RunInfo,
    out: &Path,
) -> Result<(), FileError> {
    check_target(out)?;
    let parent = parent_of(out);
    fs::create_dir_all(&parent).map_err(io("creating the folder", &parent))?;
    // Removed by its destructor if anything below fails.
    let draft = tempfile::Builder::new()
        .prefix(&draft_prefix(out))
        .tempdir_in(&parent)
        .map_err(io("creating a temporary folder in", &parent))?;
    let mut hashes = serde_json::Map::new();
    for (name, bytes) in files {
        hashes.insert(name.clone(), json!(hex(&Sha256::digest(bytes))));
        save_synced(&draft.path().join(name), bytes)?;
    }
    let manifest = manifest(format, study, info, hashes);
    save_synced(&draft.path().join(MANIFEST), &to_json(&manifest))?;
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

pub(crate) fn save_synced(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let mut file = File::create(path).map_err(io("creating", path))?;
    file.write_all(bytes).and_then(|()| file.sync_all()).map_err(io("writing", path))
}

pub(crate) fn to_json(value: &impl Serialize) -> Vec<u8> {
    let mut bytes = serde_json::to_vec_pretty(value).expect("our own structs serialise");
    bytes.push(b'\n');
    bytes
}

/// Every number of the populations of the study, with its provenance.
pub(super) fn registers(study: &Study) -> Vec<Entry> {
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

fn manifest(
    format: &str,
    study: &Study,
    info: &RunInfo,
    files: serde_json::Map<String, serde_json::Value>,
) -> serde_json::Value {
    json!({
        "format": format,
        "study": study.name,
        "question": study.question,
        "seed": study.seed,
        "typists": study.typists,
        "arms": study.arms.iter().map(|arm| json!({
            "label": arm.label,
            "population": arm.population.name(),
            "assignment": arm.assignment_name,
            "dual_role_keys": arm.assignment.iter().map(|(code, role)| json!([code.name(), role.name()])).collect::<Vec<_>>(),
            "keys_each": arm.keys,
            "clock_us": json!({
                "scan": arm.clock.scan.0, "debounce_press": arm.clock.debounce_press.0,
                "debounce_release": arm.clock.debounce_release.0, "poll": arm.clock.poll.0,
                "clamp": arm.clock.clamp.0,
            }),
        })).collect::<Vec<_>>(),
        "policies": study.policies,
        "text": study.text_from,
        "notes": study.notes,
        "spec": study.spec,
        "spec_sha256": hex(&Sha256::digest(study.spec.as_bytes())),
        "inputs_sha256": study.inputs.iter().map(|input| json!([input.name, hex(&input.sha256)])).collect::<Vec<_>>(),
        "agogic": env!("CARGO_PKG_VERSION"),
        "sources_sha256": Fingerprint::SOURCES,
        "cargo_lock_sha256": hex(&Sha256::digest(include_bytes!("../../../../Cargo.lock"))),
        "files_sha256": files,
        "run": {
            "started_unix_s": info.started_unix_s,
            "seconds": info.seconds,
            "threads": info.threads,
            "os": std::env::consts::OS,
            "architecture": std::env::consts::ARCH,
        },
    })
}

pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

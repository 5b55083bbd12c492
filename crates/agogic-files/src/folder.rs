//! The result folder: made beside its place, then renamed into it.

use std::fs::{self, File};
use std::path::Path;

use agogic_typist::{Entry, register_of};
use serde::Serialize;
use serde_json::json;
use sha2::{Digest, Sha256};

use crate::claim::draft_prefix;
use crate::tables;
use agogic_lab::Advice;
use agogic_lab::StudyResult;
use agogic_lab::cautions_of;
use agogic_sim::disk::{hex, io, parent_of, save_synced, to_json};
use agogic_sim::{FileError, Fingerprint};
use agogic_study::{Input, Study};

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
    check_place(out, MANIFEST)
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

/// The files of a run of a study, without figures and manifest: names and contents.
///
/// # Errors
/// The dataframe library refuses.
pub fn run_files(study: &Study, result: &StudyResult, advice: &[Advice], out: &Path) -> Result<Files, FileError> {
    Ok(vec![
        ("results.parquet".to_owned(), tables::results_parquet(&result.rows, out)?),
        ("results.csv".to_owned(), tables::results_csv(&result.rows, out)?),
        ("results.json".to_owned(), to_json(&result.rows)),
        ("typists.parquet".to_owned(), tables::typists_parquet(study, &result.arms, out)?),
        ("kinds.csv".to_owned(), tables::kinds_csv(study, &result.arms, out)?),
        ("hands.csv".to_owned(), tables::hands_csv(study, out)?),
        ("floor.csv".to_owned(), tables::floor_csv(&result.arms, out)?),
        ("advice.json".to_owned(), to_json(&advice)),
        ("cautions.json".to_owned(), to_json(&cautions_of(&result.rows))),
        ("register.json".to_owned(), to_json(&registers(study))),
    ])
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
    let mut files = run_files(study, result, advice, out)?;
    files.extend_from_slice(figures);
    write_whole(FolderKind::Run, study, &files, info, out)
}

/// File names and contents.
pub type Files = Vec<(String, Vec<u8>)>;

/// What a result folder holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FolderKind {
    /// The estimates of a study: `agogic run`.
    Run,
    /// Swept values and their fronts: `agogic sweep`.
    Sweep,
    /// Sensitivity indices: `agogic sensitivity`.
    Sensitivity,
    /// The setting to choose: `agogic advise`.
    Advice,
    /// Conclusions under other assumptions: `agogic robust`.
    Robust,
}

impl FolderKind {
    /// All kinds.
    pub const ALL: [Self; 5] = [Self::Run, Self::Sweep, Self::Sensitivity, Self::Advice, Self::Robust];

    /// The `format` in the manifest.
    pub fn format(self) -> &'static str {
        match self {
            Self::Run => "agogic-results-1",
            Self::Sweep => "agogic-sweep-1",
            Self::Sensitivity => "agogic-sensitivity-1",
            Self::Advice => "agogic-advice-1",
            Self::Robust => "agogic-robust-1",
        }
    }

    /// The command that makes such a folder.
    pub fn command(self) -> &'static str {
        match self {
            Self::Run => "run",
            Self::Sweep => "sweep",
            Self::Sensitivity => "sensitivity",
            Self::Advice => "advise",
            Self::Robust => "robust",
        }
    }
}

/// The files that the spec of a study names, as copies under plain names.
pub fn input_files(study: &Study) -> Files {
    let plain = |c: char| if c.is_ascii_alphanumeric() || ".-_".contains(c) { c } else { '-' };
    let last =
        |named: &str| named.rsplit(['/', '\\']).next().unwrap_or_default().chars().map(plain).collect::<String>();
    let name = |(at, input): (usize, &Input)| format!("input-{}-{}", at + 1, last(&input.named));
    study.inputs.iter().enumerate().map(|pair| (name(pair), pair.1.text.clone().into_bytes())).collect()
}

/// Writes `files` and their manifest as the folder `out`, or nothing.
///
/// # Errors
/// The place is taken by something else, or the disk refuses; nothing is left behind then.
pub fn write_whole(
    kind: FolderKind,
    study: &Study,
    files: &[(String, Vec<u8>)],
    info: &RunInfo,
    out: &Path,
) -> Result<(), FileError> {
    let mut more = input_files(study);
    let hash = |(name, bytes): &(String, Vec<u8>)| (name.clone(), json!(hex(&Sha256::digest(bytes))));
    let hashes: serde_json::Map<_, _> = files.iter().chain(&more).map(hash).collect();
    let mut manifest = manifest(kind, study);
    manifest["files_sha256"] = hashes.into();
    manifest["run"] = json!({
        "started_unix_s": info.started_unix_s,
        "seconds": info.seconds,
        "threads": info.threads,
        "os": std::env::consts::OS,
        "architecture": std::env::consts::ARCH,
    });
    more.push((MANIFEST.to_owned(), to_json(&manifest)));
    save_files(files.iter().chain(&more), out, MANIFEST)
}

/// Writes `files` as the folder `out`, or nothing; a name may lead into a folder of its own, as `tables/a.csv`.
///
/// What is at `out` already is replaced only if it is empty or holds `marker`, the file by which such a folder is
/// known, and only once the new folder is complete.
///
/// # Errors
/// The place is taken by something else, or the disk refuses; nothing is left behind then.
pub fn save_folder(files: &[(String, Vec<u8>)], out: &Path, marker: &str) -> Result<(), FileError> {
    save_files(files.iter(), out, marker)
}

fn save_files<'a>(
    files: impl Iterator<Item = &'a (String, Vec<u8>)>,
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

/// The manifest but for what differs between two runs: the machine, the time, and the hashes of the files.
pub fn manifest(kind: FolderKind, study: &Study) -> serde_json::Value {
    let inputs = study.inputs.iter().zip(input_files(study));
    let inputs: Vec<_> = inputs.map(|(input, (file, _))| json!({ "named": input.named, "file": file })).collect();
    let first = study.arms.first();
    let rules: Vec<_> = study.plans.iter().map(|plan| plan.rule.entry.name).collect();
    json!({
        "format": kind.format(),
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
        "policy_rules": rules,
        "compared_with": study.inference.versus.iter().map(|at| &study.policies[*at]).collect::<Vec<_>>(),
        "level": study.inference.level.confidence(),
        "resamples": study.inference.resamples,
        "floor": study.floor,
        "text": study.text_from,
        "texts": study.texts,
        "primary": study.primary.name,
        "words": first.map(|arm| arm.plan.words()),
        "shortcuts_per_1000_keys": study.rates.shortcuts,
        "notes": study.notes,
        "spec": study.spec,
        "spec_sha256": hex(&Sha256::digest(study.spec.as_bytes())),
        "agogic": env!("CARGO_PKG_VERSION"),
        "sources_sha256": Fingerprint::SOURCES,
        "cargo_lock_sha256": Fingerprint::DEPENDENCIES,
        "inputs": inputs,
    })
}

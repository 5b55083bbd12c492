//! `agogic repeat`: the same study again, compared byte by byte.

use std::collections::BTreeMap;
use std::io::Write;
use std::process::ExitCode;

use agogic_files::{
    Difference, Files, FolderKind, ResultFolder, advice_files, differences, input_files, manifest, robust_files,
    sensitivity_files, sweep_files,
};
use agogic_lab::{recommend, robust, run, run_sweep, sensitivity, variants_of};
use agogic_sim::Engine;
use agogic_study::Study;
use serde_json::{Value, json};

use crate::args::Repeat;
use crate::failure::Failure;
use crate::progress;

/// Runs a study again from its folder and says what differs. The exit code is 1 when something does.
pub fn repeat(args: &Repeat, as_json: bool) -> Result<ExitCode, Failure> {
    let refused = |source| Failure::Folder { path: args.folder.clone(), source };
    let folder = ResultFolder::open(&args.folder).map_err(refused)?;
    let (spec, inputs) = folder.spec().map_err(refused)?;
    let name = format!("in {}", args.folder.join("manifest.json").display());
    let study = Study::read_held(spec, &inputs).map_err(|mistakes| Failure::Mistakes { name, mistakes })?;
    let mut files = again(&study, folder.kind, args)?;
    files.extend(input_files(&study));
    let now: BTreeMap<String, Vec<u8>> = files.into_iter().collect();
    let found = differences(&folder.files, &now);
    let missing = folder.manifest["files_sha256"].as_object().into_iter().flatten();
    let missing: Vec<&String> =
        missing.map(|(name, _)| name).filter(|name| !folder.files.contains_key(*name)).collect();
    let reasons = if found.is_empty() { Vec::new() } else { reasons(&folder, &study, &found, &missing) };
    let mut screen = std::io::stdout().lock();
    if as_json {
        let all = json!({
            "same": found.is_empty(), "files": now.keys().collect::<Vec<_>>(), "differences": found, "reasons": reasons,
        });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
    } else if found.is_empty() {
        writeln!(screen, "The same: {} files, byte by byte.", now.len())?;
    } else {
        writeln!(screen, "{} of {} files differ:\n", found.len(), now.len().max(folder.files.len()))?;
        for difference in &found {
            writeln!(screen, "  {difference}")?;
        }
        writeln!(screen, "\nWhy it may:\n")?;
        for reason in &reasons {
            writeln!(screen, "  - {reason}")?;
        }
    }
    Ok(if found.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

/// The files of the study, made anew.
fn again(study: &Study, kind: FolderKind, args: &Repeat) -> Result<Files, Failure> {
    let out = &args.folder;
    let engine = Engine::new(study)?;
    match kind {
        FolderKind::Run => {
            let bar = progress::bar(super::run::steps(study), "typists");
            let result = run(&engine, &|done| bar.inc(done));
            bar.finish_and_clear();
            Ok(super::run::make(study, result, out)?.files)
        }
        FolderKind::Sweep => {
            let bar = progress::bar(super::run::steps(study), "typists");
            let result = run_sweep(&engine, None, &|done| bar.inc(done));
            bar.finish_and_clear();
            let mut files = sweep_files(study, &result, out)?;
            files.extend(super::sweep::figures(study, &result)?);
            Ok(files)
        }
        FolderKind::Sensitivity => {
            let lacks = || Failure::Lacks { table: "sensitivity", example: "the table that the first run had" };
            let plan = study.sensitivity.as_ref().ok_or_else(lacks)?;
            let bar = progress::bar(plan.runs() * study.arms.len() as u64, "points");
            let result = sensitivity(&engine, None, &|done| bar.inc(done)).ok_or_else(lacks)?;
            bar.finish_and_clear();
            Ok(sensitivity_files(study, plan, &result, out)?)
        }
        FolderKind::Advice => {
            let lacks = || Failure::Lacks { table: "advice", example: "the table that the first run had" };
            let spinner = progress::spinner("settings × typists");
            let advice = recommend(&engine, None, &|done| spinner.inc(done)).ok_or_else(lacks)?;
            spinner.finish_and_clear();
            let mut files = advice_files(study, &advice, out)?;
            files.extend(super::advise::page_of(study, &advice)?);
            Ok(files)
        }
        FolderKind::Robust => {
            let bar = progress::bar(variants_of(study), "variants");
            let advice = recommend(&engine, None, &|_| ()).unwrap_or_default();
            let found = robust(&engine, &advice, None, &|done| bar.inc(done));
            bar.finish_and_clear();
            let mut files = robust_files(study, &found, out)?;
            files.extend(super::robust::page_of(study, &advice, &found)?);
            Ok(files)
        }
    }
}

/// What may explain a difference, what is surest first.
fn reasons(folder: &ResultFolder, study: &Study, found: &[Difference], missing: &[&String]) -> Vec<String> {
    let before = &folder.manifest;
    let now = manifest(folder.kind, study);
    let mut reasons = Vec::new();
    if folder.spec_edited() {
        reasons.push("the spec in manifest.json was edited after the run: its hash is not the recorded one".to_owned());
    }
    for file in folder.edited().iter().filter(|file| found.iter().any(|difference| difference.file == **file)) {
        reasons.push(format!("{file} was edited after the run: its hash is not the recorded one"));
    }
    for file in folder.edited().iter().filter(|file| file.starts_with("input-")) {
        reasons.push(format!("{file}, a file that the spec names, was edited after the run"));
    }
    for file in missing {
        reasons.push(format!("{file} was removed from the folder after the run"));
    }
    let word = |value: &Value| value.as_str().unwrap_or("unknown").to_owned();
    let mut differs = |what: &str, a: String, b: String| {
        if a != b {
            reasons.push(format!("{what}: {a} before, {b} now"));
        }
    };
    differs("the version of agogic", word(&before["agogic"]), word(&now["agogic"]));
    let short = |value: &Value| word(value).chars().take(12).collect::<String>();
    let lock = "cargo_lock_sha256";
    differs("the versions of the libraries (hash of Cargo.lock)", short(&before[lock]), short(&now[lock]));
    let run = &before["run"];
    differs("the operating system", word(&run["os"]), std::env::consts::OS.to_owned());
    differs("the processor", word(&run["architecture"]), std::env::consts::ARCH.to_owned());
    if reasons.is_empty() {
        reasons.push(
            "nothing known: version, libraries, system, processor and spec are the same. Either the program was changed \
             without a new version number, or this is a fault of agogic: results must not depend on the number of threads \
             or on the time. Please report it with both folders"
                .to_owned(),
        );
    }
    reasons
}

//! `agogic repeat`: the same study again, compared byte by byte.

use std::io::Write;
use std::process::ExitCode;

use agogic_files::{Difference, FolderKind, ResultFolder, differences};
use agogic_lab::{recommend, robust, run, run_sweep, sensitivity, variants_of};
use agogic_report::{advice_folder, robust_folder, run_folder, sensitivity_folder, sweep_folder};
use agogic_sim::Engine;
use agogic_study::Study;
use serde_json::json;

use crate::args::Repeat;
use crate::failure::Failure;
use crate::progress;
use crate::screen::screen;

/// Runs a study again from its folder and says what differs. The exit code is 1 when something does.
pub fn repeat(args: &Repeat, as_json: bool) -> Result<ExitCode, Failure> {
    let refused = |source| Failure::Folder { path: args.folder.clone(), source };
    let folder = ResultFolder::open(&args.folder).map_err(refused)?;
    let (spec, inputs) = folder.spec().map_err(refused)?;
    let name = format!("in {}", args.folder.join("manifest.json").display());
    let study = Study::read_held(spec, &inputs).map_err(|mistakes| Failure::Mistakes { name, mistakes })?;
    let repeated = again(&study, folder.kind())?;
    let now = &repeated.files;
    let found = differences(&folder.files, now);
    let reasons = if found.is_empty() { Vec::new() } else { reasons(&folder, &repeated, &found) };
    let mut screen = screen();
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

/// The folder of the study, made anew.
fn again(study: &Study, kind: FolderKind) -> Result<ResultFolder, Failure> {
    let engine = Engine::new(study)?;
    Ok(match kind {
        FolderKind::Run => {
            let bar = progress::bar(super::run::steps(study), "typists");
            let result = run(&engine, &|done| bar.inc(done));
            bar.finish_and_clear();
            run_folder(study, &result)?.folder
        }
        FolderKind::Sweep => {
            let bar = progress::bar(super::run::steps(study), "typists");
            let result = run_sweep(&engine, None, &|done| bar.inc(done));
            bar.finish_and_clear();
            sweep_folder(study, &result)?
        }
        FolderKind::Sensitivity => {
            let lacks = || Failure::Lacks { table: "sensitivity", example: "the table that the first run had" };
            let points = study.sensitivity.as_ref().ok_or_else(lacks)?.runs() * study.arms.len() as u64;
            let bar = progress::bar(points, "points");
            let result = sensitivity(&engine, None, &|done| bar.inc(done)).ok_or_else(lacks)?;
            bar.finish_and_clear();
            sensitivity_folder(study, &result)?
        }
        FolderKind::Advice => {
            let lacks = || Failure::Lacks { table: "advice", example: "the table that the first run had" };
            let spinner = progress::spinner("settings × typists");
            let advice = recommend(&engine, None, &|done| spinner.inc(done)).ok_or_else(lacks)?;
            spinner.finish_and_clear();
            advice_folder(study, &advice)?
        }
        FolderKind::Robust => {
            let bar = progress::bar(variants_of(study), "variants");
            let advice = recommend(&engine, None, &|_| ()).unwrap_or_default();
            let found = robust(&engine, &advice, None, &|done| bar.inc(done));
            bar.finish_and_clear();
            robust_folder(study, &advice, &found)?
        }
    })
}

/// What may explain a difference, what is surest first.
fn reasons(folder: &ResultFolder, repeated: &ResultFolder, found: &[Difference]) -> Vec<String> {
    let (before, now) = (&folder.manifest, &repeated.manifest);
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
    for file in folder.missing() {
        reasons.push(format!("{file} was removed from the folder after the run"));
    }
    let mut differs = |what: &str, a: &str, b: &str| {
        if a != b {
            reasons.push(format!("{what}: {} before, {b} now", if a.is_empty() { "unknown" } else { a }));
        }
    };
    differs("the version of agogic", &before.agogic, &now.agogic);
    let short = |hash: &str| hash.chars().take(12).collect::<String>();
    let (lock, lock_now) = (short(&before.cargo_lock_sha256), short(&now.cargo_lock_sha256));
    differs("the versions of the libraries (hash of Cargo.lock)", &lock, &lock_now);
    let (os, architecture) = before.run.as_ref().map_or(("", ""), |run| (&run.os, &run.architecture));
    differs("the operating system", os, std::env::consts::OS);
    differs("the processor", architecture, std::env::consts::ARCH);
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

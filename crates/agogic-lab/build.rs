//! Works out a digest of the sources that decide what a typist's numbers are.
//!
//! Blocks of finished typists are only used by the very sources that made them: after a change of a policy an
//! interrupted run starts afresh instead of mixing two rules under one name.

use std::fs;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

/// The crates on the way from a spec to the counts of a typist.
const CRATES: [&str; 7] = ["keys", "stats", "typist", "policy", "score", "floor", "lab"];

fn main() {
    let crates = PathBuf::from(std::env::var("CARGO_MANIFEST_DIR").expect("set by cargo")).join("..");
    let mut files = Vec::new();
    for name in CRATES {
        let sources = crates.join(format!("agogic-{name}")).join("src");
        println!("cargo:rerun-if-changed={}", sources.display());
        gather(&sources, &mut files);
    }
    let texts = crates.join("../data-synthetic/texts");
    println!("cargo:rerun-if-changed={}", texts.display());
    gather(&texts, &mut files);
    println!("cargo:rerun-if-changed=build.rs");
    // By path below the workspace, so that its place does not matter.
    let below = |path: &Path| path.strip_prefix(&crates).expect("found there").to_string_lossy().replace('\\', "/");
    files.sort_by_key(|path| below(path));
    let mut all = Sha256::new();
    for path in &files {
        let bytes = fs::read(path).expect("a source file can be read");
        all.update(below(path));
        all.update(Sha256::digest(&bytes));
    }
    let hex: String = all.finalize().iter().map(|byte| format!("{byte:02x}")).collect();
    println!("cargo:rustc-env=AGOGIC_SOURCE_SHA256={hex}");
}

fn gather(folder: &Path, files: &mut Vec<PathBuf>) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let path = entry.path();
        if path.is_dir() {
            gather(&path, files);
        } else {
            files.push(path);
        }
    }
}

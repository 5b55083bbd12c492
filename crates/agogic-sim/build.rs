//! Works out a digest of the sources that decide what a typist's numbers are.
//!
//! Blocks of finished typists are only used by the very sources that made them: after a change of a policy an
//! interrupted run starts afresh instead of mixing two rules under one name.

use std::fs;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

/// The crates on the way from a spec to the counts of a typist.
const CRATES: [&str; 9] = ["keys", "toml", "stats", "typist", "policy", "score", "floor", "study", "sim"];

fn main() {
    let own = PathBuf::from(std::env::var("CARGO_MANIFEST_DIR").expect("set by cargo"));
    println!("cargo:rerun-if-changed=build.rs");
    // In a checkout the sources of all these crates lie side by side. A packaged crate has its own alone, and the lock
    // file names the digests of the others.
    let beside = own.join("..");
    let mut files = Vec::new();
    if CRATES.iter().all(|name| beside.join(format!("agogic-{name}")).is_dir()) {
        for name in CRATES {
            for part in ["src", "data"] {
                gather(&beside.join(format!("agogic-{name}")).join(part), &mut files);
            }
        }
    } else {
        gather(&own.join("src"), &mut files);
    }
    // By path below the folder of the crates, so that its place does not matter.
    let below = |path: &Path| {
        let place = path.strip_prefix(&beside).or_else(|_| path.strip_prefix(&own)).expect("found there");
        place.to_string_lossy().replace('\\', "/")
    };
    files.sort_by_key(|path| below(path));
    let mut all = Sha256::new();
    for path in &files {
        all.update(below(path));
        all.update(Sha256::digest(fs::read(path).expect("a source file can be read")));
    }
    println!("cargo:rustc-env=AGOGIC_SOURCE_SHA256={}", hex(&all.finalize()));
    // In a source distribution of the Python module the lock file lies in its crate.
    let locks = [own.join("../../Cargo.lock"), own.join("Cargo.lock"), own.join("../agogic-python/Cargo.lock")];
    let lock = locks.iter().find(|path| path.is_file());
    lock.iter().for_each(|path| println!("cargo:rerun-if-changed={}", path.display()));
    let bytes = lock.and_then(|path| fs::read(path).ok()).unwrap_or_default();
    println!("cargo:rustc-env=AGOGIC_LOCK_SHA256={}", hex(&Sha256::digest(bytes)));
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn gather(folder: &Path, files: &mut Vec<PathBuf>) {
    // A folder that is not there would count as changed, and everything would be built anew each time.
    let Ok(entries) = fs::read_dir(folder) else { return };
    println!("cargo:rerun-if-changed={}", folder.display());
    for entry in entries.flatten() {
        let path = entry.path();
        if path.is_dir() {
            gather(&path, files);
        } else {
            files.push(path);
        }
    }
}

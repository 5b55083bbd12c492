//! What lies at the top level of the repository.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Everything that may lie there, and no more.
const TOP_LEVEL: &[&str] = &[
    ".ci",
    ".gitignore",
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "clippy.toml",
    "crates",
    "data-synthetic",
    "experiments",
    "notebooks-md",
    "rustfmt.toml",
    "tests",
];

/// What git and the commands of the README make there; git ignores it.
const GENERATED: &[&str] = &[".git", "results", "target"];

#[test]
fn the_top_level_holds_what_belongs_there_and_no_more() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/..");
    let names = std::fs::read_dir(root).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let found: BTreeSet<String> = names.filter(|name| !GENERATED.contains(&name.as_str())).collect();
    let wanted: BTreeSet<String> = TOP_LEVEL.iter().map(|&name| name.to_owned()).collect();
    assert_eq!(found, wanted);
}

/// A crate can be packaged only if its library takes nothing from outside its folder.
#[test]
fn no_library_includes_what_lies_outside_its_crate() {
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates");
    let mut included = 0;
    for entry in std::fs::read_dir(crates).unwrap() {
        let folder = entry.unwrap().path();
        for file in sources(&folder.join("src")) {
            let text = std::fs::read_to_string(&file).unwrap();
            let named = ["include_str!(\"", "include_bytes!(\"", "#[path = \""].map(|start| text.split(start).skip(1));
            for path in named.into_iter().flatten().filter_map(|rest| rest.split('"').next()) {
                included += 1;
                let depth = file.parent().unwrap().strip_prefix(&folder).unwrap().components().count();
                let up = path.split('/').take_while(|part| *part == "..").count();
                assert!(up <= depth, "{} includes {path}", file.display());
            }
        }
    }
    assert!(included > 10, "only {included} files are included");
}

/// What a crate has to hold to be packaged and stands elsewhere too is the same there.
#[test]
fn copies_within_crates_are_those_of_the_repository() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut compared = 0;
    for (within, elsewhere) in [("texts", "data-synthetic/texts"), ("studies", "experiments")] {
        for entry in std::fs::read_dir(root.join("crates/agogic-study/data").join(within)).unwrap() {
            let path = entry.unwrap().path();
            let other = root.join(elsewhere).join(path.file_name().unwrap());
            let same = std::fs::read(&path).unwrap() == std::fs::read(&other).unwrap();
            assert!(same, "{} is not {}: copy one over the other", path.display(), other.display());
            compared += 1;
        }
    }
    assert_eq!(compared, 12);
}

/// Each binary of tests links the whole crate once more, and a file that no `mod` names would never be run.
#[test]
fn a_crate_has_one_binary_of_tests_with_all_its_files() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let crates = std::fs::read_dir(root.join("crates")).unwrap().map(|entry| entry.unwrap().path());
    // The tests of the Python module are written in Python.
    let crates = crates.filter(|folder| !folder.ends_with("agogic-python"));
    let mut files = 0;
    for tests in crates.chain([root.join("tests")]).map(|folder| folder.join("tests")).filter(|tests| tests.is_dir()) {
        let all = tests.join("all");
        let entries = std::fs::read_dir(&tests).unwrap().map(|entry| entry.unwrap().path());
        let binaries =
            entries.filter(|path| path.extension().is_some_and(|e| e == "rs") || path.join("main.rs").is_file());
        assert_eq!(binaries.count(), 1, "{}: move what is new to tests/all", tests.display());
        if !all.is_dir() {
            continue;
        }
        let main = std::fs::read_to_string(all.join("main.rs")).unwrap();
        for entry in std::fs::read_dir(&all).unwrap() {
            let name = entry.unwrap().path().file_stem().unwrap().to_str().unwrap().to_owned();
            assert!(name == "main" || main.contains(&format!("mod {name};")), "{}: no `mod {name};`", all.display());
            files += 1;
        }
    }
    assert!(files > 60, "only {files} files of tests");
}

/// Every file with source below a folder.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries
        .flat_map(|path| if path.is_dir() { sources(&path) } else { vec![path] })
        .filter(|path| path.extension().is_some_and(|extension| extension == "rs"))
        .collect()
}

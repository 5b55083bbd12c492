//! What lies at the top level of the repository.

use std::collections::BTreeSet;

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
const MADE: &[&str] = &[".git", "results", "target"];

#[test]
fn the_top_level_holds_what_belongs_there_and_no_more() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/..");
    let names = std::fs::read_dir(root).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let found: BTreeSet<String> = names.filter(|name| !MADE.contains(&name.as_str())).collect();
    let wanted: BTreeSet<String> = TOP_LEVEL.iter().map(|&name| name.to_owned()).collect();
    assert_eq!(found, wanted);
}

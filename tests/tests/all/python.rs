//! The Python module stands apart from the workspace and builds with its settings and versions.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

fn read(path: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(path)).unwrap()
}

/// The settings of the release build of each package, `*` for all, from a manifest.
fn settings(manifest: &str) -> BTreeMap<String, String> {
    let tables = manifest.split("[profile.release.package.").skip(1);
    let table = |text: &str| {
        let (name, rest) = text.split_once("]\n").unwrap();
        let lines = rest.lines().take_while(|line| line.contains(" = ")).collect::<Vec<_>>();
        (name.trim_matches('"').to_owned(), lines.join("\n"))
    };
    tables.map(table).collect()
}

/// The versions of each package in a lock file.
fn versions(lock: &str) -> BTreeMap<String, BTreeSet<String>> {
    let mut versions = BTreeMap::<String, BTreeSet<String>>::new();
    for package in lock.split("[[package]]\n").skip(1) {
        let text = |key: &str| {
            let line = package.lines().find_map(|line| line.strip_prefix(&format!("{key} = \""))).unwrap();
            line.trim_end_matches('"').to_owned()
        };
        versions.entry(text("name")).or_default().insert(text("version"));
    }
    versions
}

#[test]
fn it_builds_with_the_settings_of_the_workspace() {
    let [ours, theirs] = ["Cargo.toml", "crates/agogic-python/Cargo.toml"].map(|path| settings(&read(path)));
    for (name, setting) in &ours {
        assert_eq!(
            theirs.get(name),
            Some(setting),
            "[profile.release.package.{name}] of crates/agogic-python/Cargo.toml"
        );
    }
    // What is a member of the workspace is a dependency there, and those are left as they are unless named.
    let lock = versions(&read("crates/agogic-python/Cargo.lock"));
    let own: Vec<&String> = lock.keys().filter(|name| name.starts_with("agogic") && *name != "agogic-python").collect();
    assert!(own.len() > 15, "only {own:?}");
    for name in own {
        assert!(theirs.contains_key(name), "add [profile.release.package.{name}] to crates/agogic-python/Cargo.toml");
    }
}

#[test]
fn it_is_locked_to_the_versions_of_the_workspace() {
    let [ours, theirs] = ["Cargo.lock", "crates/agogic-python/Cargo.lock"].map(|path| versions(&read(path)));
    let mut shared = 0;
    for (name, known) in &ours {
        let Some(other) = theirs.get(name) else { continue };
        shared += 1;
        assert!(
            other.is_subset(known),
            "{name} is {other:?} in crates/agogic-python/Cargo.lock and {known:?} in the workspace; give it the same version"
        );
    }
    assert!(shared > 200, "only {shared} packages are in both");
}

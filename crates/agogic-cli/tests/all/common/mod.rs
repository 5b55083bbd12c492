//! A small study that was run, for tests of what is made of results.

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use tempfile::TempDir;

/// Two populations and six policies, enough typists for groups and few enough presses for a debug build.
pub const SPEC: &str = r#"
name = "trial"
seed = 5
question = "Do <b>tags</b> & rolls survive?"
[text]
file = "text.txt"
[workload]
shortcuts_per_1000_keys = 12
[typists]
populations = ["volunteers", "slow"]
number = 40
keys_each = 400
[floor]
typists = 4
rehearsal_keys = 2000
[inference]
reference = "enclosed"
limits = { false_holds = 10 }
margins = { wrong_keys = 5 }
[[policy]]
rule = "enclosed"
[[policy]]
rule = "enclosed"
guards = { lull_ms = 150 }
[[policy]]
rule = "first-contact"
[[policy]]
rule = "dwell-cutoff"
values = { cutoff_ms = 220 }
"#;

/// Runs the program in a folder.
pub fn agogic(folder: &Path, args: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("agogic").unwrap().current_dir(folder).args(args).output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (output.status.code().unwrap(), text(&output.stdout), text(&output.stderr))
}

/// Runs the study; gives its place and the result folder in it.
pub fn study() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), SPEC).unwrap();
    fs::write(folder.path().join("text.txt"), "The tide turns at noon. Ask Ada for the log, and mind the jar.")
        .unwrap();
    let (code, out, err) = agogic(folder.path(), &["run", "my.toml"]);
    assert_eq!(code, 0, "{out}{err}");
    let results = folder.path().join("results/trial");
    assert!(out.contains("Page: ") && out.contains("page.html"), "{out}");
    (folder, results)
}

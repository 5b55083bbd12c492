//! `agogic export` and `agogic conform`: a folder written whole, and programs held to it.

use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;

use crate::common::agogic;

/// A study whose rules learn quickly, with a question that has an answer.
const SPEC: &str = "name = \"one\"\nseed = 3\n[text]\nwords = \"Ask Ada; the tide turns as the fiddler leads.\"\n\
                    [workload]\nshortcuts_per_1000_keys = 20\n[typists]\nnumber = 20\nkeys_each = 500\n[advice]\n\
                    objective = \"false_holds\"\nlimits = { tap_delay_p95 = 400 }\nsearch_typists = 60\n\
                    confirm_typists = 100\nrefinements = 0\nshortlist = 4\n[[policy]]\nrule = \"dwell-cutoff\"\n\
                    values = { cutoff_ms = 300 }\n[[policy]]\nrule = \"first-contact\"\n";

fn folder() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let logs = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-synthetic/logs");
    fs::copy(logs.join("prompted-volunteer.csv"), folder.path().join("log.csv")).unwrap();
    fs::write(folder.path().join("my.toml"), SPEC).unwrap();
    folder
}

fn json(path: &Path) -> Value {
    serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap()
}

#[test]
fn a_setting_is_exported_whole_and_its_source_passes_its_vectors() {
    let folder = folder();
    let at = |name: &str| folder.path().join("mine").join(name);
    let setting = "enclosed, lull 150, floor 80";
    let (code, out, err) = agogic(folder.path(), &["export", setting, "--spec", "my.toml", "--out", "mine"]);
    assert_eq!(code, 0, "{err}");
    assert!(out.starts_with(&format!("`{setting}` for the keyboard of")) && out.contains("Page: "), "{out}");
    let mut names: Vec<_> =
        fs::read_dir(folder.path().join("mine")).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    let wanted =
        ["RULE.md", "agogic.c", "agogic.h", "conform.c", "rule.json", "rule.schema.json", "states.svg", "vectors.txt"];
    assert_eq!(names, wanted);
    assert_eq!(json(&at("rule.json"))["guards"]["lull_us"], 150_000);
    assert!(fs::read_to_string(at("vectors.txt")).unwrap().matches("\ncase random-").count() == 10_000);
    // The same bytes again, over the earlier folder.
    let before = fs::read(at("vectors.txt")).unwrap();
    let (code, _, err) = agogic(folder.path(), &["export", setting, "--spec", "my.toml", "--out", "mine"]);
    assert!(code == 0 && before == fs::read(at("vectors.txt")).unwrap(), "{err}");
    let compiled = Command::new("cc")
        .current_dir(folder.path().join("mine"))
        .args(["-std=c99", "agogic.c", "conform.c", "-o", "conform"])
        .status();
    if !compiled.is_ok_and(|status| status.success()) {
        eprintln!("no C compiler here: the source is not run");
        return;
    }
    let conform = |vectors: &str| agogic(folder.path(), &["conform", "--vectors", vectors, "mine/conform"]);
    let (code, out, err) = conform("mine/vectors.txt");
    assert!(code == 0 && out.starts_with("The same: 10"), "{out}{err}");
    // A program of another setting is found out.
    let other = ["export", "enclosed, lull 151, floor 80", "--spec", "my.toml", "--out", "other"];
    assert_eq!(agogic(folder.path(), &other).0, 0);
    let (code, out, err) = conform("other/vectors.txt");
    assert!(code == 1 && out.contains("cases differ") && out.contains("expected tap"), "{out}{err}");
}

#[test]
fn advised_and_learned_and_personal_settings_are_exported() {
    let folder = folder();
    let (code, out, err) = agogic(folder.path(), &["advise", "my.toml"]);
    assert_eq!(code, 0, "{out}{err}");
    let (code, out, err) = agogic(folder.path(), &["export", "--from", "results/one-advice", "--out", "advised"]);
    assert_eq!(code, 0, "{err}");
    assert!(out.starts_with("`dwell-cutoff 300`"), "{out}");
    let export = |more: &[&str]| agogic(folder.path(), &[&["export", "--spec", "my.toml"], more].concat());
    let (code, out, err) = export(&["key-evidence", "--out", "many", "--clock", "us"]);
    assert!(code == 0 && out.contains("These tables tell keys"), "{out}{err}");
    let (code, _, err) = export(&["key-evidence, own tables", "--log", "log.csv", "--out", "own", "--clock", "us"]);
    assert_eq!(code, 0, "{err}");
    let tables = |name: &str| json(&folder.path().join(name).join("rule.json"))["tables"].clone();
    let (many, own) = (tables("many"), tables("own"));
    assert!(many["own"].as_array().unwrap().len() == 64 && many["own"] != own["own"], "the log teaches nothing");
}

#[test]
fn what_cannot_be_exported_is_refused_and_nothing_is_written() {
    let folder = folder();
    let refused = |arguments: &[&str], words: &str| {
        let (code, out, err) = agogic(folder.path(), arguments);
        assert!(code == 2 && out.is_empty() && err.contains(words), "{arguments:?}: {code} {out}{err}");
        assert!(!folder.path().join("mine").exists());
    };
    let lull = "lull_ms is 150.5 ms, and a clock of milliseconds cannot tell it; take a whole number, or --clock us";
    refused(&["export", "enclosed, lull 150.5", "--out", "mine"], lull);
    refused(&["export", "enclosd", "--out", "mine"], "there is no rule `enclosd`");
    refused(&["export", "enclosed", "--slots", "1", "--out", "mine"], "between 2 and 64 slots, not 1");
    refused(&["export", "--out", "mine"], "<SETTING>");
    let log = "`enclosed` learns nothing from the log log.csv: the tables of `key-evidence` alone";
    refused(&["export", "enclosed", "--log", "log.csv", "--out", "mine"], log);
    let own = "own tables come from a log: name it with --log";
    refused(&["export", "key-evidence, own tables", "--out", "mine"], own);
    refused(&["export", "--from", "nowhere", "--out", "mine"], "nowhere has no manifest.json");
    refused(&["conform", "true"], "failed to read the vectors vectors.txt");
    fs::write(folder.path().join("bad.txt"), "agogic vectors 1\ncase a\ndown KeyF 5\nend\n").unwrap();
    refused(&["conform", "--vectors", "bad.txt", "true"], "bad.txt: line 3: `KeyF` is no whole number from 0 to 255");
    fs::write(folder.path().join("one.txt"), "agogic vectors 1\ncase a\ndown 5 5\nend\n").unwrap();
    refused(&["conform", "--vectors", "one.txt", "no-such-program"], "failed to run the program: no-such-program");
    refused(&["conform", "--vectors", "one.txt", "true"], "true ended after 0 of 1 cases");
    // A folder of something else is left alone.
    let (code, _, err) = agogic(folder.path(), &["export", "enclosed", "--out", "."]);
    assert!(code == 2 && folder.path().join("my.toml").exists(), "{err}");
}

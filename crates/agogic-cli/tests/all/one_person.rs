//! The commands for one person: advice, whether a change helped, and where rules err.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;
use tempfile::TempDir;

use crate::common::agogic;

/// A study whose rules learn quickly, and the log of a volunteer with intents.
fn folder() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let logs = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-synthetic/logs");
    for name in ["prompted-volunteer.csv", "slow-typist.csv"] {
        fs::copy(logs.join(name), folder.path().join(name)).unwrap();
    }
    let spec = "name = \"one\"\nseed = 3\n[text]\nwords = \"Ask Ada; the tide turns as the fiddler leads.\"\n\
                [workload]\nshortcuts_per_1000_keys = 20\n[typists]\nnumber = 20\n[[policy]]\nrule = \"enclosed\"\n";
    fs::write(folder.path().join("my.toml"), spec).unwrap();
    folder
}

fn advise<'a>(more: &[&'a str]) -> Vec<&'a str> {
    [&["advise", "my.toml", "--log", "prompted-volunteer.csv", "--draws", "20"], more].concat()
}

#[test]
fn advice_for_a_person_says_what_to_do_where_it_errs_and_is_written_only_when_asked() {
    let folder = folder();
    let (code, short, err) = agogic(folder.path(), &advise(&[]));
    assert_eq!(code, 0, "{err}");
    let (code, out, err) = agogic(folder.path(), &advise(&["-v"]));
    assert_eq!(code, 0, "{err}");
    for part in ["the best common setting of `volunteers`", "Why: ", "clinician", "`-v` tells"] {
        assert!(short.contains(part) && !short.contains("any without tables"), "{part}: {short}");
    }
    for part in ["the best common setting of `volunteers`", "any without tables", "KeyA", "left little", "clinician"] {
        assert!(out.contains(part), "{part}: {out}");
    }
    assert!(!folder.path().join("results").exists(), "a person's data are not kept unasked");
    let (code, out, err) = agogic(folder.path(), &advise(&["--now", "enclosed, lull 300", "--out", "mine"]));
    assert_eq!(code, 0, "{err}");
    assert!(out.starts_with("Change to `") && out.contains("`enclosed, lull 300`, the setting in use"), "{out}");
    assert!(out.contains("To do: ") && out.contains("Page: "), "{out}");
    let file = |name: &str| fs::read_to_string(folder.path().join("mine").join(name)).unwrap();
    let advice: Value = serde_json::from_str(&file("advice.json")).unwrap();
    assert_eq!(advice["before"], "enclosed, lull 300");
    let page = file("page.html");
    assert!(page.contains("Where it errs") && page.contains("What each rule gains"), "the page shows both");
    let keys = file("keys.csv");
    assert!(keys.starts_with("key,letters") && keys.contains("KeyA"), "{keys}");
    // The same command gives the same bytes.
    let again = agogic(folder.path(), &advise(&["--now", "enclosed, lull 300", "--out", "again"]));
    assert_eq!(again.0, 0);
    for name in ["advice.json", "page.html", "rules.csv"] {
        let other: PathBuf = folder.path().join("again").join(name);
        assert!(fs::read(other).unwrap() == file(name).into_bytes(), "{name}");
    }
}

#[test]
fn a_hundred_lines_with_two_holds_are_not_enough_to_say() {
    let folder = folder();
    let log = fs::read_to_string(folder.path().join("prompted-volunteer.csv")).unwrap();
    let short: Vec<&str> = log.lines().take(101).collect();
    fs::write(folder.path().join("short.csv"), short.join("\n") + "\n").unwrap();
    let arguments = ["advise", "my.toml", "--log", "short.csv", "--draws", "20"];
    let (code, out, err) = agogic(folder.path(), &arguments);
    assert_eq!(code, 0, "{err}");
    assert!(out.starts_with("Not enough to say: the log has 50 presses"), "{out}");
    assert!(out.contains("it takes 450 more presses") && !out.contains("Change to"), "{out}");
}

#[test]
fn what_is_no_setting_is_refused_with_a_word_on_how_to_write_one() {
    let folder = folder();
    for (setting, word) in [("enclosd", "no rule `enclosd`"), ("enclosed, calm 5", "no guard `calm 5`")] {
        let (code, _, err) = agogic(folder.path(), &advise(&["--now", setting]));
        assert!(code == 2 && err.contains(word), "{code}: {err}");
    }
    let (code, _, err) = agogic(folder.path(), &advise(&["--least-gain=-1"]));
    assert!(code == 2 && err.contains("--least-gain"), "{err}");
}

#[test]
fn a_change_is_judged_on_both_logs_under_the_setting_in_use_then() {
    let folder = folder();
    let compare = |was: &str, now: &str, more: &[&str]| {
        let files = ["compare", "prompted-volunteer.csv", "prompted-volunteer.csv", "--spec", "my.toml"];
        let (code, out, err) = agogic(folder.path(), &[&files[..], &["--was", was, "--now", now], more].concat());
        assert_eq!(code, 0, "{err}");
        out
    };
    // The same log on both sides: what differs is the setting alone.
    let better = compare("first-contact", "dwell-cutoff 260", &["--json"]);
    let found: Value = serde_json::from_str(&better).unwrap();
    assert_eq!(found["comparison"]["helped"], "yes");
    let figure = &found["comparison"]["figures"][0];
    let (before, after) = (figure["before"]["value"].as_f64().unwrap(), figure["after"]["value"].as_f64().unwrap());
    assert!((figure["change"]["value"].as_f64().unwrap() - (after - before)).abs() < 1e-9 && before > after);
    assert!(compare("dwell-cutoff 260", "first-contact", &[]).contains("did not help but harm"));
    let same = compare("enclosed", "enclosed", &[]);
    assert!(same.starts_with("It is not sure") && same.contains("Practice alone"), "{same}");
}

#[test]
fn a_replay_tells_keys_and_fingers_and_writes_decisions() {
    let folder = folder();
    let arguments =
        ["replay", "prompted-volunteer.csv", "--spec", "my.toml", "--by-key", "--decisions", "decisions.csv"];
    let (code, out, err) = agogic(folder.path(), &arguments);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("By key:") && out.contains("right index"), "{out}");
    let rows = fs::read_to_string(folder.path().join("decisions.csv")).unwrap();
    assert!(rows.starts_with("participant,press,t_us,code,meant,policy,decided,after_ms\n"));
    let wrong = rows.lines().skip(1).filter(|row| row.contains(",tap,\"enclosed\",hold,")).count();
    let told: Value = {
        let (code, out, err) = agogic(folder.path(), &[&arguments[..4], &["--json"]].concat());
        assert_eq!(code, 0, "{err}");
        serde_json::from_str(&out).unwrap()
    };
    let by_key = told["replay"]["by_key"].as_array().unwrap();
    let sum = |part: &str| by_key.iter().map(|row| row[part].as_u64().unwrap()).sum::<u64>();
    assert_eq!(sum("false_holds"), wrong as u64);
    assert_eq!(sum("presses"), told["replay"]["presses"].as_u64().unwrap());
}

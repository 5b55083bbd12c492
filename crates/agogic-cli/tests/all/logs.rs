//! The commands about logs: made, looked at, redacted, replayed, and the page that records one.

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

/// Exit code, standard output and standard error of a command in a folder.
fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("agogic").unwrap().current_dir(folder).args(arguments).output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (output.status.code().unwrap(), text(&output.stdout), text(&output.stderr))
}

fn synthetic(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-synthetic/logs").join(name)
}

/// A folder with the synthetic logs and a study of rules that need no training.
fn folder() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for name in ["prompted-volunteer.csv", "slow-typist.csv", "laid-out-otherwise.tsv", "laid-out-otherwise.toml"] {
        fs::copy(synthetic(name), folder.path().join(name)).unwrap();
    }
    fs::write(
        folder.path().join("my.toml"),
        "name = \"trial\"\nseed = 3\n[text]\nwords = \"The tide turns.\"\n[typists]\nnumber = 20\n\
         [[policy]]\nrule = \"dwell-cutoff\"\n[[policy]]\nrule = \"enclosed\"\n\
         [[policy]]\nrule = \"first-contact\"\n",
    )
    .unwrap();
    folder
}

fn json(folder: &Path, arguments: &[&str]) -> Value {
    let (code, out, err) = run(folder, &[arguments, &["--json"]].concat());
    assert_eq!(code, 0, "{err}");
    serde_json::from_str(&out).unwrap()
}

#[test]
fn the_synthetic_logs_are_made_again_byte_for_byte() {
    let folder = tempfile::tempdir().unwrap();
    for (name, options) in [("prompted-volunteer", &[][..]), ("slow-typist", &["--without-intents"][..])] {
        let spec = synthetic(&format!("{name}.toml"));
        let arguments = [&["simulate", spec.to_str().unwrap(), "--out", "log.csv"], options].concat();
        let (code, _, err) = run(folder.path(), &arguments);
        assert_eq!(code, 0, "{err}");
        let (fresh, committed) =
            (fs::read(folder.path().join("log.csv")).unwrap(), fs::read(synthetic(&format!("{name}.csv"))));
        let committed = committed.unwrap();
        assert!(fresh == committed, "{name}: make it again with data-synthetic/make.sh");
        assert!(committed.len() < 300_000);
        assert!(synthetic(&format!("{name}.md")).is_file(), "{name} has a datasheet");
    }
    assert!(synthetic("laid-out-otherwise.md").is_file());
}

#[test]
fn inspect_shows_times_plots_and_every_defect_with_its_lines() {
    let folder = folder();
    let (code, out, err) = run(folder.path(), &["inspect", "prompted-volunteer.csv", "--figure", "log.svg"]);
    assert_eq!(code, 0, "{err}");
    for wanted in ["7200 rows, 7200 kept", "dwell, ms (n = 3600)", "rollover", "lull", "█", "clock step 1 ms"] {
        assert!(out.contains(wanted), "{wanted} is not in:\n{out}");
    }
    let figure = fs::read_to_string(folder.path().join("log.svg")).unwrap();
    assert!(figure.contains("<svg") && figure.contains("dwell"), "{figure}");
    let otherwise = ["inspect", "laid-out-otherwise.tsv", "--layout", "laid-out-otherwise.toml"];
    let (code, out, _) = run(folder.path(), &[&otherwise[..], &["--ascii"]].concat());
    assert_eq!(code, 0);
    for wanted in ["absurd-time: 2 (lines ", "clock-back: 1 (line ", "cut-off: 1", "vol: ", "slow: ", "##"] {
        assert!(out.contains(wanted), "{wanted} is not in:\n{out}");
    }
    let summary = json(folder.path(), &otherwise);
    assert_eq!(summary["report"]["defects"]["bad-time"]["count"], 2);
    assert_eq!(summary["people"].as_array().unwrap().len(), 2);
}

#[test]
fn what_is_no_log_or_no_layout_is_told_with_its_place() {
    let folder = folder();
    let refuses = |arguments: &[&str], wanted: &[&str]| {
        let (code, out, err) = run(folder.path(), arguments);
        assert_eq!((code, out.as_str()), (2, ""), "{err}");
        for part in wanted {
            assert!(err.contains(part), "{part} is not in:\n{err}");
        }
    };
    refuses(&["inspect", "none.csv"], &["failed to read the log", "none.csv"]);
    refuses(&["inspect", "my.toml"], &["line 1 lacks the columns"]);
    refuses(&["inspect", "laid-out-otherwise.tsv"], &["line 1 lacks", "`who"]);
    refuses(&["inspect", "prompted-volunteer.csv", "--layout", "sideways"], &["no layout", "pairs-ms"]);
    refuses(&["inspect", "prompted-volunteer.csv", "--layout", "pairs-ms"], &["fits the layout events"]);
    fs::write(folder.path().join("bad.toml"), "from = \"pairs-ms\"\nunit = \"hours\"\ncolour = 1\n").unwrap();
    refuses(&["inspect", "prompted-volunteer.csv", "--layout", "bad.toml"], &["line 2: `unit`", "line 3: `colour`"]);
    refuses(&["inspect", "prompted-volunteer.csv", "--figure", "log.doc"], &[".svg, .pdf and .png"]);
    refuses(&["redact", "prompted-volunteer.csv", "--out", "prompted-volunteer.csv"], &["another file than the log"]);
    refuses(
        &["redact", "prompted-volunteer.csv", "--out", "r.csv", "--jitter-ms", "-1"],
        &["--jitter-ms", "from 0 ms"],
    );
    refuses(&["replay", "prompted-volunteer.csv", "--arm", "nobody", "--spec", "my.toml"], &["no arm `nobody`"]);
    refuses(&["replay", "prompted-volunteer.csv", "--participant", "ada"], &["synthetic-0"]);
    assert!(!folder.path().join("r.csv").exists());
}

#[test]
fn a_redacted_log_still_reads_and_says_what_it_gives_away() {
    let folder = folder();
    let redact = ["redact", "prompted-volunteer.csv", "--out", "r.csv", "--seed", "5", "--force"];
    let (code, out, err) = run(folder.path(), &redact);
    assert_eq!(code, 0, "{err}");
    for wanted in ["3600 presses in 1 session", "not anonymous", "words (", "can be read back", "The rhythm stays"] {
        assert!(out.contains(wanted), "{wanted} is not in:\n{out}");
    }
    let log = fs::read_to_string(folder.path().join("r.csv")).unwrap();
    assert!(!log.contains("Key") && !log.contains("synthetic"));
    let summary = json(folder.path(), &["inspect", "r.csv", "--layout", "redacted"]);
    assert_eq!((&summary["report"]["presses"], &summary["report"]["rows_kept"]), (&3600.into(), &3600.into()));
    // What decides between tap and hold is kept; the roles by finger are not those by key.
    let replay = json(folder.path(), &["replay", "r.csv", "--layout", "redacted", "--spec", "my.toml"]);
    assert!(replay["replay"]["presses"].as_u64().unwrap() > 745, "every key of a finger counts as its resting key");
    // Coarser classes give fewer words away.
    let share = |arguments: &[&str]| json(folder.path(), arguments)["read_back"]["readable_share"].as_f64().unwrap();
    assert!(share(&redact) > 2.0 * share(&[&redact[..], &["--classes", "hand"]].concat()));
    // Noise that nobody named is not the same twice.
    let unseeded = || {
        assert_eq!(run(folder.path(), &["redact", "prompted-volunteer.csv", "--out", "u.csv", "--force"]).0, 0);
        fs::read(folder.path().join("u.csv")).unwrap()
    };
    assert_ne!(unseeded(), unseeded());
}

#[test]
fn replay_judges_errors_where_intents_are_known() {
    let folder = folder();
    let (code, out, err) = run(folder.path(), &["replay", "prompted-volunteer.csv", "--spec", "my.toml", "--pairs"]);
    assert_eq!(code, 0, "{err}");
    for wanted in [
        "661 meant as taps, 110 as holds, 0 unstated",
        "false holds",
        "circular block bootstrap",
        "false holds: judged; every press of a dual-role key states what was meant",
        "what people do once keys have two roles: not judged",
    ] {
        assert!(out.contains(wanted), "{wanted} is not in:\n{out}");
    }
    // Counted here once more, from the file alone: cutoff 200 ms, keys of the resting row but thumbs.
    let mut down: Vec<(String, u64, String)> = Vec::new();
    let (mut false_holds, mut taps) = (0, 0);
    for line in fs::read_to_string(synthetic("prompted-volunteer.csv")).unwrap().lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let t: u64 = fields[2].parse().unwrap();
        if fields[4] == "press" {
            down.push((fields[3].to_owned(), t, fields[5].to_owned()));
        } else {
            let at = down.iter().position(|(code, ..)| code == fields[3]).unwrap();
            let (_, since, intent) = down.remove(at);
            if intent == "tap" {
                taps += 1;
                false_holds += u64::from(t - since >= 200_000);
            }
        }
    }
    let found = json(folder.path(), &["replay", "prompted-volunteer.csv", "--spec", "my.toml"]);
    let row = |found: &Value, policy: &str, estimand: &str| -> Value {
        let rows = found["replay"]["rows"].as_array().unwrap();
        let is = |row: &&Value| row["policy"] == policy && row["estimand"] == estimand && row["minus"].is_null();
        rows.iter().find(is).unwrap()["estimate"].clone()
    };
    let rate = row(&found, "dwell-cutoff 200", "false-holds");
    assert!((rate["value"].as_f64().unwrap() - 1000.0 * f64::from(false_holds as u32) / taps as f64).abs() < 1e-9);
    assert_eq!(rate["n"], taps);
    assert!(rate["lo"].as_f64() < rate["value"].as_f64() && rate["value"].as_f64() < rate["hi"].as_f64());
    // The same on one thread and on two.
    let of =
        |threads| run(folder.path(), &["replay", "prompted-volunteer.csv", "--spec", "my.toml", "--threads", threads]);
    assert_eq!(of("1"), of("2"));
}

#[test]
fn replay_without_intents_says_what_cannot_be_judged() {
    let folder = folder();
    let (code, out, _) = run(folder.path(), &["replay", "slow-typist.csv", "--spec", "my.toml"]);
    assert_eq!(code, 0);
    assert!(out.contains("false holds: not judged; no press of a dual-role key is stated"), "{out}");
    assert!(out.contains("delay of decisions: judged") && !out.contains("per 1000 taps"), "{out}");
    let found = json(folder.path(), &["replay", "slow-typist.csv", "--spec", "my.toml"]);
    let rows = found["replay"]["rows"].as_array().unwrap();
    let errors = rows.iter().filter(|row| row["estimand"] == "missed-holds" && row["minus"].is_null());
    assert!(errors.clone().count() == 3 && errors.clone().all(|row| row["estimate"]["value"].is_null()));
    assert!(errors.clone().all(|row| row["estimate"]["reason"].as_str().unwrap().contains("no press")));
    let differ = found["replay"]["differ"].as_array().unwrap();
    assert!(differ.len() == 3 && differ.iter().all(|pair| pair["per_100"]["value"].is_number()));
    // A log of several people has people as its unit.
    let spec = synthetic("prompted-volunteer.toml");
    let simulate = ["simulate", spec.to_str().unwrap(), "--typists", "4", "--out", "four.parquet"];
    assert_eq!(run(folder.path(), &simulate).0, 0);
    let (_, out, _) = run(folder.path(), &["replay", "four.parquet", "--spec", "my.toml"]);
    assert!(out.starts_with("4 participants") && out.contains("over participants, not over time"), "{out}");
    let one = ["replay", "four.parquet", "--spec", "my.toml", "--participant", "synthetic-2"];
    assert!(run(folder.path(), &one).1.starts_with("1 participant,"));
}

#[test]
fn the_page_is_made_from_the_researchers_texts() {
    let folder = tempfile::tempdir().unwrap();
    let (code, out, err) = run(folder.path(), &["record", "--out", "page.html"]);
    assert!(code == 0 && out.contains("consent") && out.contains("clinician") && out.contains("passwords"), "{out}");
    assert!(err.contains("still asks to be replaced"), "{err}");
    fs::write(folder.path().join("consent.txt"), "Ada Quist asks you to type.\n\nYou may stop.\n").unwrap();
    fs::write(folder.path().join("phrases.txt"), "low tide\n\nhigh tide\n").unwrap();
    let texts = ["--consent", "consent.txt", "--phrases", "phrases.txt", "--free", "0", "--title", "Tides"];
    let (code, out, err) = run(folder.path(), &[&["record", "--out", "page.html"], &texts[..]].concat());
    assert_eq!((code, err.as_str()), (0, ""));
    assert!(out.contains("2 phrases, 6 phrases with capitals") && !out.contains("free typing"), "{out}");
    let page = fs::read_to_string(folder.path().join("page.html")).unwrap();
    assert!(page.contains("<p>Ada Quist asks you to type.</p>") && page.contains("\"high tide\""));
    // The template is a page, and mistakes in one are told with their line.
    let (_, template, _) = run(folder.path(), &["record", "--template"]);
    fs::write(folder.path().join("page.toml"), &template).unwrap();
    let arguments = ["record", "--page", "page.toml", "--consent", "consent.txt", "--out", "two.html"];
    assert_eq!(run(folder.path(), &arguments).0, 0);
    fs::write(folder.path().join("page.toml"), "title = \"a\"\nphrase = []\n").unwrap();
    let (code, _, err) = run(folder.path(), &arguments);
    assert!(code == 2 && err.contains("page.toml") && err.contains("line 2") && err.contains("phrase"), "{err}");
    let (code, _, err) = run(folder.path(), &["record"]);
    assert!(code == 2 && err.contains("--out"), "{err}");
}

#[test]
fn a_log_is_held_against_simulated_groups() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), crate::common::SPEC).unwrap();
    fs::write(folder.path().join("text.txt"), "The tide turns at noon. Ask Ada for the log.").unwrap();
    let log = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-synthetic/logs/prompted-volunteer.csv");
    let log = log.to_str().unwrap();
    let args = ["replay", log, "--spec", "my.toml", "--against", "40", "--figure", "against.svg"];
    let (code, out, err) = run(folder.path(), &args);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("simulated groups of 1 person") && out.contains("median dwell"), "{out}");
    assert!(fs::read_to_string(folder.path().join("against.svg")).unwrap().contains("median dwell"));
    // The same again, and as data with the same verdicts.
    let found = json(folder.path(), &args[..6]);
    assert_eq!(found, json(folder.path(), &args[..6]));
    let rows = found["check"]["rows"].as_array().unwrap();
    assert_eq!((rows.len(), found["check"]["people"].as_u64()), (3 + 4 * 6, Some(1)));
    for row in rows {
        let limits = row["limits"].as_array().expect("a prompted log has presses of all kinds");
        assert!(limits[0].as_f64() <= limits[1].as_f64(), "{row}");
    }
    // So few groups have no tails.
    assert_eq!(run(folder.path(), &["replay", log, "--against", "5"]).0, 2);
}

#[test]
fn what_is_written_is_told_as_data_when_asked() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my.toml"), crate::common::SPEC).unwrap();
    fs::write(folder.path().join("text.txt"), "The tide turns at noon. Ask Ada for the log.").unwrap();
    let made = json(folder.path(), &["simulate", "my.toml", "--typists", "2", "--out", "two.csv"]);
    let lines = fs::read_to_string(folder.path().join("two.csv")).unwrap().lines().count() as u64;
    assert_eq!((made["events"].as_u64(), made["typists"].as_u64()), (Some(lines - 1), Some(2)));
    let page = json(folder.path(), &["record", "--out", "page.html"]);
    assert!(page["minutes"].as_u64() > Some(0) && page["holds"].as_u64() > Some(0), "{page}");
    // A picture of one participant of a log that is laid out as it is.
    let picture = ["picture", "my.toml", "--log", "two.csv", "--participant", "synthetic-1", "--out", "p.svg"];
    assert_eq!(run(folder.path(), &picture).0, 0);
    let nobody = ["picture", "my.toml", "--log", "two.csv", "--participant", "nobody", "--out", "q.svg"];
    let (code, _, err) = run(folder.path(), &nobody);
    assert!(code == 2 && err.contains("synthetic-0, synthetic-1"), "{err}");
}

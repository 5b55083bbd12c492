//! What every command prints fits the terminal, narrow or wide; a pipe gets whole lines, and may close.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Stdio;

use crate::common::{SPEC, study};
use assert_cmd::Command;

/// What a command prints in a terminal so wide, its exit code first.
fn printed(folder: &Path, args: &[&str], columns: Option<usize>) -> (i32, String) {
    let mut command = Command::cargo_bin("agogic").unwrap();
    command.current_dir(folder).args(args);
    match columns {
        Some(columns) => command.env("COLUMNS", columns.to_string()),
        None => command.env_remove("COLUMNS"),
    };
    let output = command.output().unwrap();
    (output.status.code().unwrap(), String::from_utf8(output.stdout).unwrap())
}

fn log() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-synthetic/logs/prompted-volunteer.csv")
}

#[test]
fn no_line_is_wider_than_the_terminal() {
    let (folder, _) = study();
    let folder = folder.path();
    let sweep = "[[sweep]]\nrule = \"dwell-cutoff\"\ndesign = \"grid\"\nover = { cutoff_ms = { from = 150, to = 250, steps = 3 } }\n";
    fs::write(folder.join("sweep.toml"), format!("{SPEC}{sweep}")).unwrap();
    let log = log();
    let log = log.to_str().unwrap();
    let commands: &[&[&str]] = &[
        &["policies"],
        &["populations"],
        &["populations", "--register", "slow"],
        &["costs"],
        &["check"],
        &["run", "my.toml", "--out", "again"],
        &["report", "results/trial"],
        &["sweep", "sweep.toml"],
        &["inspect", log],
        &["fit", log],
        &["replay", log],
        &["replay", log, "--by-key"],
        &["advise", "--log", log, "--draws", "20"],
        &["new", "fresh.toml", "--force"],
    ];
    // These compute for seconds; how they print hangs on the same code.
    let slow = ["run", "sweep", "advise", "check"];
    for args in commands {
        for columns in if slow.contains(&args[0]) { &[80][..] } else { &[80, 120] } {
            let columns = *columns;
            let (code, out) = printed(folder, args, Some(columns));
            // A check may find disagreement.
            assert!(code <= 1 && !out.is_empty(), "{args:?}: {code}");
            // A word of its own line, such as a path, is as long as it is.
            let breakable = |line: &&str| line.trim().contains(' ');
            let widest = out.lines().filter(breakable).max_by_key(|line| line.chars().count()).unwrap_or_default();
            assert!(widest.chars().count() <= columns, "{args:?} at {columns}: {widest}");
        }
    }
}

#[test]
fn narrow_and_whole_say_the_same() {
    let (folder, _) = study();
    let words = |text: String| {
        let mut words: Vec<String> = text.split_whitespace().map(str::to_owned).collect();
        words.sort_unstable();
        words.dedup();
        words
    };
    let log = log();
    for args in [&["replay", log.to_str().unwrap()][..], &["policies"]] {
        let narrow = words(printed(folder.path(), args, Some(80)).1);
        let whole = words(printed(folder.path(), args, None).1);
        assert_eq!(narrow, whole, "{args:?}");
        let wide: Vec<&str> = args.iter().copied().chain(["--wide"]).collect();
        assert_eq!(words(printed(folder.path(), &wide, Some(80)).1), whole);
    }
}

#[test]
fn a_log_may_come_from_a_pipe_and_what_is_printed_may_not_be_read() {
    let text = fs::read(log()).unwrap();
    let of_file = printed(Path::new("."), &["inspect", log().to_str().unwrap()], None);
    let piped = Command::cargo_bin("agogic").unwrap().args(["inspect", "-"]).write_stdin(text).output().unwrap();
    assert_eq!((piped.status.code(), String::from_utf8(piped.stdout).unwrap()), (Some(of_file.0), of_file.1));
    // Whoever reads along goes away at once.
    let mut child = std::process::Command::new(assert_cmd::cargo::cargo_bin("agogic"))
        .args(["populations", "--register"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let done = child.wait_with_output().unwrap();
    assert_eq!((done.status.code(), String::from_utf8(done.stderr).unwrap()), (Some(0), String::new()));
}

#[test]
fn what_is_there_is_not_written_over_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let (code, out) = printed(folder.path(), &["new"], None);
    assert_eq!((code, out.contains("agogic run my-study.toml")), (0, true));
    fs::write(folder.path().join("my-study.toml"), "mine").unwrap();
    assert_eq!(printed(folder.path(), &["new"], None).0, 2);
    assert_eq!(fs::read_to_string(folder.path().join("my-study.toml")).unwrap(), "mine");
    assert_eq!(printed(folder.path(), &["new", "--force"], None).0, 0);
    let log = log();
    let redact = ["redact", log.to_str().unwrap(), "--out", "my-study.toml"];
    assert_eq!(printed(folder.path(), &redact, None).0, 2);
}

#[test]
fn a_log_of_which_nothing_is_kept_is_a_mistake() {
    let folder = tempfile::tempdir().unwrap();
    let rows = "session,participant,t_us,code,edge,intent,target\n1,a,5,KeyF,sideways,,\n";
    fs::write(folder.path().join("bad.csv"), rows).unwrap();
    let (code, out) = printed(folder.path(), &["inspect", "bad.csv"], None);
    assert_eq!(code, 2, "{out}");
}

//! Narrow and whole lines say the same, data stay whole, a pipe gets whole lines, and may close. That every command fits the
//! terminal is held in `snapshots`.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Stdio;

use crate::common::study;
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

/// What is printed to be read back is not broken, however narrow the terminal.
#[test]
fn data_stay_whole() {
    let folder = tempfile::tempdir().unwrap();
    for args in [&["costs"][..], &["populations", "--write", "slow"], &["record", "--template"]] {
        let (code, narrow) = printed(folder.path(), args, Some(40));
        assert_eq!((code, &narrow), (0, &printed(folder.path(), args, None).1), "{args:?}");
        assert!(narrow.parse::<toml::Table>().is_ok(), "{args:?}");
    }
    for format in ["csv", "arrays"] {
        let args = ["policies", "--table", "evidence", "--format", format];
        assert_eq!(printed(folder.path(), &args, Some(40)), printed(folder.path(), &args, None), "{format}");
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

//! Every output in the README is what the program prints today.

use std::fs;
use std::path::Path;

use assert_cmd::Command;

/// Columns of the terminal whose output the README shows.
const COLUMNS: &str = "116";

/// A command with what the README shows of it, `...` standing for any lines.
fn blocks(readme: &str) -> Vec<(String, Vec<String>)> {
    let consoles = readme.split("```console\n").skip(1);
    consoles
        .map(|rest| {
            let block = rest.split("\n```").next().unwrap();
            let (command, shown) = block.split_once('\n').unwrap();
            (command.strip_prefix("$ ").unwrap().to_owned(), shown.lines().map(str::to_owned).collect())
        })
        .collect()
}

/// The arguments of a command as a shell takes them, `cargo run --release` being the program itself.
fn arguments(command: &str) -> Vec<String> {
    let rest = command.strip_prefix("cargo run --release").or_else(|| command.strip_prefix("agogic")).unwrap();
    let quoted = rest.split('"').enumerate();
    quoted
        .flat_map(|(at, part)| {
            if at % 2 == 1 { vec![part.to_owned()] } else { part.split_whitespace().map(str::to_owned).collect() }
        })
        .collect()
}

/// The first shown lines that are not printed in their order; `None` where all are.
fn lacks(shown: &[String], printed: &str) -> Option<String> {
    let printed: Vec<&str> = printed.lines().map(str::trim_end).collect();
    let mut from = 0;
    let mut anywhere = false;
    for run in shown.split(|line| line == "...").enumerate().map(|(at, run)| (at > 0, run)) {
        let (gap, run) = run;
        anywhere |= gap;
        if run.is_empty() {
            continue;
        }
        let starts = from..(printed.len() + 1).saturating_sub(run.len());
        let here = |start: usize| run.iter().zip(&printed[start..]).all(|(a, b)| a.trim_end() == *b);
        let found = if anywhere {
            starts.into_iter().find(|start| here(*start))
        } else {
            starts.contains(&from).then_some(from).filter(|start| here(*start))
        };
        match found {
            Some(start) => from = start + run.len(),
            None => return Some(run.join("\n")),
        }
        anywhere = false;
    }
    None
}

#[test]
fn every_output_in_the_readme_is_printed_today() {
    let root = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."));
    let readme = fs::read_to_string(root.join("README.md")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let log = "data-synthetic/logs/prompted-volunteer.csv";
    fs::create_dir_all(folder.path().join("data-synthetic/logs")).unwrap();
    fs::copy(root.join(log), folder.path().join(log)).unwrap();
    let mut printed: Vec<(String, String)> = Vec::new();
    let blocks = blocks(&readme);
    assert!(blocks.len() >= 5, "{blocks:?}");
    for (command, shown) in blocks {
        if !printed.iter().any(|(known, _)| *known == command) {
            let mut run = Command::cargo_bin("agogic").unwrap();
            let out =
                run.current_dir(folder.path()).args(arguments(&command)).env("COLUMNS", COLUMNS).output().unwrap();
            assert!(out.status.code().is_some_and(|code| code <= 1), "{command}: {out:?}");
            printed.push((command.clone(), String::from_utf8(out.stdout).unwrap()));
        }
        let (_, text) = printed.iter().find(|(known, _)| *known == command).unwrap();
        if let Some(missing) = lacks(&shown, text) {
            panic!("`{command}` does not print\n{missing}\nbut\n{text}");
        }
    }
}

#[test]
fn the_readme_is_short_and_has_no_output_that_is_not_tried() {
    let readme = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../README.md")).unwrap();
    assert!(readme.lines().count() < 250, "{} lines", readme.lines().count());
    assert!(!readme.contains("```text"), "outputs stand in blocks of the console, which are tried");
}

#[test]
fn what_is_not_printed_is_found() {
    let shown = |text: &str| text.lines().map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(lacks(&shown("a\n...\nc\nd"), "a\nb\nc\nd\ne"), None);
    assert_eq!(lacks(&shown("b\n..."), "a\nb"), Some("b".to_owned()));
    assert_eq!(lacks(&shown("...\nc\nb"), "a\nb\nc"), Some("c\nb".to_owned()));
    assert_eq!(lacks(&shown("...\nb\n...\na"), "a\nb"), Some("a".to_owned()));
}

//! Holds a program to vectors, by its standard input and output.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};

use crate::story::Told;
use crate::vectors::{Case, read_told, role};

/// What a program made of vectors.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Conformance {
    /// Cases it was given.
    pub cases: usize,
    /// Decisions it was to make.
    pub decisions: usize,
    /// Cases it failed.
    pub failed: usize,
    /// The first of them, in words.
    pub differences: Vec<String>,
}

/// Why a program could not be held to vectors. The texts continue "failed to run the program: …".
#[derive(Debug, thiserror::Error)]
pub enum ConformError {
    /// It does not start, or its input or output breaks.
    #[error("{program}: {source}")]
    Program {
        /// The program.
        program: String,
        /// The system's answer.
        source: std::io::Error,
    },
    /// It stopped before the last case.
    #[error("{program} ended after {answered} of {cases} cases; it has to answer `end` to every `end`, and read on")]
    Ended {
        /// The program.
        program: String,
        /// Cases it answered.
        answered: usize,
        /// Cases there are.
        cases: usize,
    },
    /// A line that means nothing.
    #[error("{program} answered `{line}`, in the case `{case}`; a line is `case NAME`, `tap KEY WHEN`, `hold KEY WHEN` or `end`")]
    Line {
        /// The program.
        program: String,
        /// What it said.
        line: String,
        /// Where.
        case: String,
    },
}

/// Differences that are told in words.
const TOLD: usize = 10;

/// Runs a program with these arguments, gives it every case, and compares what it says.
///
/// # Errors
/// The program does not start, stops early, or says something that is no answer.
pub fn conform(program: &Path, arguments: &[String], cases: &[Case]) -> Result<Conformance, ConformError> {
    let name = program.display().to_string();
    let broken = |source| ConformError::Program { program: name.clone(), source };
    let mut child = Command::new(program)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .map_err(broken)?;
    let mut input = child.stdin.take().expect("it was asked for");
    let output = BufReader::new(child.stdout.take().expect("it was asked for"));
    let outcome = std::thread::scope(|scope| {
        scope.spawn(move || {
            let mut text = String::new();
            for case in cases {
                text.clear();
                case.write_lines(&mut text);
                // A program that stops early is told by its answers.
                if input.write_all(text.as_bytes()).is_err() {
                    return;
                }
            }
        });
        compare(&name, output, cases)
    });
    if outcome.is_err() {
        let _ = child.kill();
    }
    let _ = child.wait();
    outcome
}

fn compare(program: &str, output: impl BufRead, cases: &[Case]) -> Result<Conformance, ConformError> {
    let mut found = Conformance { cases: cases.len(), ..Conformance::default() };
    let mut lines = output.lines();
    for (answered, case) in cases.iter().enumerate() {
        let mut told: Vec<Told> = Vec::new();
        loop {
            let line = match lines.next() {
                None => {
                    let program = program.to_owned();
                    return Err(ConformError::Ended { program, answered, cases: cases.len() });
                }
                Some(line) => {
                    line.map_err(|source| ConformError::Program { program: program.to_owned(), source })?
                }
            };
            let mut words = line.split_whitespace();
            let first = words.next().unwrap_or_default();
            match (first, read_told(first, words.next(), words.next())) {
                ("end", _) => break,
                ("case" | "", _) => {}
                (_, Some(decision)) => told.push(decision),
                _ => {
                    let (program, case) = (program.to_owned(), case.name.clone());
                    return Err(ConformError::Line { program, line, case });
                }
            }
        }
        told.sort_unstable();
        found.decisions += case.told.len();
        if told != case.told {
            found.failed += 1;
            if found.differences.len() < TOLD {
                let list = |told: &[Told]| {
                    let words: Vec<String> =
                        told.iter().map(|own| format!("{} {} {}", role(own.hold), own.key, own.when)).collect();
                    if words.is_empty() { "nothing".to_owned() } else { words.join(", ") }
                };
                let difference = format!("case {}: expected {}; got {}", case.name, list(&case.told), list(&told));
                found.differences.push(difference);
            }
        }
    }
    Ok(found)
}

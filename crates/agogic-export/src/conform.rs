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
    #[error(
        "{program} answered `{line}`, in the case `{case}`; a line is `case NAME`, `tap KEY WHEN`, `hold KEY WHEN` or `end`"
    )]
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
    Ok(compared(&answers(program, arguments, cases)?, cases))
}

/// Runs a program with these arguments, gives it every case, and takes what it says to each, in the order in which it says it.
///
/// # Errors
/// The program does not start, stops early, or says something that is no answer.
pub fn answers(program: &Path, arguments: &[String], cases: &[Case]) -> Result<Vec<Vec<Told>>, ConformError> {
    let name = program.display().to_string();
    let broken = |source| ConformError::Program { program: name.clone(), source };
    let mut child =
        Command::new(program).args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().map_err(broken)?;
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
        let read = read_answers(&name, output, cases);
        if read.is_err() {
            // It may wait for somebody to read on, and the thread above for it.
            let _ = child.kill();
        }
        read
    });
    let _ = child.wait();
    outcome
}

/// Compares what a program wrote with what it had to say.
///
/// # Errors
/// It stopped early, or said something that is no answer.
pub fn compare_answers(program: &str, written: impl BufRead, cases: &[Case]) -> Result<Conformance, ConformError> {
    Ok(compared(&read_answers(program, written, cases)?, cases))
}

fn read_answers(program: &str, output: impl BufRead, cases: &[Case]) -> Result<Vec<Vec<Told>>, ConformError> {
    let mut lines = output.lines();
    let mut answers = Vec::with_capacity(cases.len());
    for case in cases {
        let mut told: Vec<Told> = Vec::new();
        loop {
            let program = || program.to_owned();
            let line = match lines.next() {
                None => {
                    return Err(ConformError::Ended {
                        program: program(),
                        answered: answers.len(),
                        cases: cases.len(),
                    });
                }
                Some(line) => line.map_err(|source| ConformError::Program { program: program(), source })?,
            };
            let mut words = line.split_whitespace();
            let first = words.next().unwrap_or_default();
            match (first, read_told(first, words.next(), words.next())) {
                ("end", _) => break,
                ("case" | "", _) => {}
                (_, Some(decision)) => told.push(decision),
                _ => return Err(ConformError::Line { program: program(), line, case: case.name.clone() }),
            }
        }
        answers.push(told);
    }
    Ok(answers)
}

fn compared(answers: &[Vec<Told>], cases: &[Case]) -> Conformance {
    let mut found = Conformance { cases: cases.len(), ..Conformance::default() };
    for (case, told) in cases.iter().zip(answers) {
        found.decisions += case.told.len();
        let mut told = told.clone();
        told.sort_unstable();
        if told == case.told {
            continue;
        }
        found.failed += 1;
        if found.differences.len() < TOLD {
            let (wanted, got) = (list(&case.told), list(&told));
            found.differences.push(format!("case {}: expected {wanted}; got {got}", case.name));
        }
    }
    found
}

fn list(told: &[Told]) -> String {
    let words: Vec<String> = told.iter().map(|own| format!("{} {} {}", role(own.hold), own.key, own.when)).collect();
    if words.is_empty() { "nothing".to_owned() } else { words.join(", ") }
}

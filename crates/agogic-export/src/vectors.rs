//! Conformance vectors: what a machine is told, and what it has to say.

use std::fmt::Write;

use crate::machine::Machine;
use crate::story::{Line, Told, expected};

/// A sequence of key events with the decisions it asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Case {
    /// What it is about, in words without spaces.
    pub name: String,
    /// What the machine is told.
    pub lines: Vec<Line>,
    /// What it has to say; decisions of one tick may come in any order.
    pub told: Vec<Told>,
}

impl Case {
    /// A case with what the policy says to it.
    pub fn new(machine: &Machine, name: impl Into<String>, lines: Vec<Line>) -> Self {
        let told = expected(machine, &lines);
        Self { name: name.into(), lines, told }
    }

    /// The case as a program is given it, times as 32 bits.
    pub fn write_lines(&self, text: &mut String) {
        let _ = writeln!(text, "case {}", self.name);
        for line in &self.lines {
            let _ = match *line {
                Line::Down { key, when } => writeln!(text, "down {key} {}", when as u32),
                Line::Up { key, when } => writeln!(text, "up {key} {}", when as u32),
                Line::Wait { when } => writeln!(text, "wait {}", when as u32),
            };
        }
        text.push_str("end\n");
    }
}

/// First line of a file of vectors; the number is that of its form.
const HEAD: &str = "agogic vectors 1";

/// The file of vectors.
pub fn vectors_text(machine: &Machine, cases: &[Case]) -> String {
    let mut text = format!(
        "{HEAD}\n# {}\n# clock {}, slots {}\n# Give a program the lines that begin with case, down, up, wait and end; it answers with case, tap, hold and \
         end.\n",
        machine.setting.label(),
        machine.clock.name(),
        machine.slots
    );
    for case in cases {
        case.write_lines(&mut text);
        // What is expected stands before the end of the case.
        text.truncate(text.len() - "end\n".len());
        for told in &case.told {
            let _ = writeln!(text, "expect {} {} {}", role(told.hold), told.key, told.when);
        }
        text.push_str("end\n");
    }
    text
}

pub(crate) fn role(hold: bool) -> &'static str {
    if hold { "hold" } else { "tap" }
}

/// A line of a file of vectors that cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {problem}")]
pub struct VectorsError {
    /// The line, from 1 on.
    pub line: usize,
    /// What is wrong, and what would do.
    pub problem: String,
}

/// Reads a file of vectors.
///
/// # Errors
/// The first line that is not understood.
pub fn read_vectors(text: &str) -> Result<Vec<Case>, VectorsError> {
    let mut lines = text.lines().enumerate();
    let refused = |line: usize, problem: String| VectorsError { line: line + 1, problem };
    match lines.next() {
        Some((_, first)) if first.trim_end() == HEAD => {}
        other => {
            let found = other.map_or("nothing", |(_, line)| line);
            return Err(refused(
                0,
                format!("`{found}` stands where `{HEAD}` is due; name a vectors.txt that `agogic export` wrote"),
            ));
        }
    }
    let mut cases = Vec::new();
    let mut open: Option<Case> = None;
    let mut last = 0;
    for (at, line) in lines {
        last = at;
        let mut words = line.split_whitespace();
        let Some(first) = words.next().filter(|word| !word.starts_with('#')) else { continue };
        if first == "case" {
            if open.is_some() {
                return Err(refused(at, "a case begins before the one above has its `end`".to_owned()));
            }
            open = Some(Case { name: words.next().unwrap_or_default().to_owned(), lines: vec![], told: vec![] });
            continue;
        }
        let Some(case) = &mut open else {
            return Err(refused(at, format!("`{first}` stands outside of a case")));
        };
        let mut number = |most: u64| {
            let word = words.next().unwrap_or_default();
            let value = word.parse::<u64>().ok().filter(|value| *value <= most);
            value.ok_or_else(|| refused(at, format!("`{word}` is no whole number from 0 to {most}")))
        };
        let (key, time) = (u64::from(u8::MAX), u64::from(u32::MAX));
        match first {
            "down" => case.lines.push(Line::Down { key: number(key)? as u8, when: number(time)? }),
            "up" => case.lines.push(Line::Up { key: number(key)? as u8, when: number(time)? }),
            "wait" => case.lines.push(Line::Wait { when: number(time)? }),
            "expect" => {
                let role = words.next().unwrap_or_default();
                let told = read_told(role, words.next(), words.next());
                let told =
                    told.ok_or_else(|| refused(at, "`expect` takes tap or hold, a key and a time".to_owned()))?;
                case.told.push(told);
            }
            "end" => {
                let mut case = open.take().expect("it is open");
                case.told.sort_unstable();
                cases.push(case);
            }
            other => return Err(refused(at, format!("`{other}` is none of case, down, up, wait, expect and end"))),
        }
    }
    if open.is_some() {
        return Err(refused(last + 1, "the last case has no `end`".to_owned()));
    }
    Ok(cases)
}

/// A decision from its words.
pub(crate) fn read_told(role: &str, key: Option<&str>, when: Option<&str>) -> Option<Told> {
    let hold = match role {
        "hold" => true,
        "tap" => false,
        _ => return None,
    };
    Some(Told { when: when?.parse().ok()?, key: key?.parse().ok()?, hold })
}

//! What became of every row.

use std::collections::BTreeMap;
use std::fmt;

use serde::Serialize;

use crate::{DefectKind, Fate};

/// How many lines of each kind of defect are named.
const FIRST: usize = 5;

/// Longest example of a defect, in characters.
const EXAMPLE: usize = 24;

/// How often one kind of defect was met, where, and what was done.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct DefectCount {
    /// How often.
    pub count: u64,
    /// How many rows were left out because of it; a dwell of zero costs two, a repair none.
    pub rows_refused: u64,
    /// The lines of the first five, from 1. For rows that come from a table, their numbers.
    pub first_lines: Vec<u64>,
    /// The value in the first of them, cut and escaped; `None` when no single value is at fault.
    pub example: Option<String>,
    /// What was done.
    pub done: &'static str,
}

/// What became of every row of a log.
///
/// # Definition
/// `rows = rows_kept + Σ rows_refused`: every row is either part of a press that was handed on or is
/// counted under exactly one defect. Blank lines and the header are no rows.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct LogReport {
    /// Rows met.
    pub rows: u64,
    /// Rows that make up the presses.
    pub rows_kept: u64,
    /// Presses handed on.
    pub presses: u64,
    /// Presses with a stated intent.
    pub intents: u64,
    /// Sessions in which at least one row was taken in.
    pub sessions: u64,
    /// Their participants.
    pub participants: u64,
    /// Places inside sessions across which no interval may be taken, because rows are missing there.
    pub breaks: u64,
    /// The most that was held in memory for rows, in bytes, by count of entries.
    pub held_bytes_max: u64,
    /// The defects.
    pub defects: BTreeMap<DefectKind, DefectCount>,
}

impl LogReport {
    /// Whether every row is accounted for.
    pub fn balances(&self) -> bool {
        self.rows == self.rows_kept + self.rows_refused()
    }

    /// Rows left out.
    pub fn rows_refused(&self) -> u64 {
        self.defects.values().map(|defect| defect.rows_refused).sum()
    }

    /// How often a kind was met.
    pub fn count(&self, kind: DefectKind) -> u64 {
        self.defects.get(&kind).map_or(0, |defect| defect.count)
    }

    /// Counts a defect that costs `rows` rows.
    pub(crate) fn add(&mut self, kind: DefectKind, line: u64, rows: u64, example: Option<&str>) {
        let defect = self.defects.entry(kind).or_default();
        debug_assert_eq!(rows == 0, kind.fate() == Fate::Repaired, "{kind}");
        defect.count += 1;
        defect.rows_refused += rows;
        defect.done = kind.rule();
        if defect.first_lines.len() < FIRST {
            defect.first_lines.push(line);
        }
        if defect.example.is_none() {
            defect.example = example.map(|text| {
                let mut cut: String = text.chars().take(EXAMPLE).collect::<String>().escape_debug().collect();
                if text.chars().nth(EXAMPLE).is_some() {
                    cut.push('…');
                }
                cut
            });
        }
    }

    pub(crate) fn refuse(&mut self, kind: DefectKind, line: u64) {
        self.add(kind, line, 1, None);
    }

    pub(crate) fn note(&mut self, kind: DefectKind, line: u64) {
        self.add(kind, line, 0, None);
    }
}

impl fmt::Display for LogReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let counted = |number: u64, what: &str| format!("{number} {what}{}", if number == 1 { "" } else { "s" });
        writeln!(
            f,
            "{} rows, {} kept: {} presses, {}, {}",
            self.rows,
            self.rows_kept,
            self.presses,
            counted(self.sessions, "session"),
            counted(self.participants, "participant")
        )?;
        for (kind, defect) in &self.defects {
            let lines: Vec<String> = defect.first_lines.iter().map(u64::to_string).collect();
            let more = if defect.count as usize > defect.first_lines.len() { ", …" } else { "" };
            let s = if defect.count == 1 { "" } else { "s" };
            write!(f, "  {kind}: {} (line{s} {}{more})", defect.count, lines.join(", "))?;
            if let Some(example) = &defect.example {
                write!(f, ", first `{example}`")?;
            }
            writeln!(f, ": {}", defect.done)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn examples_are_cut_and_escaped() {
        let mut report = LogReport { rows: 1, ..LogReport::default() };
        report.add(DefectKind::UnknownCode, 9, 1, Some(&"\u{1b}[2J".repeat(40)));
        assert!(report.balances());
        let text = report.to_string();
        assert!(!text.contains('\u{1b}') && text.contains("line 9") && text.contains('…'), "{text}");
    }

    #[test]
    fn only_the_first_lines_are_named() {
        let mut report = LogReport::default();
        for line in 1..=100 {
            report.note(DefectKind::OutOfOrder, line);
        }
        let defect = &report.defects[&DefectKind::OutOfOrder];
        assert_eq!((defect.count, defect.rows_refused), (100, 0));
        assert_eq!(defect.first_lines, [1, 2, 3, 4, 5]);
        assert!(report.to_string().contains("lines 1, 2, 3, 4, 5, …"));
    }
}

//! The comparison as it was recorded for this version: the table of the README, which a test keeps fresh.

use crate::papers::rows;
use crate::row::{Role, Row};

const README: &str = include_str!("../README.md");

/// A row with what the recorded comparison says of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Recorded {
    /// The row.
    pub row: &'static Row,
    /// The published value with its unit.
    pub published: String,
    /// The simulated value with its Monte Carlo standard error; `–` where it is not modelled.
    pub simulated: String,
    /// The rule of agreement.
    pub rule: String,
    /// `agrees`, `misses`, `descriptive` or `not modelled`; a star marks a verdict that another seed could turn.
    pub verdict: String,
}

impl Recorded {
    /// Whether the row agrees (`true`) or misses (`false`); `None` for rows that can do neither.
    pub fn agrees(&self) -> Option<bool> {
        match self.verdict.trim_end_matches(" *") {
            "agrees" => Some(true),
            "misses" => Some(false),
            _ => None,
        }
    }

    /// Whether the row was never used to set the model.
    pub fn held_out(&self) -> bool {
        self.row.role == Role::HeldOut
    }
}

/// The recorded comparison of every published value, in the order of the table.
///
/// It is of 5000 typists of each shipped population with seed 1, as `agogic check` runs it. Reading it costs
/// nothing, where a fresh comparison takes a simulation.
pub fn recorded() -> Vec<Recorded> {
    let table = README.split_once("<!-- begin table -->").and_then(|(_, rest)| rest.split_once("<!-- end table -->"));
    let lines = table.map_or("", |(table, _)| table).lines();
    lines.filter_map(of_line).collect()
}

/// `None` for lines that are no row.
fn of_line(line: &str) -> Option<Recorded> {
    let cells: Vec<&str> = line.strip_prefix('|')?.trim_end().strip_suffix('|')?.split('|').map(str::trim).collect();
    let [id, _, published, simulated, rule, _, _, verdict] = cells.as_slice() else { return None };
    let row = rows().find(|row| row.id == *id)?;
    Some(Recorded {
        row,
        published: (*published).to_owned(),
        simulated: (*simulated).to_owned(),
        rule: (*rule).to_owned(),
        verdict: verdict.replace("**", ""),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_recorded_once() {
        let found = recorded();
        assert_eq!(found.len(), rows().filter(|row| !row.is_of_people()).count());
        let mut ids: Vec<&str> = found.iter().map(|r| r.row.id).collect();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), found.len());
        assert!(found.iter().any(|r| r.agrees() == Some(true)) && found.iter().any(|r| r.agrees() == Some(false)));
    }
}

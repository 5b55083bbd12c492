//! Trained tables as text: for people, for programs, and for the source of a keyboard.

use std::fmt::Write;

use super::tables::{EvidenceTables, TableCell};
use crate::{RuleEntry, TableCost};

/// The table of one learned rule, and what it costs.
#[derive(Clone, Debug)]
pub struct TableListing {
    /// The rule.
    pub rule: &'static str,
    /// The entries the rule reads, row by row.
    pub cells: Vec<TableCell>,
    /// Size and work.
    pub cost: TableCost,
    /// Taps in the training sample.
    pub taps: u64,
    /// Holds in the training sample.
    pub holds: u64,
}

impl TableListing {
    /// The table that `rule` decides from; `None` for a rule that has none.
    pub fn of(rule: &RuleEntry, tables: &EvidenceTables) -> Option<Self> {
        let cost = rule.cost.tables?;
        let part = if rule.name == "evidence" { "summary" } else { "course" };
        let mut cells = tables.cells();
        cells.retain(|cell| cell.table == "lull" || cell.table == part);
        Some(Self { rule: rule.name, cells, cost, taps: tables.taps, holds: tables.holds })
    }

    /// Rows of cells, in order: each with its table, its name and its cells.
    fn rows(&self) -> impl Iterator<Item = &[TableCell]> {
        self.cells.chunk_by(|one, next| one.table == next.table && one.row == next.row)
    }

    /// One line for each entry: `table,row,bin,above_ms,to_ms,units`.
    ///
    /// # Units
    /// The last column counts 1/256 nat. An edge is empty where there is none.
    pub fn csv(&self) -> String {
        let mut text = String::from("table,row,bin,above_ms,to_ms,units\n");
        let edge = |edge: Option<f64>| edge.map_or(String::new(), |ms| ms.to_string());
        for cell in &self.cells {
            let (above, to) = (edge(cell.above_ms), edge(cell.to_ms));
            let _ = writeln!(text, "{},{},{},{above},{to},{}", cell.table, cell.row, cell.bin, cell.units);
        }
        text
    }

    /// A line for each bin and a column for each row of the table, for people.
    pub fn markdown(&self) -> String {
        let rows: Vec<&[TableCell]> = self.rows().collect();
        let mut text = String::from("| time (ms) |");
        rows.iter().for_each(|row| _ = write!(text, " {} |", row[0].row));
        text.push_str("\n| ---: |");
        rows.iter().for_each(|_| text.push_str(" ---: |"));
        text.push('\n');
        let longest = rows.iter().map(|row| row.len()).max().unwrap_or(0);
        for bin in 0..longest {
            let named = rows.iter().find_map(|row| row.get(bin)).expect("the longest row has it");
            let _ = match (named.above_ms, named.to_ms) {
                (_, Some(to)) => write!(text, "| to {to} |"),
                (Some(above), None) => write!(text, "| above {above} |"),
                (None, None) => write!(text, "| first press |"),
            };
            for row in &rows {
                let units = row.get(bin).map_or(String::new(), |cell| cell.units.to_string());
                let _ = write!(text, " {units} |");
            }
            text.push('\n');
        }
        text
    }

    /// The entries as constant arrays of 16-bit numbers, in the form that C and languages like it share.
    ///
    /// # Shape
    /// One array per row, its name and meaning in a comment. The bins are those of [`bin_of`](crate::bin_of).
    pub fn arrays(&self) -> String {
        let mut text = format!(
            "/* {}: log-likelihood ratios in 1/256 nat, learned from {} taps and {} holds; {} bytes */\n",
            self.rule, self.taps, self.holds, self.cost.bytes
        );
        for row in self.rows() {
            let name = format!("{}_{}", row[0].table, row[0].row.replace(' ', "_"));
            let _ = write!(text, "const int16_t {name}[{}] = {{", row.len());
            for (at, cell) in row.iter().enumerate() {
                let gap = if at % 15 == 0 { "\n    " } else { " " };
                let _ = write!(text, "{gap}{},", cell.units);
            }
            text.push_str("\n};\n");
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{BINS, Encounter, RULES, rule};
    use agogic_keys::{Hand, Instant, Span};

    fn listing(name: &str) -> TableListing {
        let lone = |ms: u64| {
            Encounter::new("KeyF".parse().unwrap(), Hand::Left, Instant(0), Span(ms * 1000)).with_lull(Span(ms * 900))
        };
        let tables = EvidenceTables::train((1..60).map(|i| (lone(i * 9), i > 30))).unwrap();
        TableListing::of(rule(name).unwrap(), &tables).unwrap()
    }

    #[test]
    fn what_is_listed_is_what_the_rule_reads() {
        for entry in RULES.iter().filter(|entry| entry.needs_training) {
            let listing = listing(entry.name);
            assert_eq!(2 * listing.cells.len(), listing.cost.bytes, "{}", entry.name);
        }
        let lone = |us| Encounter::new("KeyF".parse().unwrap(), Hand::Left, Instant(0), Span(us));
        let tables = EvidenceTables::train([(lone(1), true), (lone(2), false)]).unwrap();
        assert!(TableListing::of(rule("enclosed").unwrap(), &tables).is_none());
    }

    #[test]
    fn every_form_holds_every_number() {
        for name in ["evidence", "sequential-evidence"] {
            let listing = listing(name);
            let units: Vec<i16> = listing.cells.iter().map(|cell| cell.units).collect();
            let csv = listing.csv();
            let from_csv: Vec<i16> =
                csv.lines().skip(1).map(|line| line.rsplit(',').next().unwrap().parse().unwrap()).collect();
            assert_eq!(from_csv, units);
            let arrays = listing.arrays();
            let numbers = arrays.lines().filter(|line| line.starts_with("    ")).flat_map(|line| line.split(','));
            let from_arrays: Vec<i16> =
                numbers.map(str::trim).filter(|n| !n.is_empty()).map(|n| n.parse().unwrap()).collect();
            assert_eq!(from_arrays, units);
            // Two lines of head, the bins, and the first press of a session.
            let markdown = listing.markdown();
            assert_eq!(markdown.lines().count(), 2 + BINS + 1);
            let columns = markdown.lines().map(|line| line.matches('|').count());
            assert!(columns.clone().all(|n| n == columns.clone().next().unwrap()), "{markdown}");
            let numbers = markdown.lines().skip(2).flat_map(|line| line.split('|').skip(2));
            let sum: i64 = numbers.filter_map(|n| n.trim().parse::<i64>().ok()).sum();
            assert_eq!(sum, units.iter().map(|&n| i64::from(n)).sum::<i64>());
        }
    }

    #[test]
    fn arrays_are_named_after_their_rows() {
        let arrays = listing("sequential-evidence").arrays();
        assert!(arrays.contains("const int16_t lull_nothing_carried_over[31] = {\n"), "{arrays}");
        assert!(arrays.contains("const int16_t course_near_other_release[30] = {\n"), "{arrays}");
    }
}

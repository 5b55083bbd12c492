//! Trained tables as text: for people, for programs, and for the source of a keyboard.

use std::fmt::Write;

use serde::Serialize;

use super::tables::{EvidenceTables, TableCell, edges_ms};
use crate::{KEY_SLOTS, KeyEvidence, KeyTable, KeyedTables, RuleEntry, SequentialKeyEvidence, TableCost};

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
    /// What each set of tables loses on the training sample, for the rule whose memory is chosen; else empty.
    pub table_sets: Vec<TableSetRow>,
}

/// One set of tables of a rule whose memory is chosen.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TableSetRow {
    /// Bytes it takes.
    pub bytes: usize,
    /// Bytes of an entry.
    pub entry_bytes: usize,
    /// The table that it has and the set before has not, in words; `None` where only entries are wider.
    pub adds: Option<&'static str>,
    /// Log loss in the training sample, in nats per 1000 dual-role presses.
    pub loss_nats: f64,
}

impl TableListing {
    /// The table that `rule` decides from, in its default size; `None` for a rule that has none, or none trained.
    pub fn of(rule: &RuleEntry, tables: &EvidenceTables) -> Option<Self> {
        Self::within(rule, tables, KeyEvidence::DEFAULT_BYTES as usize)
    }

    /// The table that `rule` decides from where it may take so many bytes; only `key-evidence` looks at them.
    pub fn within(rule: &RuleEntry, tables: &EvidenceTables, bytes: usize) -> Option<Self> {
        let mut cost = rule.cost.tables?;
        let mut cells = tables.cells();
        let mut table_sets = Vec::new();
        match rule.name {
            "evidence" => cells.retain(|cell| matches!(cell.table, "lull" | "summary")),
            "sequential-evidence" => cells.retain(|cell| matches!(cell.table, "lull" | "course")),
            "key-evidence" => {
                let keyed = tables.keyed.as_ref()?;
                let set = keyed.within(bytes);
                cost.bytes = set.bytes;
                table_sets = rows_of_sets(keyed);
                cells = keyed_cells(keyed, set.tables(), set.constant(), |table| set.entries(table), set.entry_bytes());
            }
            _ => {
                let keyed = tables.keyed.as_ref()?;
                let own = &keyed.sequential;
                cells.retain(|cell| matches!(cell.table, "lull" | "course"));
                let of = |table| own.entries.of(table);
                cells.extend(keyed_cells(keyed, &SequentialKeyEvidence::TABLES, own.start, of, 1));
            }
        }
        Some(Self { rule: rule.name, cells, cost, taps: tables.taps, holds: tables.holds, table_sets })
    }

    /// Rows of cells, in order: each with its table, its name and its cells.
    fn rows(&self) -> impl Iterator<Item = &[TableCell]> {
        self.cells.chunk_by(|one, next| one.table == next.table && one.row == next.row)
    }

    /// One line for each entry: `table,row,bin,above_ms,to_ms,units`.
    ///
    /// # Units
    /// The last column counts 1/256 nat; in the table of rows, which own keys have one, rows. An edge is empty where there is
    /// none.
    pub fn csv(&self) -> String {
        let mut text = String::from("table,row,bin,above_ms,to_ms,units\n");
        let edge = |edge: Option<f64>| edge.map_or(String::new(), |ms| ms.to_string());
        for cell in &self.cells {
            let (above, to) = (edge(cell.above_ms), edge(cell.to_ms));
            let _ = writeln!(text, "{},{},{},{above},{to},{}", cell.table, cell.row, cell.bin, cell.units);
        }
        text
    }

    /// A line for each bin and a column for each row of the tables of times, for people; then a line for each key that
    /// says something.
    pub fn markdown(&self) -> String {
        let mut text = String::new();
        let rows: Vec<&[TableCell]> = self.rows().filter(|row| row[0].is_time()).collect();
        text.push_str("| time (ms) |");
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
        if self.cells.iter().any(|cell| !cell.is_time()) {
            text.push_str("\n| table | key | 1/256 nat |\n| --- | --- | ---: |\n");
            for cell in self.cells.iter().filter(|cell| !cell.is_time() && cell.units != 0 && cell.table != "rows") {
                let _ = writeln!(text, "| {} | {} | {} |", cell.table, cell.row, cell.units);
            }
        }
        if !self.table_sets.is_empty() {
            text.push_str(
                "\n| bytes | bytes an entry | adds | log loss in the training sample, nats per 1000 presses |\n\
                 | ---: | ---: | --- | ---: |\n",
            );
            for row in &self.table_sets {
                let adds = row.adds.unwrap_or("nothing: wider entries");
                let _ = writeln!(text, "| {} | {} | {adds} | {:.2} |", row.bytes, row.entry_bytes, row.loss_nats);
            }
        }
        text
    }

    /// The entries as constant arrays of 16-bit or 8-bit numbers, in the form that C and languages like it share.
    ///
    /// # Shape
    /// One array per row of a table of times and one per table of keys, its name and meaning in a comment. The bins are those
    /// of [`bin_of`](crate::bin_of), the places of keys those of [`KeySlot`](crate::KeySlot).
    ///
    /// # Units
    /// 1/256 nat in 16 bits, 1/16 nat in 8 bits.
    pub fn arrays(&self) -> String {
        let mut text = format!(
            "/* {}: log-likelihood ratios in 1/256 nat, learned from {} taps and {} holds; {} bytes */\n",
            self.rule, self.taps, self.holds, self.cost.bytes
        );
        for (name, cells) in self.named_rows() {
            let (kind, step) = if cells[0].entry_bytes == 1 { ("int8_t", cells[0].step) } else { ("int16_t", 1) };
            let _ = write!(text, "const {kind} {name}[{}] = {{", cells.len());
            for (at, cell) in cells.iter().enumerate() {
                let gap = if at % 15 == 0 { "\n    " } else { " " };
                let _ = write!(text, "{gap}{},", cell.units / step);
            }
            text.push_str("\n};\n");
        }
        text
    }

    /// The arrays: a row of times each, and a whole table of keys.
    fn named_rows(&self) -> Vec<(String, Vec<&TableCell>)> {
        let mut named: Vec<(String, Vec<&TableCell>)> = Vec::new();
        for row in self.rows() {
            let name = if row[0].is_time() {
                format!("{}_{}", row[0].table, row[0].row.replace(' ', "_"))
            } else {
                row[0].table.replace('-', "_")
            };
            match named.last_mut().filter(|(last, _)| *last == name) {
                Some((_, cells)) => cells.extend(row),
                None => named.push((name, row.iter().collect())),
            }
        }
        named
    }
}

fn rows_of_sets(keyed: &KeyedTables) -> Vec<TableSetRow> {
    let mut before: Option<usize> = None;
    let row = |set: &crate::FittedSet| {
        let tables = set.tables().len();
        let adds = (before != Some(tables)).then(|| KeyTable::ALL[tables - 1].words());
        let first = before.is_none();
        before = Some(tables);
        TableSetRow {
            bytes: set.bytes,
            entry_bytes: set.entry_bytes(),
            adds: if first { Some("times") } else { adds },
            loss_nats: set.loss as f64 / 1e3,
        }
    };
    keyed.sets.iter().map(row).collect()
}

/// Cells of tables of keys: a constant, the tables, and the rows of own keys where a table has them.
fn keyed_cells<'t>(
    keyed: &KeyedTables,
    tables: &[KeyTable],
    constant: i16,
    entries: impl Fn(KeyTable) -> &'t [i16],
    entry_bytes: usize,
) -> Vec<TableCell> {
    let plain = |table, row: String, units, entry_bytes, step| TableCell {
        table,
        row,
        bin: 0,
        above_ms: None,
        to_ms: None,
        units,
        entry_bytes,
        step,
    };
    let step = if entry_bytes == 1 { crate::keyed::NARROW as i16 } else { 1 };
    let mut cells = vec![plain("constant", "constant".to_owned(), constant, 2, 1)];
    for &table in tables {
        for (at, &units) in entries(table).iter().enumerate() {
            let row = table.cell_words(at, &keyed.rows);
            cells.push(match table.cell_bin(at) {
                None => plain(table.name(), row, units, entry_bytes, step),
                Some(bin) => {
                    let (above_ms, to_ms) = edges_ms(bin);
                    TableCell { table: table.name(), row, bin, above_ms, to_ms, units, entry_bytes, step }
                }
            });
        }
    }
    if tables.iter().any(|table| table.has_rows()) {
        let map = keyed.row_map();
        for (at, row) in map.iter().enumerate().take(KEY_SLOTS) {
            let key = crate::KeySlot::from_index(at).map_or("", crate::KeySlot::words).to_owned();
            cells.push(plain("rows", key, i16::from(*row), 1, 1));
        }
    }
    cells
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{BINS, Encounter, KeySample, RULES, rule};
    use agogic_keys::{Hand, Instant, Span};

    fn listing(name: &str) -> TableListing {
        TableListing::of(rule(name).unwrap(), &trained()).unwrap()
    }

    fn trained() -> EvidenceTables {
        let lone = |ms: u64| {
            Encounter::new("KeyF".parse().unwrap(), Hand::Left, Instant(0), Span(ms * 1000)).with_lull(Span(ms * 900))
        };
        let sample: Vec<_> = (1..60).map(|i| (lone(i * 9), i > 30)).collect();
        let tables = EvidenceTables::train(sample.iter().copied()).unwrap();
        let mut keys = KeySample::new();
        sample.iter().for_each(|(encounter, hold)| keys.add(encounter, *hold));
        let keyed = keys.tables(1.0, &tables, true).unwrap();
        tables.with_keys(keyed)
    }

    #[test]
    fn what_is_listed_is_what_the_rule_reads() {
        for entry in RULES.iter().filter(|entry| entry.needs_training) {
            let listing = listing(entry.name);
            let bytes: usize = listing.cells.iter().map(|cell| cell.entry_bytes).sum();
            assert_eq!(bytes, listing.cost.bytes, "{}", entry.name);
        }
        let lone = |us| Encounter::new("KeyF".parse().unwrap(), Hand::Left, Instant(0), Span(us));
        let tables = EvidenceTables::train([(lone(1), true), (lone(2), false)]).unwrap();
        assert!(TableListing::of(rule("enclosed").unwrap(), &tables).is_none());
        assert!(TableListing::of(rule("key-evidence").unwrap(), &tables).is_none(), "none trained");
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
    fn tables_of_keys_are_listed_with_their_keys_and_the_sets() {
        let listing = listing("key-evidence");
        let (arrays, markdown, csv) = (listing.arrays(), listing.markdown(), listing.csv());
        assert!(arrays.contains("const int8_t own_contact[400] = {\n"), "{arrays}");
        assert!(arrays.contains("const int16_t constant[1] = {\n"), "{arrays}");
        assert!(csv.contains("own,KeyF,0,,,"), "{csv}");
        assert!(markdown.contains("| 990 | 1 | the own key with the key that came down meanwhile |"), "{markdown}");
        assert_eq!(listing.table_sets.len(), crate::TABLE_SETS.len());
        assert_eq!((listing.table_sets[0].adds, listing.table_sets[6].adds), (Some("times"), None));
        // A set more is no worse in the sample it was fitted to.
        let losses: Vec<f64> = listing.table_sets.iter().map(|row| row.loss_nats).collect();
        assert!(losses.windows(2).all(|pair| pair[1] <= pair[0] + 0.01), "{losses:?}");
        let wide = TableListing::within(rule("key-evidence").unwrap(), &trained(), 4096).unwrap();
        assert_eq!(wide.cost.bytes, 2938);
        assert!(wide.arrays().contains("const int16_t own_previous[512] = {\n"));
    }

    #[test]
    fn arrays_are_named_after_their_rows() {
        let arrays = listing("sequential-evidence").arrays();
        assert!(arrays.contains("const int16_t lull_nothing_carried_over[31] = {\n"), "{arrays}");
        assert!(arrays.contains("const int16_t course_near_other_release[30] = {\n"), "{arrays}");
    }
}

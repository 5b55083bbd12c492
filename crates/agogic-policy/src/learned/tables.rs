//! The tables the learning rules decide from.

use serde::{Deserialize, Serialize};

use super::bins::{BINS, upper_edge};
use super::counts::{EvidenceCounts, TrainingError};
use super::course::CourseRow;
use super::summary::{Summary, SummaryRow, lull_cell};
use super::units::words;
use crate::{Encounter, KeyedTables};

/// Log-likelihood ratios, hold over tap, of all that [`Evidence`](crate::Evidence) and
/// [`SequentialEvidence`](crate::SequentialEvidence) look at.
///
/// # Units
/// Whole 1/256 nat, at most ±127.99 nats. Above zero speaks for a hold.
///
/// # Shape
/// Fixed: two rows of lulls (nothing carried over; a key still down), [`SummaryRow::ALL`],
/// [`CourseRow::ALL`]; columns are the bins of [`bin_of`](crate::bin_of), and the lull has one more for the
/// first press of a session.
///
/// # Definition
/// See [`EvidenceCounts::tables`]. The features are taken as independent given the class, state and hand
/// their row names; how wrong that is shows in the comparison, not here.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EvidenceTables {
    /// Taps in the training sample.
    pub taps: u64,
    /// Holds in the training sample.
    pub holds: u64,
    /// What is known at the press.
    pub lull: [[i16; BINS + 1]; 2],
    /// What is known at the first release.
    pub summary: [[i16; BINS]; 9],
    /// What becomes known as time passes.
    pub course: [[i16; BINS]; 12],
    /// What the rules decide from that know keys; `None` where none was trained.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub keyed: Option<KeyedTables>,
}

/// One entry of the tables with its meaning, for a listing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TableCell {
    /// `lull`, `summary` or `course`, or the name of a table of keys.
    pub table: &'static str,
    /// The row in words.
    pub row: String,
    /// The column.
    pub bin: usize,
    /// Lower edge of the bin in ms, not included; empty for the first press of a session.
    pub above_ms: Option<f64>,
    /// Upper edge of the bin in ms, included; empty when the bin has none.
    pub to_ms: Option<f64>,
    /// The log-likelihood ratio in 1/256 nat.
    pub units: i16,
    /// Bytes of the entry on a device.
    pub entry_bytes: usize,
    /// What an entry of one byte counts, in 1/256 nat.
    #[serde(skip)]
    pub(crate) step: i16,
}

impl TableCell {
    /// Whether it is an entry of times, not of keys.
    pub fn is_time(&self) -> bool {
        matches!(self.table, "lull" | "summary" | "course" | "lead" | "overlap")
    }
}

/// Lower and upper edge of a bin in ms; none for the bin of the first press.
pub(super) fn edges_ms(bin: usize) -> (Option<f64>, Option<f64>) {
    let edge = |bin: usize| upper_edge(bin).map(|us| us as f64 / 1e3);
    (if bin == 0 { Some(0.0) } else { edge(bin - 1) }, edge(bin))
}

/// What deciding costs at worst, counted from the shape of the tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct TableCost {
    /// Bytes of the entries the rule reads.
    pub bytes: usize,
    /// Table look-ups per decision.
    pub lookups: usize,
    /// Additions of entries per decision.
    pub additions: usize,
    /// Comparisons of the sum with a bound per decision.
    pub comparisons: usize,
    /// The most look-ups between two events or deadlines: what has to be done at once.
    pub lookups_at_once: usize,
}

impl EvidenceTables {
    /// Tables from a training sample of encounters, each with whether it was meant as a hold.
    ///
    /// # Errors
    /// [`TrainingError::OneSided`] when the sample has no tap or no hold.
    pub fn train<'a>(samples: impl IntoIterator<Item = (Encounter<'a>, bool)>) -> Result<Self, TrainingError> {
        let mut counts = EvidenceCounts::new();
        samples.into_iter().for_each(|(encounter, is_hold)| counts.add(&encounter, is_hold));
        counts.tables()
    }

    /// Tables that say nothing about any encounter.
    pub fn blank() -> Self {
        let keyed = Some(KeyedTables::stated(&[], 0.0, |_, _| 0.0));
        Self { taps: 0, holds: 0, lull: [[0; BINS + 1]; 2], summary: [[0; BINS]; 9], course: [[0; BINS]; 12], keyed }
    }

    /// The same tables with those of the rules that know keys.
    pub fn with_keys(self, keyed: KeyedTables) -> Self {
        Self { keyed: Some(keyed), ..self }
    }

    /// Bytes of all entries as a microcontroller would hold them.
    pub const fn size_bytes() -> usize {
        2 * (2 * (BINS + 1) + SummaryRow::ALL.len() * BINS + CourseRow::ALL.len() * BINS)
    }

    /// Every entry with its meaning, in a fixed order.
    pub fn cells(&self) -> Vec<TableCell> {
        let cell = |table, row: String, bin: usize, units| {
            let (above_ms, to_ms) = edges_ms(bin);
            TableCell { table, row, bin, above_ms, to_ms, units, entry_bytes: 2, step: 1 }
        };
        let mut cells = Vec::new();
        for (row, entries) in ["nothing carried over", "a key still down"].into_iter().zip(&self.lull) {
            cells.extend(entries.iter().enumerate().map(|(bin, &units)| cell("lull", row.to_owned(), bin, units)));
        }
        for (row, entries) in SummaryRow::ALL.iter().zip(&self.summary) {
            let row = row.words();
            cells.extend(entries.iter().enumerate().map(|(bin, &units)| cell("summary", row.clone(), bin, units)));
        }
        for (row, entries) in CourseRow::ALL.iter().zip(&self.course) {
            let row = words(&format!("{row:?}"));
            cells.extend(entries.iter().enumerate().map(|(bin, &units)| cell("course", row.clone(), bin, units)));
        }
        cells
    }

    /// What is known at the press.
    #[inline]
    pub(crate) fn at_press(&self, encounter: &Encounter<'_>) -> i32 {
        let (carried, bin) = lull_cell(encounter);
        i32::from(self.lull[carried][bin])
    }

    /// What is known at the first release, and when that is.
    #[inline]
    pub(crate) fn at_first_release(&self, encounter: &Encounter<'_>) -> (i32, i64) {
        let summary = Summary::of(encounter);
        let entry = |(row, bin): (usize, usize)| i32::from(self.summary[row][bin]);
        (self.at_press(encounter) + entry(summary.lead) + summary.overlap.map_or(0, entry), summary.at)
    }

    /// Sum of the entries of a course from the press up to its first contact, the lull left out, by the kind and bin of the
    /// lead as a [`SummaryRow`](crate::SummaryRow) tells them: kinds 2 and 4 are those of the opposite hand.
    pub(crate) fn course_to_contact(&self, kind: usize, bin: usize) -> i32 {
        let entry = |row: CourseRow, bin: usize| i32::from(self.course[row as usize][bin]);
        let row = if kind.is_multiple_of(2) { CourseRow::AloneOppositeContact } else { CourseRow::AloneNearContact };
        (0..bin).map(|bin| entry(CourseRow::AlonePassed, bin)).sum::<i32>() + entry(row, bin)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Hand, Instant, Span};

    fn sample() -> Vec<(Encounter<'static>, bool)> {
        let lone = |ms: u64| Encounter::new("KeyF".parse().unwrap(), Hand::Left, Instant(0), Span(ms * 1000));
        (1..80).map(|i| (lone(i * 7).with_lull(Span(i * i * 40)), i > 40)).collect()
    }

    #[test]
    fn the_order_of_the_sample_and_its_split_do_not_matter() {
        let forward = EvidenceTables::train(sample()).unwrap();
        let backward = EvidenceTables::train(sample().into_iter().rev()).unwrap();
        assert_eq!(forward, backward);
        let (mut odd, mut even) = (EvidenceCounts::new(), EvidenceCounts::new());
        for (i, (encounter, is_hold)) in sample().into_iter().enumerate() {
            if i % 2 == 0 { even.add(&encounter, is_hold) } else { odd.add(&encounter, is_hold) }
        }
        odd.merge(&even);
        assert_eq!(odd.tables().unwrap(), forward);
    }

    #[test]
    fn tables_survive_a_file() {
        let tables = EvidenceTables::train(sample()).unwrap();
        let text = serde_json::to_string(&tables).unwrap();
        assert_eq!(serde_json::from_str::<EvidenceTables>(&text).unwrap(), tables);
        assert!(serde_json::from_str::<EvidenceTables>(&text.replacen("lull", "lul", 1)).is_err());
    }

    #[test]
    fn the_listing_holds_every_entry() {
        let tables = EvidenceTables::train(sample()).unwrap();
        let cells = tables.cells();
        assert_eq!(2 * cells.len(), EvidenceTables::size_bytes());
        let sum = |cells: &[TableCell]| cells.iter().map(|cell| i64::from(cell.units)).sum::<i64>();
        let all =
            tables.lull.iter().flatten().chain(tables.summary.iter().flatten()).chain(tables.course.iter().flatten());
        assert_eq!(sum(&cells), all.map(|&units| i64::from(units)).sum::<i64>());
        let first_press = &cells[BINS];
        assert_eq!(
            (first_press.row.as_str(), first_press.above_ms, first_press.to_ms),
            ("nothing carried over", None, None)
        );
        assert_eq!(cells[2 * (BINS + 1)].row, "alone dwell");
    }
}

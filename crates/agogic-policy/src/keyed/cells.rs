//! The cells an encounter falls into at its first release.

use super::slots::KeySlot;
use super::tables::KeyTable;
use crate::Encounter;
use crate::learned::{Summary, lull_cell};

/// What is known of an encounter at its first release, as places in tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct KeyCells {
    /// Place in the table of lulls.
    pub lull: u16,
    /// Place in the table of leads: kind times bins, and the bin.
    pub lead: u16,
    /// Place in the table of overlaps, when another key took part.
    pub overlap: Option<u16>,
    /// The own key.
    pub own: KeySlot,
    /// The key of the press before.
    pub previous: KeySlot,
    /// The key of the first contact, when another key took part.
    pub contact: Option<KeySlot>,
    /// When the first release is, in µs after the press.
    pub at: i64,
}

impl KeyCells {
    #[inline]
    pub fn of(encounter: &Encounter<'_>) -> Self {
        use crate::BINS;
        let (carried, lull) = lull_cell(encounter);
        let summary = Summary::of(encounter);
        Self {
            lull: (carried * (BINS + 1) + lull) as u16,
            lead: (summary.lead.0 * BINS + summary.lead.1) as u16,
            overlap: summary.overlap.map(|(row, bin)| ((row - 5) * BINS + bin) as u16),
            own: KeySlot::of(encounter.code),
            previous: KeySlot::of_option(encounter.previous),
            contact: summary.contact.map(KeySlot::of),
            at: summary.at,
        }
    }

    /// The place in a table, with the row of the own key where it has one; `None` when the encounter has none there.
    #[inline]
    pub fn place(&self, table: KeyTable, row: Option<usize>) -> Option<usize> {
        let plain = |slot: KeySlot| slot.index();
        match table {
            KeyTable::Lull => Some(usize::from(self.lull)),
            KeyTable::Lead => Some(usize::from(self.lead)),
            KeyTable::Overlap => self.overlap.map(usize::from),
            KeyTable::Own => Some(plain(self.own)),
            KeyTable::Previous => Some(plain(self.previous)),
            KeyTable::Contact => self.contact.map(plain),
            KeyTable::OwnContact => {
                let contact = self.contact.filter(|slot| slot.index() < super::WRITING)?;
                row.map(|row| row * super::WRITING + contact.index())
            }
            KeyTable::OwnPrevious => row.map(|row| row * super::KEY_SLOTS + self.previous.index()),
        }
    }
}

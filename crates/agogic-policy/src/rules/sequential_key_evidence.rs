//! `sequential-key-evidence`: as `sequential-evidence`, with what keys say added as soon as they are seen.

use std::ops::ControlFlow;
use std::sync::Arc;

use agogic_keys::Span;

use super::bounds::{Bounds, END, HOLD, Path, TAP};
use crate::cost::{HAND_BYTES, RuleCost, Work};
use crate::keyed::{Entries, KEY_SLOTS, KeySlot, KeyedTables, NO_ROW, WRITING};
use crate::learned::{First, course};
use crate::registry::{Monotone, Param, Policy, RuleEntry};
use crate::{
    Asks, BINS, CourseRow, Decision, Encounter, EvidenceTables, KeyTable, Piece, SettingError, Sight, TableCost,
};

/// Decide as soon as the log odds of times and keys cross either bound.
///
/// # Definition
/// As [`SequentialEvidence`](crate::SequentialEvidence), with the same tables of the course, and more addends: at
/// the press a constant, the entry of the own key, that of the key before and that of both; at the first contact, with the
/// entry of its time, that of its key and that of the own key with it. The constant holds the share of holds of the
/// training sample, so the sum is a log odds and the bounds are those of costs alone.
///
/// # Ties
/// As those of `sequential-evidence`; which of several contacts of one instant is the first, as in `key-evidence`.
///
/// # Source
/// Wald 1945 for the sequential probability ratio test; the terms of keys are those of an additive logistic regression:
/// see [`KeySample::tables`](crate::KeySample::tables).
///
/// # Privacy
/// Tables learned from a person's log say something of what that person types.
///
/// # Pictures
/// The tables of this picture were trained on a few made-up encounters, not on people.
#[doc = include_str!("../../pictures/sequential-key-evidence.svg")]
#[derive(Clone, Debug)]
pub struct SequentialKeyEvidence {
    tables: Arc<EvidenceTables>,
    entries: Entries,
    rows: [u8; KEY_SLOTS],
    start: i32,
    bounds: Bounds,
}

pub(crate) const ENTRY: RuleEntry = RuleEntry {
    name: "sequential-key-evidence",
    summary: "hold or tap as soon as the evidence of times and keys so far, passing time included, crosses either \
              bound; learned",
    bare_hold: "recognised as time passes with the key still down, once taps of that length are rare enough",
    source: "Wald 1945 for the sequential probability ratio test; tables of keys as those of key-evidence",
    params: &[
        Param {
            name: "hold_nats",
            unit: "nat",
            default: 3.0,
            min: 0.0,
            max: 30.0,
            monotone: Some(Monotone::FewerHolds),
            doc: "log odds from which it is a hold at once",
        },
        Param {
            name: "tap_nats",
            unit: "nat",
            default: 5.0,
            min: 0.0,
            max: 30.0,
            monotone: Some(Monotone::MoreHolds),
            doc: "log odds against a hold from which it is a tap at once; most presses begin far below zero",
        },
        Param {
            name: "end_nats",
            unit: "nat",
            default: 0.0,
            min: -30.0,
            max: 30.0,
            monotone: Some(Monotone::FewerHolds),
            doc: "least log odds that make a hold of a press undecided at its end",
        },
    ],
    cost: RuleCost {
        // Hands of keys; for the lull, the latest press, its key and how many keys are down.
        shared_bytes: HAND_BYTES + 6,
        // Press time, start of the state's clock, sum; state and bin.
        state_bytes: 14,
        // Which other keys belong to the encounter.
        state_bytes_per_key: 1,
        // At the press: lull, own key, key before, row and pair.
        once: Work { lookups: 5, additions: 4, comparisons: 4, multiplications: 0 },
        once_per_key: Work { comparisons: 1, ..Work::NONE },
        tables: Some(SequentialKeyEvidence::COST),
    },
    needs_training: true,
    asks: Asks::BOTH,
    sight: Sight::Keys,
    build: |values, tables| match tables.filter(|tables| tables.keyed.is_some()) {
        Some(tables) => Ok(Box::new(SequentialKeyEvidence::new(tables, values[HOLD], values[TAP], values[END]))),
        None => Err(SettingError::Untrained { rule: "sequential-key-evidence" }),
    },
};

/// The tables of keys it reads, and their entries.
const KEYED: [KeyTable; 5] =
    [KeyTable::Own, KeyTable::Previous, KeyTable::OwnPrevious, KeyTable::Contact, KeyTable::OwnContact];

const KEYED_BYTES: usize = {
    let (mut at, mut bytes) = (0, KEY_SLOTS + 2);
    while at < KEYED.len() {
        bytes += KEYED[at].len();
        at += 1;
    }
    bytes
};

impl SequentialKeyEvidence {
    /// What deciding costs at worst: the course, and the keys.
    pub const COST: TableCost = TableCost {
        bytes: 2 * (2 * (BINS + 1) + CourseRow::ALL.len() * BINS) + KEYED_BYTES,
        lookups: 7 + 3 * BINS,
        additions: 6 + 3 * BINS,
        comparisons: 2 * (1 + 3 * BINS) + 3,
        lookups_at_once: 5,
    };

    /// The tables of keys it reads.
    pub(crate) const TABLES: [KeyTable; 5] = KEYED;

    /// The rule with these tables, bounds and threshold at the end, in nats.
    ///
    /// # Panics
    /// The tables hold none of keys.
    pub fn new(tables: &Arc<EvidenceTables>, hold_nats: f64, tap_nats: f64, end_nats: f64) -> Self {
        let keyed: &KeyedTables = tables.keyed.as_ref().expect("the tables hold those of keys");
        Self {
            entries: keyed.sequential.entries.clone(),
            rows: keyed.row_map(),
            start: i32::from(keyed.sequential.start),
            bounds: Bounds::new(hold_nats, tap_nats, end_nats),
            tables: Arc::clone(tables),
        }
    }

    #[inline]
    fn entry(&self, table: KeyTable, place: usize) -> i32 {
        i32::from(self.entries.of(table)[place])
    }

    /// What is known at the press.
    #[inline]
    fn at_press(&self, encounter: &Encounter<'_>, row: usize) -> i32 {
        let previous = KeySlot::of_option(encounter.previous).index();
        let mut sum = self.start
            + self.tables.at_press(encounter)
            + self.entry(KeyTable::Own, KeySlot::of(encounter.code).index())
            + self.entry(KeyTable::Previous, previous);
        if row < usize::from(NO_ROW) {
            sum += self.entry(KeyTable::OwnPrevious, row * KEY_SLOTS + previous);
        }
        sum
    }

    /// What the key of the first contact says.
    #[inline]
    fn of_contact(&self, encounter: &Encounter<'_>, row: usize) -> i32 {
        let Some((_, _, code)) = First::of(encounter).contact else { return 0 };
        let contact = KeySlot::of(code).index();
        let mut sum = self.entry(KeyTable::Contact, contact);
        if row < usize::from(NO_ROW) && contact < WRITING {
            sum += self.entry(KeyTable::OwnContact, row * WRITING + contact);
        }
        sum
    }
}

impl Path for SequentialKeyEvidence {
    #[inline]
    fn path<B>(
        &self,
        encounter: &Encounter<'_>,
        mut visit: impl FnMut(i32, Span) -> ControlFlow<B>,
    ) -> ControlFlow<B, i32> {
        let row = usize::from(self.rows[KeySlot::of(encounter.code).index()]);
        let mut sum = self.at_press(encounter, row);
        visit(sum, Span::ZERO)?;
        course(encounter, |at, passed, bin| {
            sum += i32::from(self.tables.course[passed as usize][bin]);
            if matches!(passed, CourseRow::AloneNearContact | CourseRow::AloneOppositeContact) {
                sum += self.of_contact(encounter, row);
            }
            visit(sum, Span(at.max(0) as u64))
        })?;
        ControlFlow::Continue(sum)
    }

    fn bounds(&self) -> &Bounds {
        &self.bounds
    }
}

impl Policy for SequentialKeyEvidence {
    #[inline]
    fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        self.decided(encounter)
    }

    fn critical_value(&self, param: usize, encounter: &Encounter<'_>) -> Option<f64> {
        self.critical(param, encounter)
    }

    fn undecided_value(&self, param: usize, encounter: &Encounter<'_>, at: Span) -> f64 {
        self.undecided(param, encounter, at)
    }

    fn pieces(&self, param: usize, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) -> bool {
        self.pieces_of(param, encounter, pieces);
        true
    }
}

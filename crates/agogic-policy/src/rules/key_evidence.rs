//! `key-evidence`: what times and keys together say when the first key comes up.

use std::sync::Arc;

use agogic_keys::Span;

use crate::cost::{HAND_BYTES, RuleCost, Work};
use crate::keyed::{Entries, KEY_SLOTS, KeyCells, NO_ROW, TABLE_SETS, Term, WRITING, terms};
use crate::learned::{UNITS_PER_NAT, units};
use crate::registry::{Monotone, Param, Policy, RuleEntry};
use crate::{Asks, Decision, Encounter, EvidenceTables, KeyTable, KeyedTables, Piece, SettingError, Sight, TableCost};

/// Hold if and only if times and keys together speak for it strongly enough at the first release.
///
/// # Definition
/// The decision falls at the first release of the encounter, as that of [`Evidence`](crate::Evidence). By then are known:
/// the lull, the kind of the encounter with its times, and three keys: the own one, the one pressed before, and the first
/// contact. A constant and the entries of the cells visited in the tables of [`KeyTable`] add up to the log odds of
/// a hold; hold when the sum ≥ threshold. Pairs of the own key with another have entries for the eight own keys that
/// are held most. The key before tells whether a word has just ended.
///
/// How many tables are kept, and how wide their entries are, follows from `bytes`: the largest set of
/// [`TABLE_SETS`](crate::TABLE_SETS) that fits.
///
/// The sum is the log odds with the share of holds of the training sample in it, so the threshold is that of costs alone:
/// with a false hold k times as dear as a missed one it is ln k.
///
/// # Ties
/// As those of `evidence`. Of contacts at one instant, one of the opposite hand is the first, then the first in the
/// table of codes.
///
/// # Source
/// An additive logistic regression: see [`KeySample::tables`](crate::KeySample::tables).
///
/// # Privacy
/// Tables learned from a person's log say something of what that person types.
///
/// # Pictures
/// The tables of this picture were trained on a few made-up encounters, not on people.
#[doc = include_str!("../../pictures/key-evidence.svg")]
///
/// How the terms of one press add up to its decision :
#[doc = include_str!("../../pictures/key-evidence-terms.svg")]
#[derive(Clone, Debug)]
pub struct KeyEvidence {
    tables: Arc<EvidenceTables>,
    set: usize,
    entries: Entries,
    rows: [u8; KEY_SLOTS],
    start: i32,
    threshold: i32,
}

/// Positions of the values.
const THRESHOLD: usize = 0;
const BYTES: usize = 1;

pub(crate) const ENTRY: RuleEntry = RuleEntry {
    name: "key-evidence",
    summary: "hold if and only if times and keys, the own one, the one before and the first contact, speak for it \
              strongly enough at the first release; learned",
    bare_hold: "recognised by its dwell and its keys, at its own release; add the guard bare_hold_ms for an earlier \
                decision",
    source: "an additive logistic regression over cells, within a stated prior; the tables are our own choice",
    params: &[
        Param {
            name: "threshold_nats",
            unit: "nat",
            default: 0.0,
            min: -30.0,
            max: 30.0,
            monotone: Some(Monotone::FewerHolds),
            doc: "least log odds that make a hold; ln k suits a false hold k times as dear as a missed one",
        },
        Param {
            name: "bytes",
            unit: "byte",
            default: KeyEvidence::DEFAULT_BYTES,
            min: 400.0,
            max: 4096.0,
            monotone: None,
            doc: "memory for tables; the largest set that fits is used",
        },
    ],
    cost: RuleCost {
        // Hands of keys; for the lull, the latest press, its key and how many keys are down.
        shared_bytes: HAND_BYTES + 6,
        // Press time, first contact, sum; hand and key of the first contact; the key before.
        state_bytes: 15,
        // Which other keys belong to the encounter.
        state_bytes_per_key: 1,
        // Lead, overlap, contact and the pair with it are known at the first release.
        once: Work { lookups: 5, additions: 7, comparisons: 2, multiplications: 0 },
        once_per_key: Work { comparisons: 1, ..Work::NONE },
        tables: Some(KeyEvidence::COST),
    },
    needs_training: true,
    asks: Asks::BOTH,
    sight: Sight::Keys,
    build: |values, tables| match tables.filter(|tables| tables.keyed.is_some()) {
        Some(tables) => Ok(Box::new(KeyEvidence::new(tables, values[BYTES] as usize, values[THRESHOLD]))),
        None => Err(SettingError::Untrained { rule: "key-evidence" }),
    },
};

impl KeyEvidence {
    /// One KiB.
    pub(crate) const DEFAULT_BYTES: f64 = 1024.0;

    /// What deciding costs with the set of one KiB, the default: lull, lead, overlap, three keys, the row of the own key
    /// and its pair with the contact.
    pub const COST: TableCost =
        TableCost { bytes: TABLE_SETS[4].bytes(), lookups: 8, additions: 7, comparisons: 2, lookups_at_once: 5 };

    /// The rule with the largest set of these tables that fits into so many bytes, and a threshold in nats.
    ///
    /// # Panics
    /// The tables hold none of keys.
    pub fn new(tables: &Arc<EvidenceTables>, bytes: usize, threshold_nats: f64) -> Self {
        let keyed = Self::keyed(tables);
        let fitted = keyed.within(bytes);
        let set = keyed.sets.iter().position(|other| other.bytes == fitted.bytes).unwrap_or(0);
        Self {
            set,
            entries: fitted.entries.clone(),
            rows: keyed.row_map(),
            start: i32::from(fitted.start),
            threshold: units(threshold_nats),
            tables: Arc::clone(tables),
        }
    }

    fn keyed(tables: &EvidenceTables) -> &KeyedTables {
        tables.keyed.as_ref().expect("the tables hold those of keys")
    }

    /// The log odds in 1/256 nat, and when they are known.
    #[inline]
    fn sum(&self, encounter: &Encounter<'_>) -> (i32, i64) {
        use KeyTable::{Contact, Lead, Lull, Overlap, Own, OwnContact, OwnPrevious, Previous};
        let cells = KeyCells::of(encounter);
        let entry = |table: KeyTable, place: usize| i32::from(self.entries.of(table)[place]);
        let row = self.rows[cells.own.index()];
        let mut sum = self.start
            + entry(Lull, usize::from(cells.lull))
            + entry(Lead, usize::from(cells.lead))
            + entry(Own, cells.own.index())
            + entry(Previous, cells.previous.index());
        if row < NO_ROW {
            sum += entry(OwnPrevious, usize::from(row) * KEY_SLOTS + cells.previous.index());
        }
        if let (Some(overlap), Some(contact)) = (cells.overlap, cells.contact) {
            sum += entry(Overlap, usize::from(overlap)) + entry(Contact, contact.index());
            if row < NO_ROW && contact.index() < WRITING {
                sum += entry(OwnContact, usize::from(row) * WRITING + contact.index());
            }
        }
        (sum, cells.at)
    }
}

impl Policy for KeyEvidence {
    #[inline]
    fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        let (sum, at) = self.sum(encounter);
        let after = Span(at.max(0) as u64);
        if sum >= self.threshold { Decision::hold(after) } else { Decision::tap(after) }
    }

    fn critical_value(&self, param: usize, encounter: &Encounter<'_>) -> Option<f64> {
        (param == THRESHOLD).then(|| f64::from(self.sum(encounter).0) / UNITS_PER_NAT)
    }

    fn undecided_value(&self, _: usize, encounter: &Encounter<'_>, at: Span) -> f64 {
        // The time of the decision does not depend on the threshold.
        let decided = self.sum(encounter).1;
        if decided.max(0) as u64 > at.0 { f64::INFINITY } else { f64::NEG_INFINITY }
    }

    fn pieces(&self, param: usize, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) -> bool {
        if param != THRESHOLD {
            return false;
        }
        let (sum, at) = self.sum(encounter);
        let after = Span(at.max(0) as u64);
        pieces.push(Piece::until(i64::from(sum), Decision::hold(after)));
        pieces.push(Piece::rest(Decision::tap(after)));
        true
    }

    fn terms(&self, encounter: &Encounter<'_>) -> Option<(Vec<Term>, i32)> {
        let keyed = Self::keyed(&self.tables);
        let terms = terms(&keyed.sets[self.set], &keyed.rows, encounter);
        debug_assert_eq!(terms.iter().map(|term| term.units).sum::<i32>(), self.sum(encounter).0);
        Some((terms, self.threshold))
    }
}

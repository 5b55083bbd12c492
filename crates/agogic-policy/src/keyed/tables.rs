//! The tables of the rules that know keys, and the sets of them that fit into so much memory.

use agogic_keys::Code;
use serde::{Deserialize, Serialize};

use super::slots::{KEY_SLOTS, KeySlot, WRITING};
use crate::learned::UNITS_PER_NAT;
use crate::{BINS, SummaryRow};

/// One table of `key-evidence`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum KeyTable {
    /// The lull, by whether a key was still down at the press.
    Lull,
    /// The dwell or the lead, by the kind of encounter.
    Lead,
    /// The overlap, by the kind of encounter.
    Overlap,
    /// The own key.
    Own,
    /// The key of the first contact.
    Contact,
    /// The key of the press before. That a word has just ended follows from it.
    Previous,
    /// The own key with the key of the first contact.
    OwnContact,
    /// The own key with the key of the press before.
    OwnPrevious,
}

/// Own keys with a row of their own in the tables of pairs.
const ROWS: usize = 8;

/// What the map of own keys says of a key without a row.
pub(crate) const NO_ROW: u8 = ROWS as u8;

impl KeyTable {
    /// Every table, in the order in which memory is given to them.
    pub const ALL: [Self; 8] = [
        Self::Lull,
        Self::Lead,
        Self::Overlap,
        Self::Own,
        Self::Contact,
        Self::Previous,
        Self::OwnContact,
        Self::OwnPrevious,
    ];

    /// Its entries.
    pub const fn len(self) -> usize {
        match self {
            Self::Lull => 2 * (BINS + 1),
            Self::Lead => 5 * BINS,
            Self::Overlap => 4 * BINS,
            Self::Own | Self::Contact | Self::Previous => KEY_SLOTS,
            Self::OwnContact => ROWS * WRITING,
            Self::OwnPrevious => ROWS * KEY_SLOTS,
        }
    }

    /// Never: every table has entries.
    pub const fn is_empty(self) -> bool {
        false
    }

    /// Whether it tells keys, so that its entries hang on language.
    pub const fn tells_keys(self) -> bool {
        !matches!(self, Self::Lull | Self::Lead | Self::Overlap)
    }

    /// Whether it needs the rows of own keys.
    pub(crate) const fn has_rows(self) -> bool {
        matches!(self, Self::OwnContact | Self::OwnPrevious)
    }

    /// Where its entries begin among those of all tables.
    pub(crate) const fn start(self) -> usize {
        let (mut at, mut table) = (0, 0);
        while table < self as usize {
            at += Self::ALL[table].len();
            table += 1;
        }
        at
    }

    /// The name in listings.
    pub fn name(self) -> &'static str {
        ["lull", "lead", "overlap", "own", "contact", "previous", "own-contact", "own-previous"][self as usize]
    }

    /// What it looks at, in words.
    pub fn words(self) -> &'static str {
        [
            "the lull",
            "kind of encounter and dwell or lead",
            "kind of encounter and overlap",
            "the own key",
            "the key that came down meanwhile",
            "the key before",
            "the own key with the key that came down meanwhile",
            "the own key with the key before",
        ][self as usize]
    }

    /// A cell in words, for people; `rows` are the own keys with a row.
    pub fn cell_words(self, cell: usize, rows: &[Code]) -> String {
        let slot = |at: usize| KeySlot::from_index(at).map_or("", KeySlot::words);
        let pair = |width: usize, verb: &str| {
            let own = rows.get(cell / width).map_or("no key", |code| code.name());
            format!("{own} {verb} {}", slot(cell % width))
        };
        match self {
            Self::Lull if cell / (BINS + 1) == 0 => "nothing carried over".to_owned(),
            Self::Lull => "a key still down".to_owned(),
            Self::Lead => SummaryRow::ALL[cell / BINS].words(),
            Self::Overlap => SummaryRow::ALL[5 + cell / BINS].words(),
            Self::Own | Self::Contact | Self::Previous => slot(cell).to_owned(),
            Self::OwnContact => pair(WRITING, "with"),
            Self::OwnPrevious => pair(KEY_SLOTS, "after"),
        }
    }

    /// The bin of time of a cell; `None` for tables of keys. The bin past the last is that of the first press.
    pub fn cell_bin(self, cell: usize) -> Option<usize> {
        match self {
            Self::Lull => Some(cell % (BINS + 1)),
            Self::Lead | Self::Overlap => Some(cell % BINS),
            _ => None,
        }
    }
}

/// Entries of all tables.
pub(crate) const ENTRIES: usize = KeyTable::OwnPrevious.start() + KeyTable::OwnPrevious.len();

/// A set of tables, and how wide their entries are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TableSet {
    /// How many of [`KeyTable::ALL`] are kept, from the first.
    pub tables: usize,
    /// One byte an entry, in 1/16 nat; else two, in 1/256 nat.
    pub narrow: bool,
}

impl TableSet {
    /// The tables of it.
    pub fn tables(self) -> &'static [KeyTable] {
        &KeyTable::ALL[..self.tables]
    }

    /// Bytes of its entries, of the constant they are added to, and of the rows of own keys where a table has them.
    pub const fn bytes(self) -> usize {
        let (mut entries, mut table, mut rows) = (1, 0, false);
        while table < self.tables {
            entries += KeyTable::ALL[table].len();
            rows |= KeyTable::ALL[table].has_rows();
            table += 1;
        }
        let width = if self.narrow { 1 } else { 2 };
        // The constant always has two bytes.
        width * (entries - 1) + 2 + if rows { KEY_SLOTS } else { 0 }
    }

    /// A constant in nats in 1/256 nat: it has two bytes in every set.
    pub(crate) fn in_wide_units(self, nats: f64) -> i16 {
        Self { narrow: false, ..self }.in_units(nats)
    }

    /// An entry in nats, in 1/256 nat as this width keeps it.
    pub(crate) fn in_units(self, nats: f64) -> i16 {
        let units = nats * UNITS_PER_NAT;
        let step = if self.narrow { NARROW } else { 1.0 };
        let most = if self.narrow { f64::from(i8::MAX) } else { f64::from(i16::MAX) };
        (libm::round(units / step).clamp(-most, most) * step) as i16
    }
}

/// Units of a narrow entry.
pub(crate) const NARROW: f64 = 16.0;

/// Sets of tables from the smallest to the largest. Tables are added in the order in which they pay on simulated people;
/// entries become wide where all tables are kept and memory is left.
pub const TABLE_SETS: [TableSet; 7] = [
    TableSet { tables: 3, narrow: true },
    TableSet { tables: 4, narrow: true },
    TableSet { tables: 5, narrow: true },
    TableSet { tables: 6, narrow: true },
    TableSet { tables: 7, narrow: true },
    TableSet { tables: 8, narrow: true },
    TableSet { tables: 8, narrow: false },
];

/// Entries of all tables, in 1/256 nat, those of tables that are not kept zero.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Vec<i16>", into = "Vec<i16>")]
pub(crate) struct Entries(Box<[i16; ENTRIES]>);

impl Entries {
    pub fn none() -> Self {
        Self(Box::new([0; ENTRIES]))
    }

    /// Weights in nats as a set keeps them; tables beyond those it keeps stay zero.
    pub fn of_weights(set: TableSet, weights: &[Vec<f64>]) -> Self {
        let mut entries = Self::none();
        for (table, weights) in set.tables().iter().zip(weights) {
            let units = weights.iter().map(|nats| set.in_units(*nats));
            entries.of_mut(*table).iter_mut().zip(units).for_each(|(entry, units)| *entry = units);
        }
        entries
    }

    #[inline]
    pub fn of(&self, table: KeyTable) -> &[i16] {
        &self.0[table.start()..table.start() + table.len()]
    }

    fn of_mut(&mut self, table: KeyTable) -> &mut [i16] {
        &mut self.0[table.start()..table.start() + table.len()]
    }
}

/// Entries that are too few or too many.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("tables of keys have {ENTRIES} entries, not {count}")]
pub struct EntriesError {
    /// How many there are.
    pub count: usize,
}

impl TryFrom<Vec<i16>> for Entries {
    type Error = EntriesError;
    fn try_from(entries: Vec<i16>) -> Result<Self, EntriesError> {
        let count = entries.len();
        Box::try_from(entries).map(Self).map_err(|_| EntriesError { count })
    }
}

impl From<Entries> for Vec<i16> {
    fn from(entries: Entries) -> Self {
        entries.0.to_vec()
    }
}

/// A fitted set of tables of `key-evidence`.
///
/// # Units
/// Whole 1/256 nat; narrow ones are multiples of 1/16 nat. Above zero speaks for a hold. The sum of the constant and the
/// entry of each table is the log odds of a hold.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FittedSet {
    /// Bytes that the set takes.
    pub bytes: usize,
    /// Log loss in the training sample, in 1/1000 nat per 1000 dual-role presses: what a table gains is how much it falls.
    pub loss: u64,
    /// The constant.
    pub(crate) start: i16,
    pub(crate) entries: Entries,
}

impl FittedSet {
    /// The entries of a table; all zero where the set does not keep it.
    pub fn entries(&self, table: KeyTable) -> &[i16] {
        self.entries.of(table)
    }

    /// The tables that are kept.
    pub fn tables(&self) -> &'static [KeyTable] {
        self.table_set().tables()
    }

    /// Bytes of an entry.
    pub fn entry_bytes(&self) -> usize {
        if self.table_set().narrow { 1 } else { 2 }
    }

    pub(crate) fn table_set(&self) -> TableSet {
        TABLE_SETS.into_iter().find(|set| set.bytes() == self.bytes).expect("one of the sets")
    }

    /// The constant that entries are added to.
    pub fn constant(&self) -> i16 {
        self.start
    }
}

/// What the sequential form adds to the course of an encounter: terms of keys, in 1/256 nat, of one byte each.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct SequentialEntries {
    pub start: i16,
    pub entries: Entries,
}

impl SequentialEntries {
    /// All tables, narrow.
    pub const SET: TableSet = TableSet { tables: KeyTable::ALL.len(), narrow: true };
}

/// What whoever passes tables of keys on should know.
pub const KEYS_CAUTION: &str = "These tables tell keys. Learned from a text, they say something of that text; learned from a \
                                person's log, of what that person types: which keys follow which, and which shortcuts are \
                                made. Pass them on as you would pass on the text.";

/// Everything the rules that know keys decide from.
///
/// What is learned from a person's log says something of what that person types: which keys follow which, and which
/// shortcuts are made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyedTables {
    /// Own keys with a row in the tables of pairs: those that are held most, eight at most.
    pub rows: Vec<Code>,
    /// One set for each of [`TABLE_SETS`].
    pub sets: Vec<FittedSet>,
    pub(crate) sequential: SequentialEntries,
}

impl KeyedTables {
    /// Tables of stated entries, in nats: the same for every set, those it does not keep left out, and for the sequential
    /// form. `rows` are the own keys of the tables of pairs; more than eight are cut.
    pub fn stated(rows: &[Code], constant: f64, mut entry: impl FnMut(KeyTable, usize) -> f64) -> Self {
        let of = |table: &KeyTable| (0..table.len()).map(|cell| entry(*table, cell)).collect();
        let nats: Vec<Vec<f64>> = KeyTable::ALL.iter().map(of).collect();
        let start = TABLE_SETS[0].in_wide_units(constant);
        let set =
            |set: TableSet| FittedSet { bytes: set.bytes(), loss: 0, start, entries: Entries::of_weights(set, &nats) };
        Self {
            rows: rows.iter().take(ROWS).copied().collect(),
            sets: TABLE_SETS.into_iter().map(set).collect(),
            sequential: SequentialEntries { start, entries: Entries::of_weights(SequentialEntries::SET, &nats) },
        }
    }

    /// The largest set that fits into so many bytes, or the smallest there is.
    pub fn within(&self, bytes: usize) -> &FittedSet {
        let fitting = self.sets.iter().rev().find(|set| set.bytes <= bytes);
        fitting.or(self.sets.first()).expect("a fit makes every set")
    }

    /// The entries that `sequential-key-evidence` adds for keys, in 1/256 nat, multiples of 1/16 nat: those of a table.
    pub fn sequential_entries(&self, table: KeyTable) -> &[i16] {
        self.sequential.entries.of(table)
    }

    /// The constant that `sequential-key-evidence` adds at the press, in 1/256 nat.
    pub fn sequential_constant(&self) -> i16 {
        self.sequential.start
    }

    /// Rows by the place of the own key.
    pub(crate) fn row_map(&self) -> [u8; KEY_SLOTS] {
        let mut map = [NO_ROW; KEY_SLOTS];
        for (row, code) in self.rows.iter().take(ROWS).enumerate() {
            map[KeySlot::of(*code).index()] = row as u8;
        }
        map
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sets_grow_and_there_is_one_for_each_budget() {
        let bytes: Vec<usize> = TABLE_SETS.iter().map(|set| set.bytes()).collect();
        // By hand: 62 + 150 + 120 entries of time and two bytes; 64 a table of keys; 400 pairs and 64 rows; 512 pairs.
        assert_eq!(bytes, [334, 398, 462, 526, 990, 1502, 2938]);
        let within = |most: usize| bytes.iter().filter(|bytes| **bytes <= most).count();
        assert_eq!((within(1024), within(4096)), (5, 7));
    }

    #[test]
    fn narrow_entries_are_whole_sixteenths_of_a_nat() {
        let (narrow, wide) = (TABLE_SETS[0], TABLE_SETS[6]);
        assert_eq!((narrow.in_units(100.0 / 256.0), wide.in_units(100.4 / 256.0)), (96, 100));
        assert_eq!((narrow.in_units(1e9), narrow.in_units(-1e9)), (2032, -2032));
        assert_eq!(wide.in_units(1e9), i16::MAX);
    }

    #[test]
    fn every_cell_has_words() {
        let rows: Vec<Code> = vec!["KeyF".parse().unwrap(), "KeyJ".parse().unwrap()];
        let words = |table: KeyTable, cell| table.cell_words(cell, &rows);
        assert_eq!(words(KeyTable::OwnContact, WRITING + 4), "KeyJ with KeyE");
        assert_eq!(words(KeyTable::OwnPrevious, KEY_SLOTS - 1), "KeyF after no key");
        assert_eq!(words(KeyTable::Overlap, 0), "rolled near overlap");
        assert_eq!(KeyTable::Lull.cell_bin(BINS + 1), Some(0));
    }

    #[test]
    fn entries_of_another_number_are_refused() {
        assert_eq!(Entries::try_from(vec![0; 3]), Err(EntriesError { count: 3 }));
        let text = serde_json::to_string(&Entries::none()).unwrap();
        assert_eq!(serde_json::from_str::<Entries>(&text).unwrap(), Entries::none());
        assert!(serde_json::from_str::<Entries>("[1, 2]").is_err());
    }
}

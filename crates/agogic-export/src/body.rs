//! The rules of the registry with their numbers, in the units they are kept in.

use agogic_keys::Code;
use agogic_policy::{BINS, KeyTable, Setting};

/// Bounds of a sequential rule, in 1/256 nat.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct SumBounds {
    /// A hold from here on.
    pub hold: i64,
    /// A tap from here down.
    pub tap: i64,
    /// At the own release, a hold from here on.
    pub end: i64,
}

/// A table of keys: which, and its entries in 1/256 nat.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct KeyEntries {
    /// Which table.
    pub table: KeyTable,
    /// Its entries.
    pub entries: Vec<i16>,
}

/// What a rule adds for keys.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct KeyTables {
    /// Added at the press, in 1/256 nat.
    pub constant: i16,
    /// Bytes of an entry: one, in 1/16 nat, or two, in 1/256 nat.
    pub entry_bytes: usize,
    /// Own keys with a row in the tables of pairs.
    pub rows: Vec<Code>,
    /// Tables that are kept.
    pub tables: Vec<KeyEntries>,
}

impl KeyTables {
    /// The entries of a table, where it is kept.
    pub fn of(&self, table: KeyTable) -> Option<&[i16]> {
        self.tables.iter().find(|own| own.table == table).map(|own| own.entries.as_slice())
    }
}

/// A rule with its numbers: times in µs, evidence in 1/256 nat.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Body {
    /// A hold from a dwell on.
    DwellCutoff {
        /// The dwell.
        cutoff: u64,
    },
    /// A hold at the first contact.
    FirstContact,
    /// A hold at the release of a contact inside.
    Enclosed,
    /// A hold by the share of another key's dwell.
    OverlapShare {
        /// The share.
        millionths: u64,
    },
    /// A hold by time down together.
    OverlapSpan {
        /// The time.
        span: u64,
    },
    /// A sum at the first release.
    Evidence {
        /// A hold from here on.
        threshold: i64,
        /// By what is carried over, and bins.
        lull: [[i16; BINS + 1]; 2],
        /// By kind, and bins.
        summary: [[i16; BINS]; 9],
    },
    /// A sum over time.
    SequentialEvidence {
        /// Its bounds.
        bounds: SumBounds,
        /// By what is carried over, and bins.
        lull: [[i16; BINS + 1]; 2],
        /// By row, and bins.
        course: [[i16; BINS]; 12],
    },
    /// A sum of times and keys at the first release.
    KeyEvidence {
        /// A hold from here on.
        threshold: i64,
        /// The tables, those of times among them.
        keys: KeyTables,
    },
    /// A sum of times and keys over time.
    SequentialKeyEvidence {
        /// Its bounds.
        bounds: SumBounds,
        /// By what is carried over, and bins.
        lull: [[i16; BINS + 1]; 2],
        /// By row, and bins.
        course: [[i16; BINS]; 12],
        /// What keys add.
        keys: KeyTables,
    },
}

impl Body {
    /// The rule of a setting; `None` for one that this crate does not know.
    pub fn of(setting: &Setting) -> Option<Self> {
        let entry = setting.entry();
        let steps: Vec<i64> =
            entry.params.iter().zip(setting.values()).map(|(param, value)| param.to_steps(*value)).collect();
        let bounds = |steps: &[i64]| SumBounds { hold: steps[0], tap: -steps[1], end: steps[2] };
        Some(match entry.name {
            "dwell-cutoff" => Self::DwellCutoff { cutoff: steps[0] as u64 },
            "first-contact" => Self::FirstContact,
            "enclosed" => Self::Enclosed,
            "overlap-share" => Self::OverlapShare { millionths: steps[0] as u64 },
            "overlap-span" => Self::OverlapSpan { span: steps[0] as u64 },
            "evidence" => {
                let tables = setting.tables()?;
                Self::Evidence { threshold: steps[0], lull: tables.lull, summary: tables.summary }
            }
            "sequential-evidence" => {
                let tables = setting.tables()?;
                Self::SequentialEvidence { bounds: bounds(&steps), lull: tables.lull, course: tables.course }
            }
            "key-evidence" => {
                let keyed = setting.tables()?.keyed.as_ref()?;
                let set = keyed.within(setting.values()[1] as usize);
                let of = |table: &KeyTable| KeyEntries { table: *table, entries: set.entries(*table).to_vec() };
                let keys = KeyTables {
                    constant: set.constant(),
                    entry_bytes: set.entry_bytes(),
                    rows: keyed.rows.clone(),
                    tables: set.tables().iter().map(of).collect(),
                };
                Self::KeyEvidence { threshold: steps[0], keys }
            }
            "sequential-key-evidence" => {
                let tables = setting.tables()?;
                let keyed = tables.keyed.as_ref()?;
                let of =
                    |table: &KeyTable| KeyEntries { table: *table, entries: keyed.sequential_entries(*table).to_vec() };
                let told = KeyTable::ALL.iter().filter(|table| table.tells_keys());
                let keys = KeyTables {
                    constant: keyed.sequential_constant(),
                    entry_bytes: 1,
                    rows: keyed.rows.clone(),
                    tables: told.map(of).collect(),
                };
                let (lull, course) = (tables.lull, tables.course);
                Self::SequentialKeyEvidence { bounds: bounds(&steps), lull, course, keys }
            }
            _ => return None,
        })
    }

    /// What it adds for keys, where it does.
    pub fn keys(&self) -> Option<&KeyTables> {
        match self {
            Self::KeyEvidence { keys, .. } | Self::SequentialKeyEvidence { keys, .. } => Some(keys),
            _ => None,
        }
    }

    /// Whether it decides from tables.
    pub fn is_learned(&self) -> bool {
        self.is_sequential() || matches!(self, Self::Evidence { .. } | Self::KeyEvidence { .. })
    }

    /// Whether passing time counts as evidence.
    pub fn is_sequential(&self) -> bool {
        matches!(self, Self::SequentialEvidence { .. } | Self::SequentialKeyEvidence { .. })
    }
}

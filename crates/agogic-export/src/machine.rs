//! What is exported: a setting with its numbers in the whole units they are kept in, and the keyboard it is for.

use agogic_keys::{Assignment, Board, Code, Hand};
use agogic_policy::{KEY_SLOTS, KeyTable, Setting};

use crate::body::Body;

/// Ticks of the clock that the exported rule is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Clock {
    /// Milliseconds.
    #[serde(rename = "ms")]
    Milliseconds,
    /// Microseconds.
    #[serde(rename = "us")]
    Microseconds,
}

impl Clock {
    /// Microseconds in a tick.
    pub const fn tick(self) -> u64 {
        match self {
            Self::Milliseconds => 1000,
            Self::Microseconds => 1,
        }
    }

    /// The name in files and on the command line.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Milliseconds => "ms",
            Self::Microseconds => "us",
        }
    }

    /// One tick in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Milliseconds => "one millisecond",
            Self::Microseconds => "one microsecond",
        }
    }
}

/// Why a setting cannot be exported. The texts continue "failed to export the setting: …".
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ExportError {
    /// A rule that the registry does not hold.
    #[error("`{0}` is no rule of the registry, so there is no source of it")]
    NoSource(&'static str),
    /// A time that the clock cannot tell.
    #[error("{name} is {ms} ms, and a clock of milliseconds cannot tell it; take a whole number, or --clock us")]
    Fraction {
        /// The value or guard.
        name: &'static str,
        /// Its value.
        ms: f64,
    },
    /// Too few slots or too many.
    #[error("there must be between 2 and 64 slots, not {0}")]
    Slots(usize),
    /// No key has two roles, or more have than fit into the table.
    #[error("between 1 and 62 keys may have two roles, not {0}")]
    DualKeys(usize),
}

/// A key of the keyboard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct KeyTraits {
    /// Its number: its place in the table of codes.
    pub number: usize,
    /// Which key it is.
    pub code: Code,
    /// Its hand.
    pub hand: Hand,
    /// Its number among the dual-role keys, from 1 on; 0 for a key of one role.
    pub dual: usize,
}

impl KeyTraits {
    /// Every key of a board, each with its hand and role. A key that the board lacks has no hand of its own.
    pub fn of(board: &Board, assignment: &Assignment) -> Vec<Self> {
        let mut duals = 0;
        let of = |code: Code| {
            let dual = if assignment.modifier(code).is_some() {
                duals += 1;
                duals
            } else {
                0
            };
            let hand = board.place(code).map_or(Hand::Either, |place| place.hand);
            Self { number: code.index(), code, hand, dual }
        };
        Code::all().map(of).collect()
    }
}

/// A setting ready to be written as source, data, vectors and page.
#[derive(Clone, Debug)]
pub struct Machine {
    /// The setting.
    pub setting: Setting,
    /// The clock it is given.
    pub clock: Clock,
    /// Presses followed at once.
    pub slots: usize,
    /// Every key.
    pub keys: Vec<KeyTraits>,
    /// The rule with its numbers.
    pub body: Body,
}

impl Machine {
    /// Least and most slots.
    pub const SLOTS: (usize, usize) = (2, 64);
    /// Slots where none are asked for.
    pub const DEFAULT_SLOTS: usize = 8;
    /// The most dual-role keys.
    pub const MOST_DUAL: usize = 62;

    /// The machine of a setting on a keyboard.
    ///
    /// # Errors
    /// A rule that is not of the registry, a time between two ticks, too few or too many slots or dual-role keys.
    pub fn new(setting: &Setting, keys: Vec<KeyTraits>, clock: Clock, slots: usize) -> Result<Self, ExportError> {
        let body = Body::of(setting).ok_or(ExportError::NoSource(setting.entry().name))?;
        if !(Self::SLOTS.0..=Self::SLOTS.1).contains(&slots) {
            return Err(ExportError::Slots(slots));
        }
        let dual = keys.iter().filter(|key| key.dual > 0).count();
        if !(1..=Self::MOST_DUAL).contains(&dual) {
            return Err(ExportError::DualKeys(dual));
        }
        let machine = Self { setting: setting.clone(), clock, slots, keys, body };
        for (name, us) in machine.times() {
            if us % clock.tick() != 0 {
                return Err(ExportError::Fraction { name, ms: us as f64 / 1e3 });
            }
        }
        Ok(machine)
    }

    /// Every threshold that is a time, in µs.
    fn times(&self) -> Vec<(&'static str, u64)> {
        let entry = self.setting.entry();
        let own = entry.params.iter().zip(self.setting.values()).filter(|(param, _)| param.unit == "ms");
        let own = own.map(|(param, value)| (param.name, param.to_steps(*value) as u64));
        own.chain(self.guards().into_iter().filter_map(|(name, us)| us.map(|us| (name, us)))).collect()
    }

    /// The guards with a number, in µs, by their names in the registry.
    pub fn guards(&self) -> [(&'static str, Option<u64>); 4] {
        let guards = self.setting.guards();
        [
            ("retap_ms", guards.retap),
            ("lull_ms", guards.lull),
            ("dwell_floor_ms", guards.dwell_floor),
            ("bare_hold_ms", guards.bare_hold),
        ]
        .map(|(name, span)| (name, span.map(|span| span.0)))
    }

    /// How many keys have two roles.
    pub fn dual_keys(&self) -> usize {
        self.keys.iter().filter(|key| key.dual > 0).count()
    }

    /// Whether a key has two roles.
    pub fn is_dual(&self, code: Code) -> bool {
        self.keys.get(code.index()).is_some_and(|key| key.dual > 0)
    }

    /// The hand of a key.
    pub fn hand(&self, code: Code) -> Hand {
        self.keys.get(code.index()).map_or(Hand::Either, |key| key.hand)
    }
}

/// Keys with a place of their own in tables of keys.
pub(crate) const NAMED: usize = KEY_SLOTS - 2;

/// Own keys with a row in the tables of pairs.
pub(crate) const ROWS: usize = KeyTable::OwnPrevious.len() / KEY_SLOTS;

/// Keys that write: the width of a row of own key and contact.
pub(crate) const WRITING: usize = KeyTable::OwnContact.len() / ROWS;

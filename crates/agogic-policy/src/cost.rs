//! What a rule or guard needs of a microcontroller.

use serde::Serialize;

use crate::TableCost;

/// Operations on whole numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Work {
    /// Look-ups in a table.
    pub lookups: usize,
    /// Additions and subtractions.
    pub additions: usize,
    /// Comparisons.
    pub comparisons: usize,
    /// Multiplications. No rule divides: 1/share is kept beforehand.
    pub multiplications: usize,
}

impl Work {
    /// None at all.
    pub const NONE: Self = Self { lookups: 0, additions: 0, comparisons: 0, multiplications: 0 };

    /// This work once, and `per_key` for each of `keys` other keys.
    pub const fn with_keys(self, per_key: Self, keys: usize) -> Self {
        Self {
            lookups: self.lookups + keys * per_key.lookups,
            additions: self.additions + keys * per_key.additions,
            comparisons: self.comparisons + keys * per_key.comparisons,
            multiplications: self.multiplications + keys * per_key.multiplications,
        }
    }
}

/// Two bits for the hand of each key.
pub(crate) const HAND_BYTES: usize = agogic_keys::Code::COUNT.div_ceil(4);

/// Memory, and the work of the worst single event or deadline.
///
/// # Definition
/// Counted by hand from a machine that is fed one event at a time, as the reference machine of the tests is,
/// and keeps what later events need and nothing else. A time takes four bytes, a key's name or a small state
/// one. What is compared with a number of the rule counts as a comparison; finding a key by its name counts
/// one for each key that is kept; telling the kind of an event counts nothing, for every rule has to. Not
/// counted: the queue of keys that wait for a decision, which all rules need alike, and the numbers of the
/// rule itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct RuleCost {
    /// Bytes that all keys share.
    pub shared_bytes: usize,
    /// Bytes for each undecided press.
    pub state_bytes: usize,
    /// Further bytes for each undecided press and each other key down with it.
    pub state_bytes_per_key: usize,
    /// Work of the worst event for each undecided press.
    pub once: Work,
    /// Further work for each other key down with it.
    pub once_per_key: Work,
    /// Tables, with the work of a whole decision from them.
    pub tables: Option<TableCost>,
}

impl RuleCost {
    /// Nothing at all.
    pub const NONE: Self = Self {
        shared_bytes: 0,
        state_bytes: 0,
        state_bytes_per_key: 0,
        once: Work::NONE,
        once_per_key: Work::NONE,
        tables: None,
    };

    /// Bytes of memory that changes, with `presses` undecided at once and `keys` other keys down with each.
    pub const fn bytes(&self, presses: usize, keys: usize) -> usize {
        self.shared_bytes + presses * (self.state_bytes + keys * self.state_bytes_per_key)
    }

    /// Work of the worst event for one undecided press with `keys` other keys down.
    pub const fn at_once(&self, keys: usize) -> Work {
        self.once.with_keys(self.once_per_key, keys)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{GUARDS, RULES, rule};

    #[test]
    fn keys_and_presses_multiply() {
        let cost = rule("overlap-share").unwrap().cost;
        assert_eq!(cost.bytes(2, 3), 2 * (8 + 3 * 5));
        let expected = Work { lookups: 0, additions: 6, comparisons: 4, multiplications: 3 };
        assert_eq!(cost.at_once(3), expected);
    }

    #[test]
    fn rules_that_learn_have_tables_and_look_things_up() {
        for entry in RULES {
            assert_eq!(entry.cost.tables.is_some(), entry.needs_training, "{}", entry.name);
            assert_eq!(entry.cost.once.lookups > 0, entry.needs_training, "{}", entry.name);
        }
        assert!(GUARDS.iter().all(|guard| guard.cost.tables.is_none()));
    }
}

//! Keys as places in a table.

use agogic_keys::Code;

/// Keys that write: they have the first places, in the order of their codes.
pub(crate) const WRITING: usize = 50;

/// Keys with a place of their own: those that write, four that edit, and the eight dedicated modifiers.
const NAMED: usize = 62;

/// Places of a table of keys: a named key each, one for all other keys, and one for no key at all.
pub const KEY_SLOTS: usize = NAMED + 2;

/// The place of a key in a table of keys.
///
/// # Definition
/// A key that writes, Backspace, Delete, Escape, Caps Lock, and each dedicated modifier has a place of its own. All
/// other keys share one. The last place is for no key: the first press of a session has none before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct KeySlot(u8);

impl KeySlot {
    /// No key at all.
    pub const NONE: Self = Self(KEY_SLOTS as u8 - 1);

    /// The place of a key.
    #[inline]
    pub const fn of(code: Code) -> Self {
        let index = code.index();
        Self(if index < NAMED { index as u8 } else { NAMED as u8 })
    }

    /// The place of a key, or of none.
    #[inline]
    pub const fn of_option(code: Option<Code>) -> Self {
        match code {
            Some(code) => Self::of(code),
            None => Self::NONE,
        }
    }

    /// Its number, below [`KEY_SLOTS`].
    #[inline]
    pub const fn index(self) -> usize {
        self.0 as usize
    }

    /// The place with that number, or `None` past the end.
    pub const fn from_index(index: usize) -> Option<Self> {
        if index < KEY_SLOTS { Some(Self(index as u8)) } else { None }
    }

    /// The key, where the place is that of one key.
    pub fn code(self) -> Option<Code> {
        if self.index() < NAMED { Code::from_index(self.index()) } else { None }
    }

    /// The key in words: its code, or `another key`, or `no key`.
    pub fn words(self) -> &'static str {
        match self.code() {
            Some(code) => code.name(),
            None if self == Self::NONE => "no key",
            None => "another key",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_that_write_come_first_and_every_place_has_words() {
        for code in Code::all() {
            assert_eq!(code.character(false).is_some(), KeySlot::of(code).index() < WRITING, "{code}");
        }
        let words: std::collections::BTreeSet<_> =
            (0..KEY_SLOTS).map(|at| KeySlot::from_index(at).unwrap().words()).collect();
        assert_eq!(words.len(), KEY_SLOTS);
        assert_eq!(KeySlot::from_index(KEY_SLOTS), None);
    }

    #[test]
    fn keys_without_a_place_share_one() {
        let slot = |name: &str| KeySlot::of(name.parse().unwrap());
        assert_eq!(slot("F1"), slot("ArrowUp"));
        assert_ne!(slot("F1"), slot("MetaRight"));
        assert_eq!(slot("MetaRight").code().map(Code::name), Some("MetaRight"));
        assert_eq!((slot("F1").code(), KeySlot::of_option(None)), (None, KeySlot::NONE));
    }
}

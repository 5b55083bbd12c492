//! Which keys have two roles, and which modifier each gives when held.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::{Board, Code, Finger, Hand};

/// What a held key gives: a modifier by its W3C UI Events `key` value, or a layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[repr(u8)]
pub enum Modifier {
    /// Writes capitals and the upper characters of keys.
    Shift = 0,
    /// Makes most shortcuts on most systems.
    Control = 1,
    /// Makes further shortcuts.
    Alt = 2,
    /// Belongs to the system: windows, searches, launchers.
    Meta = 3,
    /// Another set of characters or commands under the same keys: the third level of letters that have one. Only with such
    /// letters a board has a dedicated key for it, the right Alt key.
    Layer = 4,
}

impl Modifier {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Shift, Self::Control, Self::Alt, Self::Meta, Self::Layer];

    /// The name: W3C's for the four modifiers, our own for the layer.
    pub fn name(self) -> &'static str {
        ["Shift", "Control", "Alt", "Meta", "Layer"][self as usize]
    }
}

impl FromStr for Modifier {
    type Err = AssignmentError;
    fn from_str(name: &str) -> Result<Self, AssignmentError> {
        Self::ALL
            .into_iter()
            .find(|modifier| modifier.name() == name)
            .ok_or_else(|| AssignmentError::UnknownModifier(name.to_owned()))
    }
}

/// A set of modifiers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct ModifierSet(u8);

impl ModifierSet {
    /// No modifier.
    pub const NONE: Self = Self(0);

    /// The set with `modifier` added.
    pub const fn with(self, modifier: Modifier) -> Self {
        Self(self.0 | 1 << modifier as u8)
    }

    /// Whether `modifier` is in the set.
    pub const fn has(self, modifier: Modifier) -> bool {
        self.0 & (1 << modifier as u8) != 0
    }

    /// Whether no modifier is in the set.
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// All modifiers of both sets.
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// The modifiers of this set that are not in `other`.
    pub const fn minus(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }
}

impl fmt::Display for ModifierSet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let names: Vec<_> = Modifier::ALL.into_iter().filter(|m| self.has(*m)).map(Modifier::name).collect();
        f.write_str(&names.join("+"))
    }
}

/// Why an assignment was refused. The texts continue "failed to assign a role to a key: …".
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AssignmentError {
    /// No modifier of that name.
    #[error("`{0}` is not a held role; use Shift, Control, Alt, Meta or Layer")]
    UnknownModifier(String),
    /// The board lacks the key.
    #[error("the board `{board}` has no key {code}")]
    NoSuchKey {
        /// The board.
        board: &'static str,
        /// The key.
        code: Code,
    },
    /// A key that writes nothing cannot be tapped for a letter.
    #[error("{0} writes no character, so a tap of it means nothing; choose a key that writes one")]
    WritesNothing(Code),
}

/// Dual-role keys as data: any writing key, any modifier.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assignment {
    roles: [Option<Modifier>; Code::COUNT],
    /// The right Alt key leads to the third level of the letters.
    third_level: bool,
}

impl Assignment {
    /// An assignment without any dual-role key, on a board whose letters have no third level.
    pub fn none() -> Self {
        Self { roles: [None; Code::COUNT], third_level: false }
    }

    /// An assignment without any dual-role key on a board.
    pub fn none_on(board: &Board) -> Self {
        Self { third_level: board.letters().has_third_level(), ..Self::none() }
    }

    /// The eight resting keys, mirrored: `order` names the modifiers from the little to the index finger.
    pub fn resting(board: &Board, order: [Modifier; 4]) -> Self {
        let mut assignment = Self::none_on(board);
        for code in board.resting_keys() {
            let finger = board.place(code).expect("resting keys are on every board").finger;
            if finger != Finger::Thumb {
                assignment.roles[code.index()] = Some(order[finger as usize]);
            }
        }
        assignment
    }

    /// Gives `code` the held role `modifier`.
    ///
    /// # Errors
    /// The board lacks the key, or the key writes no character.
    pub fn assign(&mut self, board: &Board, code: Code, modifier: Modifier) -> Result<(), AssignmentError> {
        if board.place(code).is_none() {
            return Err(AssignmentError::NoSuchKey { board: board.name(), code });
        }
        if !board.letters().writes(code) {
            return Err(AssignmentError::WritesNothing(code));
        }
        self.roles[code.index()] = Some(modifier);
        Ok(())
    }

    /// The modifier that `code` gives when held; `None` when the key has one role only.
    pub fn modifier(&self, code: Code) -> Option<Modifier> {
        self.roles[code.index()]
    }

    /// The modifier that a key always gives: [`Code::dedicated_modifier`], but for the right Alt key on a board whose letters
    /// have a third level, which leads there.
    pub fn dedicated(&self, code: Code) -> Option<Modifier> {
        if self.third_level && code == Code::ALT_RIGHT { Some(Modifier::Layer) } else { code.dedicated_modifier() }
    }

    /// All dual-role keys with their modifier, in table order.
    pub fn iter(&self) -> impl Iterator<Item = (Code, Modifier)> + '_ {
        Code::all().filter_map(|code| self.modifier(code).map(|modifier| (code, modifier)))
    }

    /// The key a typist holds to give `target` the `modifier`.
    ///
    /// # Definition
    /// In this order: a dual-role key of the opposite hand; a dual-role key pressed by another finger; the
    /// board's dedicated key of the opposite hand (the left one for a key of either hand); the dedicated
    /// key of the same hand. `None` when the board has no such key at all.
    pub fn holder(&self, board: &Board, target: Code, modifier: Modifier) -> Option<Code> {
        let place = board.place(target)?;
        let dual = |wanted: &dyn Fn(Hand, usize) -> bool| {
            self.iter().find(|(code, m)| {
                let other = board.place(*code).expect("assigned keys are on the board");
                *m == modifier && *code != target && wanted(other.hand, other.digit())
            })
        };
        dual(&|hand, _| hand.opposite_to(place.hand))
            .or_else(|| dual(&|_, digit| digit != place.digit()))
            .map(|(code, _)| code)
            .or_else(|| {
                let opposite = if place.hand == Hand::Left { Hand::Right } else { Hand::Left };
                board.dedicated(modifier, opposite).or_else(|| board.dedicated(modifier, place.hand))
            })
    }

    /// The key of the other hand that gives the same modifier when `code` is held: for a dual-role key that of the same
    /// finger, or else the first; for a dedicated key the one on the other side. `None` without such a key.
    pub fn counterpart(&self, board: &Board, code: Code) -> Option<Code> {
        let place = board.place(code)?;
        let across = |other: Code| board.place(other).filter(|other| other.hand.opposite_to(place.hand));
        if let Some(modifier) = self.modifier(code) {
            let keys = || self.iter().filter(|(key, of)| *of == modifier && across(*key).is_some()).map(|(key, _)| key);
            let same = keys().find(|key| across(*key).is_some_and(|other| other.finger == place.finger));
            return same.or_else(|| keys().next());
        }
        let hand = if place.hand == Hand::Left { Hand::Right } else { Hand::Left };
        board.dedicated(self.dedicated(code)?, hand).filter(|key| across(*key).is_some())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(name: &str) -> Code {
        name.parse().unwrap()
    }

    const ORDER: [Modifier; 4] = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];

    #[test]
    fn counterparts_do_the_same_under_the_other_hand() {
        let board = Board::row_staggered();
        let mut both = Assignment::resting(&board, ORDER);
        let of = |assignment: &Assignment, name: &str| assignment.counterpart(&board, code(name));
        assert_eq!(of(&both, "KeyF"), Some(code("KeyJ")));
        assert_eq!(of(&both, "ShiftRight"), Some(code("ShiftLeft")));
        assert_eq!(of(&both, "KeyQ"), None);
        // Two keys of the other hand do the same: that of the same finger counts, before the first.
        both.assign(&board, code("KeyH"), Modifier::Control).unwrap();
        assert_eq!(of(&both, "KeyD"), Some(code("KeyK")));
        let mut one = Assignment::none();
        one.assign(&board, code("KeyF"), Modifier::Shift).unwrap();
        assert_eq!(of(&one, "KeyF"), None);
    }

    #[test]
    fn the_resting_order_is_mirrored() {
        let assignment = Assignment::resting(&Board::row_staggered(), ORDER);
        for (left, right) in [("KeyA", "Semicolon"), ("KeyS", "KeyL"), ("KeyD", "KeyK"), ("KeyF", "KeyJ")] {
            assert_eq!(assignment.modifier(code(left)), assignment.modifier(code(right)));
        }
        assert_eq!(assignment.modifier(code("KeyF")), Some(Modifier::Shift));
        assert_eq!(assignment.iter().count(), 8);
    }

    #[test]
    fn holders_prefer_the_opposite_hand_then_another_finger_then_a_dedicated_key() {
        let board = Board::row_staggered();
        let both = Assignment::resting(&board, ORDER);
        assert_eq!(both.holder(&board, code("KeyQ"), Modifier::Shift), Some(code("KeyJ")));
        assert_eq!(both.holder(&board, code("KeyJ"), Modifier::Shift), Some(code("KeyF")));

        let mut left = Assignment::none();
        left.assign(&board, code("KeyF"), Modifier::Control).unwrap();
        assert_eq!(left.holder(&board, code("KeyA"), Modifier::Control), Some(code("KeyF")));
        // The same finger cannot hold one key and press another.
        assert_eq!(left.holder(&board, code("KeyV"), Modifier::Control), Some(code("ControlRight")));
        assert_eq!(left.holder(&board, code("KeyQ"), Modifier::Shift), Some(code("ShiftRight")));
    }

    #[test]
    fn silent_keys_cannot_have_two_roles() {
        let board = Board::row_staggered();
        let refused = Assignment::none().assign(&board, code("ShiftLeft"), Modifier::Shift);
        assert_eq!(refused, Err(AssignmentError::WritesNothing(code("ShiftLeft"))));
        let refused = Assignment::none().assign(&board, code("F12"), Modifier::Shift);
        assert!(matches!(refused, Err(AssignmentError::NoSuchKey { .. })));
    }

    #[test]
    fn sets_behave_as_sets() {
        let set = ModifierSet::NONE.with(Modifier::Control).with(Modifier::Shift);
        assert!(set.has(Modifier::Shift) && !set.has(Modifier::Alt));
        assert_eq!(set.to_string(), "Shift+Control");
        assert_eq!(set.minus(ModifierSet::NONE.with(Modifier::Shift)), ModifierSet::NONE.with(Modifier::Control));
    }
}

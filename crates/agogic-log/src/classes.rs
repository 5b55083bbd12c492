//! Keys by the hand or finger that presses them.

use agogic_keys::{Board, Code, Hand};
use serde::{Deserialize, Serialize};

use crate::key_names::class_name;

/// How coarse the classes of a redacted log are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Classes {
    /// Hand and finger: eleven classes.
    Finger,
    /// The hand alone: left, right, and keys of either.
    Hand,
}

impl Classes {
    /// The name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Finger => "finger",
            Self::Hand => "hand",
        }
    }

    /// The class of a key on a board; `None` for a key that the board lacks.
    pub fn of(self, board: &Board, code: Code) -> Option<&'static str> {
        let place = board.place(code)?;
        Some(match (self, place.hand) {
            (Self::Finger, hand) => class_name(hand, place.finger),
            (Self::Hand, Hand::Left) => "left",
            (Self::Hand, Hand::Right) => "right",
            (Self::Hand, Hand::Either) => "either",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_follow_the_board() {
        let board = Board::row_staggered();
        let of = |classes: Classes, name: &str| classes.of(&board, name.parse().unwrap());
        assert_eq!(of(Classes::Finger, "KeyR"), Some("left-index"));
        assert_eq!(of(Classes::Finger, "KeyT"), Some("left-index"));
        assert_eq!(of(Classes::Hand, "KeyP"), Some("right"));
        assert_eq!(of(Classes::Finger, "Space"), Some("thumb"));
        assert_eq!(of(Classes::Hand, "Space"), Some("either"));
        assert_eq!(of(Classes::Hand, "F12"), None);
    }
}

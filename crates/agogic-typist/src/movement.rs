//! From one key to the next: which class of movement it is.

use agogic_keys::{Board, Code, Finger, Hand};

use crate::digraphs::Rarities;

/// The classes of digraph that the typing literature tells apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(u8)]
pub enum MovementClass {
    /// Opposite hands.
    OtherHand,
    /// Same hand, another finger, towards the thumb side.
    Inward,
    /// Same hand, another finger, towards the little finger.
    Outward,
    /// Same hand, same finger, another key.
    SameFinger,
    /// The same key again.
    Repeat,
    /// To or from a thumb.
    Thumb,
}

impl MovementClass {
    /// How many classes there are.
    pub const COUNT: usize = 6;

    /// Whether one hand makes both keys, the thumbs left out, and they are not the same key.
    pub fn is_one_hand(self) -> bool {
        matches!(self, Self::Inward | Self::Outward | Self::SameFinger)
    }
}

/// Movement classes and fingers of a board, as tables.
#[derive(Clone, Debug)]
pub struct Movement {
    classes: Vec<MovementClass>,
    digits: [u8; Code::COUNT],
    fingers: [u8; Code::COUNT],
    hands: [Hand; Code::COUNT],
    rarity: Vec<f32>,
    near: Vec<Vec<Code>>,
}

impl Movement {
    /// Tables for a board with its letters. Keys the board lacks count as pressed by a thumb.
    pub fn new(board: &Board) -> Self {
        let mut digits = [10; Code::COUNT];
        let mut fingers = [Finger::Thumb as u8; Code::COUNT];
        let mut hands = [Hand::Either; Code::COUNT];
        for code in Code::all() {
            if let Some(place) = board.place(code) {
                digits[code.index()] = place.digit() as u8;
                fingers[code.index()] = place.finger as u8;
                hands[code.index()] = place.hand;
            }
        }
        let classes = Code::all()
            .flat_map(|from| Code::all().map(move |to| (from, to)))
            .map(|(from, to)| class_of(board, from, to))
            .collect();
        Self { classes, digits, fingers, hands, rarity: rarity_table(board), near: near_table(board) }
    }

    /// How many powers of ten rarer than the typical digraph of the language of the board ([`Board::pairs`]) the pair is; zero
    /// unless both keys write letters of it.
    #[inline]
    pub fn rarity(&self, from: Code, to: Code) -> f64 {
        f64::from(self.rarity[from.index() * Code::COUNT + to.index()])
    }

    /// The letter keys a finger may strike instead of `code`: those whose centres lie within 1.3 key widths.
    pub fn near(&self, code: Code) -> &[Code] {
        &self.near[code.index()]
    }

    /// The class of moving `from` one key `to` the next.
    #[inline]
    pub fn class(&self, from: Code, to: Code) -> MovementClass {
        self.classes[from.index() * Code::COUNT + to.index()]
    }

    /// Number of the finger of the hand that presses `code`, 0–10.
    #[inline]
    pub fn digit(&self, code: Code) -> usize {
        self.digits[code.index()] as usize
    }

    /// Number of the finger whatever the hand: 0 little to 4 thumb.
    #[inline]
    pub fn finger(&self, code: Code) -> usize {
        self.fingers[code.index()] as usize
    }

    /// The hand that presses `code`.
    #[inline]
    pub fn hand(&self, code: Code) -> Hand {
        self.hands[code.index()]
    }
}

fn rarity_table(board: &Board) -> Vec<f32> {
    let rarities = Rarities::of(board.pairs());
    let places: Vec<Option<usize>> =
        Code::all().map(|code| board.letters().letter(code).and_then(|letter| rarities.place(letter))).collect();
    let each = places.iter().flat_map(|from| places.iter().map(move |to| (*from, *to)));
    each.map(|pair| match pair {
        (Some(first), Some(second)) => rarities.at(first, second) as f32,
        _ => 0.0,
    })
    .collect()
}

fn near_table(board: &Board) -> Vec<Vec<Code>> {
    let near = |code: Code| {
        let Some(place) = board.place(code) else { return Vec::new() };
        Code::all()
            .filter(|other| *other != code && board.letters().letter(*other).is_some())
            .filter(|other| board.place(*other).is_some_and(|o| (o.x - place.x).hypot(o.y - place.y) <= 1.3))
            .collect()
    };
    Code::all().map(near).collect()
}

fn class_of(board: &Board, from: Code, to: Code) -> MovementClass {
    let (Some(a), Some(b)) = (board.place(from), board.place(to)) else { return MovementClass::Thumb };
    if from == to {
        MovementClass::Repeat
    } else if a.finger == Finger::Thumb || b.finger == Finger::Thumb {
        MovementClass::Thumb
    } else if a.hand != b.hand {
        MovementClass::OtherHand
    } else if a.finger == b.finger {
        MovementClass::SameFinger
    } else if b.finger > a.finger {
        MovementClass::Inward
    } else {
        MovementClass::Outward
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Letters, PairShares};

    #[test]
    fn classes_follow_the_fingers() {
        let movement = Movement::new(&Board::row_staggered());
        let class = |from: &str, to: &str| movement.class(from.parse().unwrap(), to.parse().unwrap());
        assert_eq!(class("KeyT", "KeyH"), MovementClass::OtherHand);
        assert_eq!(class("KeyA", "KeyS"), MovementClass::Inward);
        assert_eq!(class("KeyE", "KeyA"), MovementClass::Outward);
        assert_eq!(class("KeyE", "KeyD"), MovementClass::SameFinger);
        assert_eq!(class("KeyR", "KeyT"), MovementClass::SameFinger);
        assert_eq!(class("KeyL", "KeyL"), MovementClass::Repeat);
        assert_eq!(class("KeyE", "Space"), MovementClass::Thumb);
    }

    #[test]
    fn near_keys_touch() {
        let movement = Movement::new(&Board::row_staggered());
        let near: Vec<_> = movement.near("KeyG".parse().unwrap()).iter().map(|code| code.name()).collect();
        assert_eq!(near, ["KeyB", "KeyF", "KeyH", "KeyT", "KeyV", "KeyY"]);
        assert!(movement.rarity("KeyT".parse().unwrap(), "KeyH".parse().unwrap()) < 0.0);
        assert_eq!(movement.rarity("KeyT".parse().unwrap(), Code::SPACE), 0.0);
    }

    #[test]
    fn letters_of_the_board_are_rare_and_near_by_what_they_are() {
        let german = Board::row_staggered().with_letters(Letters::by_name("german").unwrap());
        let code = |name: &str| name.parse::<Code>().unwrap();
        let us = Movement::new(&Board::row_staggered());
        let movement = Movement::new(&german);
        // English counts go with the letters to their keys; English has no umlauts.
        assert_eq!(movement.rarity(code("KeyZ"), code("KeyE")), us.rarity(code("KeyY"), code("KeyE")));
        assert_eq!(movement.rarity(code("Semicolon"), code("KeyN")), 0.0);
        assert!(
            movement.near(code("KeyP")).contains(&code("Semicolon"))
                && !us.near(code("KeyP")).contains(&code("Semicolon"))
        );
        let unknown = Movement::new(&german.with_pairs(PairShares::Unknown));
        assert_eq!(unknown.rarity(code("KeyT"), code("KeyH")), 0.0);
    }
}

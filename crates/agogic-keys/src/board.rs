//! Keyboards: which finger presses which key, and where the key lies.

use serde::{Deserialize, Serialize};

use crate::{Code, Letters, Modifier, PairShares};

/// The hand that presses a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hand {
    /// Left hand.
    Left,
    /// Right hand.
    Right,
    /// A key that either thumb may press, such as a wide space bar.
    Either,
}

impl Hand {
    /// Whether the two keys surely belong to opposite hands. A key of either hand is opposite to none.
    pub fn opposite_to(self, other: Self) -> bool {
        matches!((self, other), (Self::Left, Self::Right) | (Self::Right, Self::Left))
    }
}

/// The finger that presses a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Finger {
    /// The little finger.
    Little,
    /// The ring finger.
    Ring,
    /// The middle finger.
    Middle,
    /// The index finger.
    Index,
    /// The thumb.
    Thumb,
}

/// Where a key lies and who presses it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeyPlace {
    /// Hand.
    pub hand: Hand,
    /// Finger.
    pub finger: Finger,
    /// Horizontal position of the key's centre in key widths (19.05 mm), left to right.
    pub x: f32,
    /// Vertical position of the key's centre in key widths, away from the typist.
    pub y: f32,
    /// Whether the finger rests on this key.
    pub resting: bool,
}

impl KeyPlace {
    /// The finger in words, such as `left little`; `thumb` for a key of either.
    pub fn finger_in_words(&self) -> String {
        let finger = match self.finger {
            Finger::Little => "little",
            Finger::Ring => "ring",
            Finger::Middle => "middle",
            Finger::Index => "index",
            Finger::Thumb => "thumb",
        };
        match self.hand {
            Hand::Left => format!("left {finger}"),
            Hand::Right => format!("right {finger}"),
            Hand::Either => finger.to_owned(),
        }
    }

    /// A small number for the finger of the hand: 0–4 left little to thumb, 5–9 right, 10 either thumb.
    pub fn digit(&self) -> usize {
        match self.hand {
            Hand::Left => self.finger as usize,
            Hand::Right => 5 + self.finger as usize,
            Hand::Either => 10,
        }
    }
}

/// A keyboard: for each key it has, the finger that presses it and its place; and what is written with it.
#[derive(Clone, Debug)]
pub struct Board {
    name: &'static str,
    places: [Option<KeyPlace>; Code::COUNT],
    letters: Letters,
    pairs: PairShares,
}

/// Main block, row by row from the digits down. The columns carry the fingers.
const ROWS: [&[&str]; 4] = [
    &[
        "Backquote",
        "Digit1",
        "Digit2",
        "Digit3",
        "Digit4",
        "Digit5",
        "Digit6",
        "Digit7",
        "Digit8",
        "Digit9",
        "Digit0",
        "Minus",
        "Equal",
    ],
    &[
        "Tab",
        "KeyQ",
        "KeyW",
        "KeyE",
        "KeyR",
        "KeyT",
        "KeyY",
        "KeyU",
        "KeyI",
        "KeyO",
        "KeyP",
        "BracketLeft",
        "BracketRight",
        "Backslash",
    ],
    &["CapsLock", "KeyA", "KeyS", "KeyD", "KeyF", "KeyG", "KeyH", "KeyJ", "KeyK", "KeyL", "Semicolon", "Quote"],
    &["ShiftLeft", "KeyZ", "KeyX", "KeyC", "KeyV", "KeyB", "KeyN", "KeyM", "Comma", "Period", "Slash", "ShiftRight"],
];

/// Column index → hand and finger: the fingering that typing courses teach (common practice).
fn column(index: usize) -> (Hand, Finger) {
    match index {
        0 | 1 => (Hand::Left, Finger::Little),
        2 => (Hand::Left, Finger::Ring),
        3 => (Hand::Left, Finger::Middle),
        4 | 5 => (Hand::Left, Finger::Index),
        6 | 7 => (Hand::Right, Finger::Index),
        8 => (Hand::Right, Finger::Middle),
        9 => (Hand::Right, Finger::Ring),
        _ => (Hand::Right, Finger::Little),
    }
}

pub(crate) const RESTING: [&str; 8] = ["KeyA", "KeyS", "KeyD", "KeyF", "KeyJ", "KeyK", "KeyL", "Semicolon"];

impl Board {
    /// The names [`Board::by_name`] accepts.
    pub const NAMES: [&'static str; 2] = ["row-staggered", "column-staggered"];

    fn empty(name: &'static str) -> Self {
        Self { name, places: [None; Code::COUNT], letters: Letters::us(), pairs: PairShares::English }
    }

    /// The usual keyboard: rows shifted against each other, one wide space bar.
    ///
    /// # Source
    /// Row offsets 0, ½, ¾ and 1¼ key widths: common practice for the ISO/IEC 9995 main block.
    pub fn row_staggered() -> Self {
        let mut board = Self::empty(Self::NAMES[0]);
        let shift = [0.0, 0.5, 0.75, 1.25];
        board.main_block(|row, col| (col as f32 + shift[row], 3.0 - row as f32));
        board.put("Space", Hand::Either, Finger::Thumb, 6.5, -1.0);
        board.put("Enter", Hand::Right, Finger::Little, 13.5, 1.0);
        board.put("Backspace", Hand::Right, Finger::Little, 14.0, 3.0);
        board.bottom_row();
        board
    }

    /// A split keyboard: columns shifted to the length of the fingers, two keys under each thumb.
    ///
    /// Space lies under the right thumb; Backspace and Enter lie under the left. That arrangement is our
    /// own example of such boards, not a standard.
    pub fn column_staggered() -> Self {
        let mut board = Self::empty(Self::NAMES[1]);
        // Upward shift of each column in key widths, after the lengths of the fingers (assumed).
        let lift = |col: usize| match column(col).1 {
            Finger::Little => 0.0,
            Finger::Ring => 0.4,
            Finger::Middle => 0.6,
            Finger::Index => 0.35,
            Finger::Thumb => 0.0,
        };
        board.main_block(|row, col| {
            let gap = if col >= 6 { 3.0 } else { 0.0 };
            (col as f32 + gap, 3.0 - row as f32 + lift(col))
        });
        board.put("Space", Hand::Right, Finger::Thumb, 9.0, -1.2);
        board.put("Enter", Hand::Left, Finger::Thumb, 5.0, -1.2);
        board.put("Backspace", Hand::Left, Finger::Thumb, 6.0, -1.4);
        board.bottom_row();
        board
    }

    /// The board of that name, if there is one.
    pub fn by_name(name: &str) -> Option<Self> {
        match name {
            "row-staggered" => Some(Self::row_staggered()),
            "column-staggered" => Some(Self::column_staggered()),
            _ => None,
        }
    }

    /// The board's name.
    pub fn name(&self) -> &'static str {
        self.name
    }

    /// Where `code` lies, or `None` when the board has no such key.
    pub fn place(&self, code: Code) -> Option<&KeyPlace> {
        self.places[code.index()].as_ref()
    }

    /// The keys under the resting fingers, left little finger to right little finger.
    pub fn resting_keys(&self) -> impl Iterator<Item = Code> {
        RESTING.iter().map(|name| name.parse().expect("resting keys are in the table"))
    }

    /// The same keyboard with these letters on its keys.
    ///
    /// # Definition
    /// Letters that lie on the key between the left Shift and Z bring that key: the left Shift is then one key width further
    /// out, and the key of W3C's `Backslash` lies at the end of the resting row.
    ///
    /// # Source
    /// W3C, *UI Events KeyboardEvent code Values*, the two forms of the writing-system keys (from memory): keyboards with
    /// `IntlBackslash` have `Backslash` in the third row. Places: common practice.
    pub fn with_letters(mut self, letters: Letters) -> Self {
        if letters.writes(Code::BESIDE_SHIFT) && self.place(Code::BESIDE_SHIFT).is_none() {
            let at = |board: &Self, code: Code| *board.place(code).expect("both boards have this key");
            let shift = at(&self, Code::SHIFT_LEFT);
            let quote = at(&self, Code::QUOTE);
            self.put("IntlBackslash", Hand::Left, Finger::Little, shift.x, shift.y);
            self.put("ShiftLeft", Hand::Left, Finger::Little, shift.x - 1.0, shift.y);
            self.put("Backslash", Hand::Right, Finger::Little, quote.x + 1.0, quote.y);
        }
        self.letters = letters;
        self
    }

    /// The same keyboard for a language with these shares of pairs of letters.
    pub fn with_pairs(self, pairs: PairShares) -> Self {
        Self { pairs, ..self }
    }

    /// The letters on its keys; those of the United States unless stated.
    pub fn letters(&self) -> &Letters {
        &self.letters
    }

    /// How often letters follow each other in what is typed on it; English unless stated.
    pub fn pairs(&self) -> &PairShares {
        &self.pairs
    }

    /// The dedicated modifier key of `hand` for a modifier's W3C name (`Shift`, `Control`, `Alt`, `Meta`). Where the letters
    /// have a third level the right Alt key gives that, as [`Modifier::Layer`], whichever hand is asked for, and no Alt.
    pub fn dedicated(&self, modifier: Modifier, hand: Hand) -> Option<Code> {
        if self.letters.has_third_level() {
            match (modifier, hand) {
                (Modifier::Layer, _) => return self.place(Code::ALT_RIGHT).map(|_| Code::ALT_RIGHT),
                (Modifier::Alt, Hand::Right) => return None,
                _ => {}
            }
        }
        let side = if hand == Hand::Right { "Right" } else { "Left" };
        let code: Code = format!("{}{side}", modifier.name()).parse().ok()?;
        self.place(code).map(|_| code)
    }

    fn main_block(&mut self, at: impl Fn(usize, usize) -> (f32, f32)) {
        for (row, keys) in ROWS.iter().enumerate() {
            for (col, name) in keys.iter().enumerate() {
                let (hand, finger) = column(col);
                let (x, y) = at(row, col);
                self.put(name, hand, finger, x, y);
            }
        }
    }

    fn bottom_row(&mut self) {
        for (name, hand, x) in [
            ("ControlLeft", Hand::Left, 0.5),
            ("MetaLeft", Hand::Left, 1.75),
            ("AltLeft", Hand::Left, 3.0),
            ("AltRight", Hand::Right, 10.5),
            ("MetaRight", Hand::Right, 11.75),
            ("ControlRight", Hand::Right, 14.0),
        ] {
            let finger = if name.starts_with("Alt") { Finger::Thumb } else { Finger::Little };
            self.put(name, hand, finger, x, -1.0);
        }
    }

    fn put(&mut self, name: &str, hand: Hand, finger: Finger, x: f32, y: f32) {
        let code: Code = name.parse().expect("board rows hold table names");
        self.places[code.index()] = Some(KeyPlace { hand, finger, x, y, resting: code.is_resting() });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_boards_hold_every_writing_key() {
        for name in Board::NAMES {
            let board = Board::by_name(name).unwrap();
            assert_eq!(board.name(), name);
            for code in Code::all().filter(|code| code.character(false).is_some()) {
                assert!(board.place(code).is_some(), "{name} lacks {code}");
            }
        }
        assert!(Board::by_name("round").is_none());
    }

    #[test]
    fn resting_keys_are_one_per_finger() {
        let board = Board::row_staggered();
        let digits: Vec<usize> = board.resting_keys().map(|code| board.place(code).unwrap().digit()).collect();
        assert_eq!(digits, [0, 1, 2, 3, 8, 7, 6, 5]);
    }

    #[test]
    fn a_wide_space_bar_is_opposite_to_no_hand() {
        let space = *Board::row_staggered().place(Code::SPACE).unwrap();
        assert!(!space.hand.opposite_to(Hand::Left) && !space.hand.opposite_to(Hand::Right));
        let space = *Board::column_staggered().place(Code::SPACE).unwrap();
        assert!(space.hand.opposite_to(Hand::Left));
    }
}

//! Physical keys by their W3C UI Events `code` value.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A physical key, named by its W3C UI Events `code` value.
///
/// # Source
/// W3C, *UI Events KeyboardEvent code Values*: the writing-system keys and the functional keys a
/// typist uses. Characters are those of the US layout; [`Letters`](crate::Letters) holds those of others.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Code(u8);

/// A name that is no known `code` value.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a W3C key code known here (examples: KeyA, Semicolon, Space)")]
pub struct UnknownCode(pub String);

struct Row {
    name: &'static str,
    plain: Option<char>,
    shifted: Option<char>,
}

const fn writes(name: &'static str, plain: char, shifted: char) -> Row {
    Row { name, plain: Some(plain), shifted: Some(shifted) }
}

const fn silent(name: &'static str) -> Row {
    Row { name, plain: None, shifted: None }
}

// New keys go at the end: logs and streams may hold indices.
const TABLE: &[Row] = &[
    writes("KeyA", 'a', 'A'),
    writes("KeyB", 'b', 'B'),
    writes("KeyC", 'c', 'C'),
    writes("KeyD", 'd', 'D'),
    writes("KeyE", 'e', 'E'),
    writes("KeyF", 'f', 'F'),
    writes("KeyG", 'g', 'G'),
    writes("KeyH", 'h', 'H'),
    writes("KeyI", 'i', 'I'),
    writes("KeyJ", 'j', 'J'),
    writes("KeyK", 'k', 'K'),
    writes("KeyL", 'l', 'L'),
    writes("KeyM", 'm', 'M'),
    writes("KeyN", 'n', 'N'),
    writes("KeyO", 'o', 'O'),
    writes("KeyP", 'p', 'P'),
    writes("KeyQ", 'q', 'Q'),
    writes("KeyR", 'r', 'R'),
    writes("KeyS", 's', 'S'),
    writes("KeyT", 't', 'T'),
    writes("KeyU", 'u', 'U'),
    writes("KeyV", 'v', 'V'),
    writes("KeyW", 'w', 'W'),
    writes("KeyX", 'x', 'X'),
    writes("KeyY", 'y', 'Y'),
    writes("KeyZ", 'z', 'Z'),
    writes("Digit0", '0', ')'),
    writes("Digit1", '1', '!'),
    writes("Digit2", '2', '@'),
    writes("Digit3", '3', '#'),
    writes("Digit4", '4', '$'),
    writes("Digit5", '5', '%'),
    writes("Digit6", '6', '^'),
    writes("Digit7", '7', '&'),
    writes("Digit8", '8', '*'),
    writes("Digit9", '9', '('),
    writes("Minus", '-', '_'),
    writes("Equal", '=', '+'),
    writes("BracketLeft", '[', '{'),
    writes("BracketRight", ']', '}'),
    writes("Backslash", '\\', '|'),
    writes("Semicolon", ';', ':'),
    writes("Quote", '\'', '"'),
    writes("Backquote", '`', '~'),
    writes("Comma", ',', '<'),
    writes("Period", '.', '>'),
    writes("Slash", '/', '?'),
    writes("Space", ' ', ' '),
    writes("Enter", '\n', '\n'),
    writes("Tab", '\t', '\t'),
    silent("Backspace"),
    silent("Delete"),
    silent("Escape"),
    silent("CapsLock"),
    silent("ShiftLeft"),
    silent("ShiftRight"),
    silent("ControlLeft"),
    silent("ControlRight"),
    silent("AltLeft"),
    silent("AltRight"),
    silent("MetaLeft"),
    silent("MetaRight"),
    silent("ArrowLeft"),
    silent("ArrowRight"),
    silent("ArrowUp"),
    silent("ArrowDown"),
    silent("Home"),
    silent("End"),
    silent("PageUp"),
    silent("PageDown"),
    silent("Insert"),
    silent("IntlBackslash"),
    silent("ContextMenu"),
    silent("F1"),
    silent("F2"),
    silent("F3"),
    silent("F4"),
    silent("F5"),
    silent("F6"),
    silent("F7"),
    silent("F8"),
    silent("F9"),
    silent("F10"),
    silent("F11"),
    silent("F12"),
];

impl Code {
    /// How many codes there are; indices run below this.
    pub const COUNT: usize = TABLE.len();

    /// The space bar.
    pub const SPACE: Self = named("Space");
    /// The Enter key of the main block.
    pub const ENTER: Self = named("Enter");
    /// The Backspace key.
    pub const BACKSPACE: Self = named("Backspace");
    /// The dedicated Shift key of the left hand.
    pub const SHIFT_LEFT: Self = named("ShiftLeft");
    /// The dedicated Shift key of the right hand.
    pub const SHIFT_RIGHT: Self = named("ShiftRight");
    /// The right Alt key, which leads to the third level where letters have one.
    pub const ALT_RIGHT: Self = named("AltRight");
    /// The key beside the resting key of the right little finger.
    pub(crate) const QUOTE: Self = named("Quote");
    /// The key between the left Shift and Z of keyboards that have one.
    pub const BESIDE_SHIFT: Self = named("IntlBackslash");

    /// The code at `index`, or `None` past the end of the table.
    pub const fn from_index(index: usize) -> Option<Self> {
        if index < TABLE.len() { Some(Self(index as u8)) } else { None }
    }

    /// Position in the table, below [`Code::COUNT`].
    pub const fn index(self) -> usize {
        self.0 as usize
    }

    /// The W3C name.
    pub const fn name(self) -> &'static str {
        TABLE[self.0 as usize].name
    }

    /// The character the key writes on the US layout, without or with Shift; `None` for keys that write nothing there.
    pub const fn character(self, shift: bool) -> Option<char> {
        let row = &TABLE[self.0 as usize];
        if shift { row.shifted } else { row.plain }
    }

    /// The key that writes `c` on the US layout, and whether it needs Shift; `None` when no key does.
    pub fn writing(c: char) -> Option<(Self, bool)> {
        Self::all().find_map(|code| {
            let row = &TABLE[code.index()];
            if row.plain == Some(c) {
                Some((code, false))
            } else if row.shifted == Some(c) {
                Some((code, true))
            } else {
                None
            }
        })
    }

    /// Whether the key writes a letter on the US layout.
    pub fn is_letter(self) -> bool {
        self.character(false).is_some_and(|c| c.is_ascii_lowercase())
    }

    /// Whether a finger other than a thumb rests on the key, on any board.
    ///
    /// # Source
    /// The eight resting keys of ISO/IEC 9995-3.
    pub fn is_resting(self) -> bool {
        crate::board::RESTING.contains(&self.name())
    }

    /// The modifier this key always gives, for dedicated modifier keys such as `ShiftLeft`.
    pub fn dedicated_modifier(self) -> Option<crate::Modifier> {
        let stem = self.name().strip_suffix("Left").or_else(|| self.name().strip_suffix("Right"))?;
        stem.parse().ok()
    }

    /// Every code, in table order.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..TABLE.len()).map(|i| Self(i as u8))
    }
}

const fn named(name: &str) -> Code {
    let mut i = 0;
    while i < TABLE.len() {
        if same(TABLE[i].name.as_bytes(), name.as_bytes()) {
            return Code(i as u8);
        }
        i += 1;
    }
    panic!("no such code")
}

const fn same(a: &[u8], b: &[u8]) -> bool {
    if a.len() != b.len() {
        return false;
    }
    let mut i = 0;
    while i < a.len() {
        if a[i] != b[i] {
            return false;
        }
        i += 1;
    }
    true
}

impl FromStr for Code {
    type Err = UnknownCode;
    fn from_str(name: &str) -> Result<Self, UnknownCode> {
        Self::all().find(|code| code.name() == name).ok_or_else(|| UnknownCode(name.to_owned()))
    }
}

impl fmt::Debug for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl Serialize for Code {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name())
    }
}

impl<'de> Deserialize<'de> for Code {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let name = String::deserialize(deserializer)?;
        name.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_parse_back() {
        for code in Code::all() {
            assert_eq!(code.name().parse::<Code>(), Ok(code));
        }
        assert!("KeyÄ".parse::<Code>().is_err());
        assert_eq!(Code::from_index(Code::COUNT), None);
    }

    #[test]
    fn every_printable_ascii_character_has_a_key() {
        for byte in b' '..=b'~' {
            let (code, shift) = Code::writing(byte as char).unwrap();
            assert_eq!(code.character(shift), Some(byte as char));
        }
        assert_eq!(Code::writing('é'), None);
    }

    #[test]
    fn dedicated_modifiers_are_known() {
        let modifier = |name: &str| name.parse::<Code>().unwrap().dedicated_modifier();
        assert_eq!(modifier("ShiftRight"), Some(crate::Modifier::Shift));
        assert_eq!(modifier("ArrowLeft"), None);
        assert_eq!(modifier("KeyA"), None);
    }

    #[test]
    fn capitals_need_shift() {
        assert_eq!(Code::writing('Q'), Some(("KeyQ".parse().unwrap(), true)));
        assert_eq!(Code::writing(' '), Some((Code::SPACE, false)));
    }
}

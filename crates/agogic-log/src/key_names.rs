//! The names that logs give to keys.

use agogic_keys::{Code, Finger, Hand};
use serde::{Deserialize, Serialize};

/// How a log names its keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum KeyNames {
    /// W3C UI Events `code` values: physical keys, such as `KeyA`.
    Code,
    /// W3C UI Events `key` values: the character written (US layout), or a name such as `Enter`.
    Key,
    /// Usage ids of the USB HID keyboard page, decimal or as `0x04`.
    Usage,
    /// Legacy `keyCode` values of browsers, decimal.
    KeyCode,
    /// Classes of a redacted log, such as `left-index`. The key under the resting finger stands for all.
    Class,
}

/// A key and how sure it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Named {
    pub code: Code,
    /// The log does not tell the left key from the right one; this is the left one.
    pub side_unknown: bool,
}

/// USB HID keyboard page: usages 0x04 to 0x27 in order, by what they write.
///
/// # Source
/// USB Implementers Forum, HID Usage Tables 1.12, table 12, *Keyboard/Keypad Page (0x07)* (seen in
/// transcription).
const WRITING_USAGES: &str = "abcdefghijklmnopqrstuvwxyz1234567890";

/// The same table: usages 0x28 to 0x45 in order.
#[rustfmt::skip]
const NEAR_USAGES: [&str; 30] = [
    "Enter", "Escape", "Backspace", "Tab", "Space", "Minus", "Equal", "BracketLeft", "BracketRight", "Backslash",
    // 0x32 is the key of other countries' boards at the place of Backslash.
    "Backslash", "Semicolon", "Quote", "Backquote", "Comma", "Period", "Slash", "CapsLock",
    "F1", "F2", "F3", "F4", "F5", "F6", "F7", "F8", "F9", "F10", "F11", "F12",
];

/// The rest of the same table.
const FAR_USAGES: [(u32, &str); 20] = [
    (0x49, "Insert"),
    (0x4a, "Home"),
    (0x4b, "PageUp"),
    (0x4c, "Delete"),
    (0x4d, "End"),
    (0x4e, "PageDown"),
    (0x4f, "ArrowRight"),
    (0x50, "ArrowLeft"),
    (0x51, "ArrowDown"),
    (0x52, "ArrowUp"),
    (0x64, "IntlBackslash"),
    (0x65, "ContextMenu"),
    (0xe0, "ControlLeft"),
    (0xe1, "ShiftLeft"),
    (0xe2, "AltLeft"),
    (0xe3, "MetaLeft"),
    (0xe4, "ControlRight"),
    (0xe5, "ShiftRight"),
    (0xe6, "AltRight"),
    (0xe7, "MetaRight"),
];

/// `key` values that are neither a character nor the same as their `code` value.
///
/// # Source
/// W3C, *UI Events KeyboardEvent key Values*, section 3 (seen); the control characters and the names of
/// the older drafts (`Esc`, `Spacebar`, …) from memory.
const KEY_VALUES: [(&str, &str); 15] = [
    ("AltGraph", "AltRight"),
    ("\r", "Enter"),
    ("\u{8}", "Backspace"),
    ("\u{1b}", "Escape"),
    ("\u{7f}", "Delete"),
    ("\u{a0}", "Space"),
    ("Spacebar", "Space"),
    ("Esc", "Escape"),
    ("Del", "Delete"),
    ("Left", "ArrowLeft"),
    ("Right", "ArrowRight"),
    ("Up", "ArrowUp"),
    ("Down", "ArrowDown"),
    ("Apps", "ContextMenu"),
    ("OS", "MetaLeft"),
];

/// `key` values of modifiers; the side is in another attribute, which logs seldom keep.
const SIDELESS: [(&str, &str); 4] =
    [("Shift", "ShiftLeft"), ("Control", "ControlLeft"), ("Alt", "AltLeft"), ("Meta", "MetaLeft")];

/// Legacy `keyCode` values that are neither a letter, a digit nor a function key, with whether the value
/// leaves the side open.
///
/// # Source
/// W3C, *UI Events*, legacy key attributes, fixed and optionally fixed virtual key codes (from memory); held
/// against a browser in `tests/all/record_page.rs`. 59, 61 and 173 are those of browsers that differ.
#[rustfmt::skip]
const KEY_CODES: [(u32, &str, bool); 39] = [
    (8, "Backspace", false), (9, "Tab", false), (13, "Enter", false), (16, "ShiftLeft", true),
    (17, "ControlLeft", true), (18, "AltLeft", true), (20, "CapsLock", false), (27, "Escape", false),
    (32, "Space", false), (33, "PageUp", false), (34, "PageDown", false), (35, "End", false), (36, "Home", false),
    (37, "ArrowLeft", false), (38, "ArrowUp", false), (39, "ArrowRight", false), (40, "ArrowDown", false),
    (45, "Insert", false), (46, "Delete", false), (59, "Semicolon", false), (61, "Equal", false),
    (91, "MetaLeft", false), (92, "MetaRight", false), (93, "ContextMenu", false), (173, "Minus", false),
    (186, "Semicolon", false), (187, "Equal", false), (188, "Comma", false), (189, "Minus", false),
    (190, "Period", false), (191, "Slash", false), (192, "Backquote", false), (219, "BracketLeft", false),
    (220, "Backslash", false), (221, "BracketRight", false), (222, "Quote", false), (224, "MetaLeft", true),
    (225, "AltRight", false), (226, "IntlBackslash", false),
];

/// The class of a redacted key, and the key that stands for it: the one under the resting finger.
const CLASSES: [(&str, &str); 14] = [
    ("left-little", "KeyA"),
    ("left-ring", "KeyS"),
    ("left-middle", "KeyD"),
    ("left-index", "KeyF"),
    ("left-thumb", "AltLeft"),
    ("right-little", "Semicolon"),
    ("right-ring", "KeyL"),
    ("right-middle", "KeyK"),
    ("right-index", "KeyJ"),
    ("right-thumb", "AltRight"),
    ("thumb", "Space"),
    ("left", "KeyF"),
    ("right", "KeyJ"),
    ("either", "Space"),
];

impl KeyNames {
    /// Every kind of name.
    pub const ALL: [Self; 5] = [Self::Code, Self::Key, Self::Usage, Self::KeyCode, Self::Class];

    /// The name in a layout.
    pub fn name(self) -> &'static str {
        match self {
            Self::Code => "code",
            Self::Key => "key",
            Self::Usage => "usage",
            Self::KeyCode => "keycode",
            Self::Class => "class",
        }
    }

    /// The key of that name, or `None`.
    pub(crate) fn find(self, name: &str) -> Option<Named> {
        let sure = |code: Code| Named { code, side_unknown: false };
        match self {
            Self::Code => name.parse().ok().map(sure),
            Self::Key => key_value(name),
            Self::Usage => usage(name).map(sure),
            Self::KeyCode => key_code(name),
            Self::Class => listed(&CLASSES, name).map(sure),
        }
    }
}

fn listed(table: &[(&str, &str)], name: &str) -> Option<Code> {
    table.iter().find(|(listed, _)| *listed == name).and_then(|(_, code)| code.parse().ok())
}

fn key_value(name: &str) -> Option<Named> {
    let mut characters = name.chars();
    let single = characters.next().filter(|_| characters.next().is_none());
    if let Some((code, _)) = single.and_then(Code::writing) {
        return Some(Named { code, side_unknown: false });
    }
    if let Some(code) = listed(&SIDELESS, name) {
        return Some(Named { code, side_unknown: true });
    }
    // Silent keys without sides have the same `code` and `key` value: Enter, Home, F1.
    let same = || name.parse().ok().filter(|code: &Code| code.dedicated_modifier().is_none() && single.is_none());
    let same = || same().filter(|code| !code.name().starts_with("Key") && !code.name().starts_with("Digit"));
    listed(&KEY_VALUES, name).or_else(same).map(|code| Named { code, side_unknown: false })
}

fn key_code(name: &str) -> Option<Named> {
    let number: u32 = name.parse().ok()?;
    let sure = |code| Some(Named { code, side_unknown: false });
    match number {
        // Digits and letters have the numbers of their ASCII characters, letters those of capitals.
        48..=57 | 65..=90 => {
            Code::writing(char::from_u32(number)?.to_ascii_lowercase()).and_then(|(code, _)| sure(code))
        }
        112..=123 => format!("F{}", number - 111).parse().ok().and_then(sure),
        _ => {
            let (_, name, side_unknown) = KEY_CODES.iter().find(|(listed, ..)| *listed == number)?;
            Some(Named { code: name.parse().ok()?, side_unknown: *side_unknown })
        }
    }
}

fn usage(name: &str) -> Option<Code> {
    let number = match name.strip_prefix("0x").or_else(|| name.strip_prefix("0X")) {
        Some(digits) => u32::from_str_radix(digits, 16).ok()?,
        None => name.parse().ok()?,
    };
    // With the number of the page before it, a usage has 32 bits.
    let id = match number >> 16 {
        0 | 7 => number & 0xffff,
        _ => return None,
    };
    if let 0x04..0x28 = id {
        return WRITING_USAGES.chars().nth(id as usize - 0x04).and_then(Code::writing).map(|(code, _)| code);
    }
    let near = id.checked_sub(0x28).and_then(|place| NEAR_USAGES.get(place as usize)).copied();
    near.or_else(|| FAR_USAGES.iter().find(|(far, _)| *far == id).map(|(_, name)| *name))?.parse().ok()
}

/// The class of a hand and finger, as [`KeyNames::Class`] reads it.
pub(crate) fn class_name(hand: Hand, finger: Finger) -> &'static str {
    const FINGERS: [[&str; 5]; 2] = [
        ["left-little", "left-ring", "left-middle", "left-index", "left-thumb"],
        ["right-little", "right-ring", "right-middle", "right-index", "right-thumb"],
    ];
    match hand {
        Hand::Left => FINGERS[0][finger as usize],
        Hand::Right => FINGERS[1][finger as usize],
        Hand::Either => "thumb",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::Board;

    fn find(names: KeyNames, name: &str) -> Option<&'static str> {
        names.find(name).map(|named| named.code.name())
    }

    #[test]
    fn every_table_entry_is_a_key_known_here() {
        for name in NEAR_USAGES.iter().chain(FAR_USAGES.iter().map(|(_, name)| name)) {
            assert!(name.parse::<Code>().is_ok(), "{name}");
        }
        for (_, name) in KEY_VALUES.iter().chain(&SIDELESS).chain(&CLASSES) {
            assert!(name.parse::<Code>().is_ok(), "{name}");
        }
        let covered: std::collections::BTreeSet<Code> =
            (0..=0xe7_u32).filter_map(|id| usage(&id.to_string())).collect();
        assert_eq!(covered.len(), Code::COUNT, "every key has a usage id");
    }

    #[test]
    fn usage_ids_of_the_published_table() {
        // HID Usage Tables 1.12, table 12.
        let rows = [(0x04, "KeyA"), (0x1d, "KeyZ"), (0x1e, "Digit1"), (0x27, "Digit0"), (0x28, "Enter")];
        for (id, name) in rows.into_iter().chain([(0x2c, "Space"), (0x38, "Slash"), (0x39, "CapsLock"), (0x45, "F12")])
        {
            assert_eq!(find(KeyNames::Usage, &format!("{id}")), Some(name));
            assert_eq!(find(KeyNames::Usage, &format!("{id:#04x}")), Some(name));
            assert_eq!(find(KeyNames::Usage, &format!("{:#x}", 0x70000 + id)), Some(name));
        }
        for none in ["3", "0", "0x46", "0xffff", "99999999999", "-4", "0x", "KeyA", "0x80004"] {
            assert_eq!(find(KeyNames::Usage, none), None, "{none}");
        }
    }

    #[test]
    fn legacy_key_codes() {
        for (number, name) in [("65", "KeyA"), ("48", "Digit0"), ("112", "F1"), ("123", "F12"), ("222", "Quote")] {
            assert_eq!(find(KeyNames::KeyCode, number), Some(name));
        }
        assert!(KeyNames::KeyCode.find("16").unwrap().side_unknown);
        for none in ["0", "229", "97", "-8", "8.0", "", "KeyA", "4294967296"] {
            assert_eq!(find(KeyNames::KeyCode, none), None, "{none}");
        }
        for (number, name, _) in KEY_CODES {
            assert!(name.parse::<Code>().is_ok() && !(48..=57).contains(&number), "{name}");
        }
    }

    #[test]
    fn key_values_follow_the_us_layout() {
        for (name, code) in [
            ("a", "KeyA"),
            ("A", "KeyA"),
            ("!", "Digit1"),
            (" ", "Space"),
            ("Enter", "Enter"),
            ("AltGraph", "AltRight"),
            ("F5", "F5"),
            ("ArrowUp", "ArrowUp"),
            ("\n", "Enter"),
        ] {
            assert_eq!(find(KeyNames::Key, name), Some(code), "{name:?}");
        }
        for none in ["KeyA", "Digit1", "ShiftLeft", "é", "Dead", "", "ab"] {
            assert_eq!(find(KeyNames::Key, none), None, "{none}");
        }
        let shift = KeyNames::Key.find("Shift").unwrap();
        assert!(shift.side_unknown && shift.code == Code::SHIFT_LEFT);
    }

    #[test]
    fn a_class_is_read_back_as_a_key_of_that_class() {
        for board in Board::NAMES.map(|name| Board::by_name(name).unwrap()) {
            for code in Code::all() {
                let Some(place) = board.place(code) else { continue };
                let class = class_name(place.hand, place.finger);
                assert!(KeyNames::Class.find(class).is_some(), "{class}");
            }
        }
        assert_eq!(find(KeyNames::Class, "left-index"), Some("KeyF"));
    }
}

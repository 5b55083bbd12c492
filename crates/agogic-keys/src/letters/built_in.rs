//! The layouts that come with the program.

use super::{Letters, LettersDraft, Level};
use crate::Code;

use Level::{First, Second, Third};

/// The characters of the table of codes.
pub(super) fn us() -> Letters {
    let mut given = [[None; Code::COUNT]; 3];
    for code in Code::all() {
        given[First as usize][code.index()] = code.character(false);
        given[Second as usize][code.index()] = code.character(true);
    }
    let source = "ANSI INCITS 154 (from memory), by W3C codes as in UI Events KeyboardEvent code Values";
    Letters::of(Letters::NAMES[0].to_owned(), source.to_owned(), given)
}

/// Keys of the digits and of the row above the resting fingers, in the order of the columns, and so on down.
const DIGITS: [&str; 10] =
    ["Digit1", "Digit2", "Digit3", "Digit4", "Digit5", "Digit6", "Digit7", "Digit8", "Digit9", "Digit0"];

/// The letters of both layouts below: Y and Z have changed places.
const LETTERS: [(&str, char); 26] = [
    ("KeyA", 'a'),
    ("KeyB", 'b'),
    ("KeyC", 'c'),
    ("KeyD", 'd'),
    ("KeyE", 'e'),
    ("KeyF", 'f'),
    ("KeyG", 'g'),
    ("KeyH", 'h'),
    ("KeyI", 'i'),
    ("KeyJ", 'j'),
    ("KeyK", 'k'),
    ("KeyL", 'l'),
    ("KeyM", 'm'),
    ("KeyN", 'n'),
    ("KeyO", 'o'),
    ("KeyP", 'p'),
    ("KeyQ", 'q'),
    ("KeyR", 'r'),
    ("KeyS", 's'),
    ("KeyT", 't'),
    ("KeyU", 'u'),
    ("KeyV", 'v'),
    ("KeyW", 'w'),
    ("KeyX", 'x'),
    ("KeyY", 'z'),
    ("KeyZ", 'y'),
];

fn draft(name: &str, source: &str, shifted_digits: &str) -> LettersDraft {
    let mut draft = LettersDraft::new(name, source);
    let put = |draft: &mut LettersDraft, level, code: &str, c| draft.put(level, code.parse().expect("a code"), Some(c));
    for (code, c) in LETTERS {
        put(&mut draft, First, code, c);
    }
    for ((code, plain), shifted) in DIGITS.into_iter().zip("1234567890".chars()).zip(shifted_digits.chars()) {
        put(&mut draft, First, code, plain);
        put(&mut draft, Second, code, shifted);
    }
    draft
}

fn built(mut draft: LettersDraft, rest: &[(&str, Level, char)]) -> Letters {
    for (code, level, c) in rest {
        draft.put(*level, code.parse().expect("a code"), Some(*c));
    }
    draft.build().expect("a layout of the program has no mistake")
}

/// Germany and Austria.
///
/// # Source
/// DIN 2137-1:2012-06, layout T1 (from memory). Seen in accounts of it: Y and Z changed, the keys of ä, ö, ü and ß, the
/// characters of the third level, and that `^`, `´` and the grave accent are dead keys. Its characters beyond the third level
/// are left out.
pub(super) fn german() -> Letters {
    let draft = draft("german", "DIN 2137-1:2012-06, layout T1 (from memory)", "!\"§$%&/()=");
    let rest = [
        ("Backquote", First, '\u{302}'),
        ("Backquote", Second, '°'),
        ("Minus", First, 'ß'),
        ("Minus", Second, '?'),
        ("Minus", Third, '\\'),
        ("Equal", First, '\u{301}'),
        ("Equal", Second, '\u{300}'),
        ("BracketLeft", First, 'ü'),
        ("BracketRight", First, '+'),
        ("BracketRight", Second, '*'),
        ("BracketRight", Third, '~'),
        ("Semicolon", First, 'ö'),
        ("Quote", First, 'ä'),
        ("Backslash", First, '#'),
        ("Backslash", Second, '\''),
        ("IntlBackslash", First, '<'),
        ("IntlBackslash", Second, '>'),
        ("IntlBackslash", Third, '|'),
        ("Comma", First, ','),
        ("Comma", Second, ';'),
        ("Period", First, '.'),
        ("Period", Second, ':'),
        ("Slash", First, '-'),
        ("Slash", Second, '_'),
        ("Digit2", Third, '²'),
        ("Digit3", Third, '³'),
        ("Digit7", Third, '{'),
        ("Digit8", Third, '['),
        ("Digit9", Third, ']'),
        ("Digit0", Third, '}'),
        ("KeyQ", Third, '@'),
        ("KeyE", Third, '€'),
        ("KeyM", Third, 'µ'),
    ];
    built(draft, &rest)
}

/// The French of Switzerland: the umlauts lie under Shift on the keys of è, é and à.
///
/// # Source
/// SN 074021 (from memory). Seen in an account of it: that the keys of ü, ö and ä give è, é and à, the one or the other by
/// the language.
pub(super) fn swiss_french() -> Letters {
    let draft = draft("swiss-french", "SN 074021 (from memory)", "+\"*ç%&/()=");
    let rest = [
        ("Backquote", First, '§'),
        ("Backquote", Second, '°'),
        ("Minus", First, '\''),
        ("Minus", Second, '?'),
        ("Minus", Third, '\u{301}'),
        ("Equal", First, '\u{302}'),
        ("Equal", Second, '\u{300}'),
        ("Equal", Third, '\u{303}'),
        ("BracketLeft", First, 'è'),
        ("BracketLeft", Second, 'ü'),
        ("BracketLeft", Third, '['),
        ("BracketRight", First, '\u{308}'),
        ("BracketRight", Second, '!'),
        ("BracketRight", Third, ']'),
        ("Semicolon", First, 'é'),
        ("Semicolon", Second, 'ö'),
        ("Quote", First, 'à'),
        ("Quote", Second, 'ä'),
        ("Quote", Third, '{'),
        ("Backslash", First, '$'),
        ("Backslash", Second, '£'),
        ("Backslash", Third, '}'),
        ("IntlBackslash", First, '<'),
        ("IntlBackslash", Second, '>'),
        ("IntlBackslash", Third, '\\'),
        ("Comma", First, ','),
        ("Comma", Second, ';'),
        ("Period", First, '.'),
        ("Period", Second, ':'),
        ("Slash", First, '-'),
        ("Slash", Second, '_'),
        ("Digit1", Third, '¦'),
        ("Digit2", Third, '@'),
        ("Digit3", Third, '#'),
        ("Digit6", Third, '¬'),
        ("Digit7", Third, '|'),
        ("Digit8", Third, '¢'),
        ("KeyE", Third, '€'),
    ];
    built(draft, &rest)
}

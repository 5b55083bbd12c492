//! A layout of letters before it is known to be sound.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use super::{Letters, Level};
use crate::Code;

/// What is wrong with a layout of letters, at one key of one level.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct LettersMistake {
    /// The level.
    pub level: Level,
    /// The key.
    pub code: Code,
    /// What is wrong, and what would do.
    pub message: String,
}

/// What keys give, key by key, until it is built.
#[derive(Clone, Debug)]
pub struct LettersDraft {
    name: String,
    source: String,
    /// `None`: nothing was said. `Some(None)`: the key gives nothing on this level.
    said: [[Option<Option<char>>; Code::COUNT]; 3],
    /// What holds where nothing was said.
    like: Option<Letters>,
}

/// Keys that give what they always give.
const ALWAYS: [&str; 3] = ["Space", "Enter", "Tab"];

impl LettersDraft {
    /// A layout in which no key gives anything, but for Space, Enter and Tab.
    pub fn new(name: &str, source: &str) -> Self {
        Self { name: name.to_owned(), source: source.to_owned(), said: [[None; Code::COUNT]; 3], like: None }
    }

    /// A layout in which every key gives what it gives in `like`, until it is said otherwise.
    pub fn like(name: &str, source: &str, like: &Letters) -> Self {
        Self { like: Some(like.clone()), ..Self::new(name, source) }
    }

    /// What a text in a file says that a key gives: one character, composed or not (Unicode form C), a combining mark for a dead
    /// key, or nothing where it is empty.
    ///
    /// # Errors
    /// Several characters; in words, with what would do.
    pub fn character_of(text: &str) -> Result<Option<char>, String> {
        let mut characters = text.nfc();
        match (characters.next(), characters.next()) {
            (given, None) => Ok(given),
            _ => Err(format!(
                "must be one character, not {}; a dead key is written as its combining mark, such as \"\\u0302\" for the \
                 circumflex, and \"\" for a key that gives nothing",
                text.nfc().count()
            )),
        }
    }

    /// States what a key gives on a level: a character, a combining mark for a dead key, or nothing.
    pub fn put(&mut self, level: Level, code: Code, given: Option<char>) {
        self.said[level as usize][code.index()] = Some(given);
    }

    /// The layout.
    ///
    /// # Definition
    /// First counts what was said. Where nothing was said of the second level of a key whose first was said to give a letter,
    /// that is the capital, if it is one character (`ß` has none) and no other key was said to give it. Last, keys of whose
    /// level nothing was said give what they give in the layout this one is like, unless another key gives it now.
    ///
    /// # Errors
    /// Every mistake in what was said: a modifier, Space, Enter or another key that edits or moves; a control character or
    /// white space; two keys that give the same character on one level, so that nobody can tell which of them is pressed.
    pub fn build(&self) -> Result<Letters, Vec<LettersMistake>> {
        let mut mistakes = Vec::new();
        let mut given = [[None; Code::COUNT]; 3];
        let said = |level: Level, code: Code| self.said[level as usize][code.index()];
        for level in Level::ALL {
            let given = &mut given[level as usize];
            for code in Code::all() {
                let Some(c) = said(level, code).flatten() else { continue };
                match wrong(given, code, c) {
                    Some(message) => mistakes.push(LettersMistake { level, code, message }),
                    None => given[code.index()] = Some(c),
                }
            }
        }
        let [first, second, _] = &mut given;
        for code in Code::all().filter(|code| said(Level::Second, *code).is_none()) {
            if let Some(capital) = first[code.index()].and_then(capital)
                && !second.contains(&Some(capital))
            {
                second[code.index()] = Some(capital);
            }
        }
        for level in Level::ALL {
            // What was said of the first level goes for the second too: no key keeps the capital of another letter.
            let free = |code: &Code| {
                said(level, *code).is_none() && (level != Level::Second || said(Level::First, *code).is_none())
            };
            let taken = given[level as usize];
            for code in Code::all().filter(free) {
                let inherited = self.like.as_ref().and_then(|like| like.given(code, level));
                given[level as usize][code.index()] = inherited.filter(|c| !taken.contains(&Some(*c)));
            }
        }
        for code in Code::all().filter(|code| ALWAYS.contains(&code.name())) {
            given[Level::First as usize][code.index()] = code.character(false);
            given[Level::Second as usize][code.index()] = code.character(true);
            given[Level::Third as usize][code.index()] = None;
        }
        if mistakes.is_empty() { Ok(Letters::of(self.name.clone(), self.source.clone(), given)) } else { Err(mistakes) }
    }
}

/// Why a key cannot give a character on a level of which this much is known; `None` where it can.
fn wrong(given: &[Option<char>; Code::COUNT], code: Code, c: char) -> Option<String> {
    if ALWAYS.contains(&code.name()) {
        return Some(format!("{code} gives what it always gives; leave it out"));
    }
    if !can_write(code) {
        return Some(format!("{code} is no key of a letter, digit or sign; leave it out"));
    }
    if c.is_control() || c.is_whitespace() {
        let point = c as u32;
        return Some(format!("U+{point:04X} is no character that can be seen; only Space, Enter and Tab give such"));
    }
    let first = Code::all().find(|other| given[other.index()] == Some(c))?;
    let what = if is_combining_mark(c) { "this dead key" } else { "this character" };
    Some(format!("{first} gives {what} on the same level; keep one of them"))
}

/// Whether a key is one of those that write on some national keyboard: those of the US table and the one beside the left Shift.
fn can_write(code: Code) -> bool {
    code.character(false).is_some() || code == Code::BESIDE_SHIFT
}

/// The capital of a letter, if it is one other character.
fn capital(c: char) -> Option<char> {
    let mut upper = c.to_uppercase();
    match (upper.next(), upper.next()) {
        (Some(one), None) if one != c => Some(one),
        _ => None,
    }
}

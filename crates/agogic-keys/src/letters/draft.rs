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
    given: [[Option<Option<char>>; Code::COUNT]; 3],
}

/// Keys that give what they always give.
const ALWAYS: [&str; 3] = ["Space", "Enter", "Tab"];

impl LettersDraft {
    /// A layout in which no key gives anything, but for Space, Enter and Tab.
    pub fn new(name: &str, source: &str) -> Self {
        Self { name: name.to_owned(), source: source.to_owned(), given: [[None; Code::COUNT]; 3] }
    }

    /// A layout in which every key gives what it gives in `like`, until it is said otherwise.
    pub fn like(name: &str, source: &str, like: &Letters) -> Self {
        let mut draft = Self::new(name, source);
        for level in Level::ALL {
            for code in Code::all().filter(|code| !ALWAYS.contains(&code.name())) {
                draft.given[level as usize][code.index()] = like.given(code, level).map(Some);
            }
        }
        draft
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

    /// States what a key gives on a level: a character, a combining mark for a dead key, or nothing. A key whose first level
    /// is stated forgets what was said of its second before.
    pub fn put(&mut self, level: Level, code: Code, given: Option<char>) {
        self.given[level as usize][code.index()] = Some(given);
        if level == Level::First {
            self.given[Level::Second as usize][code.index()] = None;
        }
    }

    /// The layout.
    ///
    /// # Definition
    /// Where nothing was said of the second level of a key with a letter, it is the capital, if that is one character: `ß` has
    /// none.
    ///
    /// # Errors
    /// Every mistake: a modifier, Space, Enter or another key that edits or moves; a control character or white space; two
    /// keys that give the same character on one level, so that nobody can tell which of them is pressed; no character at all.
    pub fn build(&self) -> Result<Letters, Vec<LettersMistake>> {
        let mut mistakes = Vec::new();
        let mut given = [[None; Code::COUNT]; 3];
        for level in Level::ALL {
            for code in Code::all() {
                let said = self.given[level as usize][code.index()];
                let mut refuse = |message: String| mistakes.push(LettersMistake { level, code, message });
                let Some(c) = said.flatten() else { continue };
                if ALWAYS.contains(&code.name()) {
                    refuse(format!("{code} gives what it always gives; leave it out"));
                } else if !can_write(code) {
                    refuse(format!("{code} is no key of a letter, digit or sign; leave it out"));
                } else if c.is_control() || c.is_whitespace() {
                    refuse(format!(
                        "U+{:04X} is no character that can be seen; only Space, Enter and Tab give such",
                        c as u32
                    ));
                } else if let Some(first) = Code::all()
                    .take_while(|other| *other != code)
                    .find(|other| given[level as usize][other.index()] == Some(c))
                {
                    let what = if is_combining_mark(c) { "this dead key" } else { "this character" };
                    refuse(format!("{first} gives {what} on the same level; keep one of them"));
                } else {
                    given[level as usize][code.index()] = Some(c);
                }
            }
        }
        for code in Code::all() {
            let at = code.index();
            if self.given[Level::Second as usize][at].is_none() {
                given[Level::Second as usize][at] = given[Level::First as usize][at].and_then(capital);
            }
            if ALWAYS.contains(&code.name()) {
                given[Level::First as usize][at] = code.character(false);
                given[Level::Second as usize][at] = code.character(true);
            }
        }
        let letters = Letters::of(self.name.clone(), self.source.clone(), given);
        if mistakes.is_empty() { Ok(letters) } else { Err(mistakes) }
    }
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

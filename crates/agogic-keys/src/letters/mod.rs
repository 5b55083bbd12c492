//! Layouts of letters: which character a key gives on each level.

mod built_in;
mod draft;

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use unicode_normalization::char::{compose, is_combining_mark};

use crate::Code;

pub use draft::{LettersDraft, LettersMistake};

/// A level of a key.
///
/// # Source
/// ISO/IEC 9995-1: the first level is that of a key alone, the second that under Shift, the third that under a key of its own,
/// mostly the right Alt key (from memory; an account of the standard was seen).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(usize)]
pub enum Level {
    /// The key alone.
    First = 0,
    /// Under Shift.
    Second = 1,
    /// Under the key for the third level.
    Third = 2,
}

impl Level {
    /// All of them, in the order in which a character is looked for.
    pub const ALL: [Self; 3] = [Self::First, Self::Second, Self::Third];

    /// Its name in files.
    pub fn name(self) -> &'static str {
        ["level_1", "level_2", "level_3"][self as usize]
    }
}

/// A key on a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stroke {
    /// The key.
    pub code: Code,
    /// The level.
    pub level: Level,
}

/// What a layout holds.
#[derive(Debug)]
struct Table {
    name: String,
    source: String,
    /// By level, then by key.
    given: [[Option<char>; Code::COUNT]; 3],
    /// How each character is typed: one stroke, or a dead key and another.
    strokes: BTreeMap<char, Vec<Stroke>>,
}

/// A layout of letters: which character each key gives on each of three levels. Cheap to clone.
///
/// # Definition
/// A combining mark (Unicode, such as U+0302) stands for a dead key: it gives nothing until the next key, and then the
/// character that the two make by canonical composition. With the space bar it gives the mark that stands alone, such as `^`.
/// A character that several keys give is typed on the lowest level, there by one stroke before two. Space, Enter and Tab
/// give what they always give.
///
/// # Source
/// ISO/IEC 9995-1 (levels) and ISO/IEC 9995-11 (dead keys as combining characters, and with the space bar), from memory;
/// composition: Unicode Standard Annex 15.
#[derive(Clone)]
pub struct Letters(Arc<Table>);

impl Letters {
    /// The names that [`Letters::by_name`] knows.
    pub const NAMES: [&'static str; 3] = ["us", "german", "swiss-french"];

    /// The layout of the United States: the characters of [`Code::character`].
    pub fn us() -> Self {
        built_in::us()
    }

    /// The layout of that name, if there is one.
    pub fn by_name(name: &str) -> Option<Self> {
        match name {
            "us" => Some(built_in::us()),
            "german" => Some(built_in::german()),
            "swiss-french" => Some(built_in::swiss_french()),
            _ => None,
        }
    }

    /// A table with every way to type a character.
    fn of(name: String, source: String, given: [[Option<char>; Code::COUNT]; 3]) -> Self {
        let mut strokes: BTreeMap<char, Vec<Stroke>> = BTreeMap::new();
        let each = |level: Level| {
            let keys = Code::all().map(move |code| Stroke { code, level });
            let given = &given;
            keys.filter_map(move |stroke| given[level as usize][stroke.code.index()].map(|c| (c, stroke)))
        };
        for (c, stroke) in Level::ALL.into_iter().flat_map(each).filter(|(c, _)| !is_combining_mark(*c)) {
            strokes.entry(c).or_insert_with(|| vec![stroke]);
        }
        // Two strokes only where one does not do.
        let single: Vec<(char, Stroke)> = strokes.iter().map(|(c, own)| (*c, own[0])).collect();
        for (mark, dead) in Level::ALL.into_iter().flat_map(each).filter(|(c, _)| is_combining_mark(*c)) {
            for (base, stroke) in &single {
                let made = if *base == ' ' { standing_alone(mark) } else { compose(*base, mark) };
                if let Some(made) = made {
                    strokes.entry(made).or_insert_with(|| vec![dead, *stroke]);
                }
            }
        }
        Self(Arc::new(Table { name, source, given, strokes }))
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.0.name
    }

    /// Where it comes from, in words; empty where nobody said.
    pub fn source(&self) -> &str {
        &self.0.source
    }

    /// Whether it is the layout of the United States, by its name.
    pub fn is_us(&self) -> bool {
        self.name() == Self::NAMES[0]
    }

    /// What a key gives on a level: a character, a combining mark for a dead key, or nothing.
    pub fn given(&self, code: Code, level: Level) -> Option<char> {
        self.0.given[level as usize][code.index()]
    }

    /// The small letter that a key gives alone; `None` for another character, a dead key or nothing.
    pub fn letter(&self, code: Code) -> Option<char> {
        self.given(code, Level::First).filter(|c| c.is_lowercase() && c.is_alphabetic())
    }

    /// Whether a key gives something on some level.
    pub fn writes(&self, code: Code) -> bool {
        Level::ALL.into_iter().any(|level| self.given(code, level).is_some())
    }

    /// Whether a key gives something on the third level, so that the right Alt key leads there.
    pub fn has_third_level(&self) -> bool {
        self.0.given[Level::Third as usize].iter().any(Option::is_some)
    }

    /// How a character is typed: one stroke, or two, a dead key and another. `None` where no key gives it.
    pub fn strokes(&self, c: char) -> Option<&[Stroke]> {
        self.0.strokes.get(&c).map(Vec::as_slice)
    }

    /// Every character that can be typed, with how.
    pub fn all(&self) -> impl Iterator<Item = (char, &[Stroke])> {
        self.0.strokes.iter().map(|(c, strokes)| (*c, strokes.as_slice()))
    }

    /// The text that strokes write, dead keys composed with the stroke after them.
    ///
    /// # Definition
    /// A dead key and a stroke that do not compose give the mark that stands alone and the character, as ISO/IEC 9995-11 has
    /// it for a failed combination (from memory). A dead key at the end gives the mark that stands alone.
    pub fn spell(&self, strokes: impl IntoIterator<Item = Stroke>) -> String {
        let mut text = String::new();
        let mut dead: Option<char> = None;
        let alone = |mark| standing_alone(mark).unwrap_or(mark);
        for c in strokes.into_iter().filter_map(|stroke| self.given(stroke.code, stroke.level)) {
            match (dead.take(), is_combining_mark(c)) {
                (None, true) => dead = Some(c),
                (None, false) => text.push(c),
                (Some(mark), true) => {
                    text.push(alone(mark));
                    dead = Some(c);
                }
                (Some(mark), false) if c == ' ' => text.push(alone(mark)),
                (Some(mark), false) => match compose(c, mark) {
                    Some(made) => text.push(made),
                    None => text.extend([alone(mark), c]),
                },
            }
        }
        text.extend(dead.map(alone));
        text
    }
}

impl fmt::Debug for Letters {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Letters({})", self.name())
    }
}

/// Two layouts are the same if every key gives the same; names do not count.
impl PartialEq for Letters {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self.0.given == other.0.given
    }
}

/// The character of a combining mark that stands alone.
///
/// # Source
/// Unicode: the compatibility decompositions of U+00A8, U+00AF, U+00B4 and U+00B8, and for the others the character that the
/// list of names gives as the spacing form (from memory).
fn standing_alone(mark: char) -> Option<char> {
    Some(match mark {
        '\u{0300}' => '`',
        '\u{0301}' => '\u{B4}',
        '\u{0302}' => '^',
        '\u{0303}' => '~',
        '\u{0304}' => '\u{AF}',
        '\u{0306}' => '\u{2D8}',
        '\u{0307}' => '\u{2D9}',
        '\u{0308}' => '\u{A8}',
        '\u{030A}' => '\u{2DA}',
        '\u{030B}' => '\u{2DD}',
        '\u{030C}' => '\u{2C7}',
        '\u{0327}' => '\u{B8}',
        '\u{0328}' => '\u{2DB}',
        _ => return None,
    })
}

#[cfg(test)]
mod tests;

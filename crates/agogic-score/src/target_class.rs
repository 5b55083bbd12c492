//! Kinds of keys, for shortcuts that went astray.

use agogic_keys::{Code, Modifier};
use serde::{Deserialize, Serialize};

use crate::kinds::{Kinds, Outcome};

/// What a key is for. A stray shortcut on a letter runs a command; on an arrow it moves or selects.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[repr(u8)]
pub enum TargetClass {
    /// Writes a letter.
    Letter = 0,
    /// Writes a digit.
    Digit = 1,
    /// Writes another sign.
    Sign = 2,
    /// The space bar.
    Space = 3,
    /// Enter, Tab, Backspace, Delete, Insert.
    Editing = 4,
    /// Arrows, Home, End and page keys.
    Movement = 5,
    /// F1 to F12.
    Function = 6,
    /// Everything else: Escape, locks, menus.
    Other = 7,
}

impl TargetClass {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Letter,
        Self::Digit,
        Self::Sign,
        Self::Space,
        Self::Editing,
        Self::Movement,
        Self::Function,
        Self::Other,
    ];

    /// The class of a key, by what it gives on the US layout whatever letters lie on it.
    pub fn of(code: Code) -> Self {
        let name = code.name();
        match code.character(false) {
            Some(' ') => Self::Space,
            Some('\n' | '\t') => Self::Editing,
            Some(c) if c.is_ascii_lowercase() => Self::Letter,
            Some(c) if c.is_ascii_digit() => Self::Digit,
            Some(_) => Self::Sign,
            None if matches!(name, "Backspace" | "Delete" | "Insert") => Self::Editing,
            None if name.starts_with("Arrow") || name.starts_with("Page") || matches!(name, "Home" | "End") => {
                Self::Movement
            }
            None if name.strip_prefix('F').is_some_and(|number| number.parse::<u8>().is_ok()) => Self::Function,
            None => Self::Other,
        }
    }
}

/// How often an outcome came with a modifier and a class of keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClassRow {
    /// What went wrong.
    pub outcome: Outcome,
    /// The modifier.
    pub modifier: Modifier,
    /// The class of the key.
    pub class: TargetClass,
    /// How often.
    pub count: u64,
}

impl Kinds {
    /// Counts by modifier and class of key: what was counted at least once, in order of outcome, modifier
    /// and class.
    pub fn by_class(&self) -> Vec<ClassRow> {
        let mut cells = [[[0; TargetClass::ALL.len()]; Modifier::ALL.len()]; Outcome::ALL.len()];
        for row in self.rows() {
            cells[row.outcome as usize][row.modifier as usize][TargetClass::of(row.key) as usize] += row.count;
        }
        let mut rows = Vec::new();
        for outcome in Outcome::ALL {
            for modifier in Modifier::ALL {
                for class in TargetClass::ALL {
                    let count = cells[outcome as usize][modifier as usize][class as usize];
                    if count > 0 {
                        rows.push(ClassRow { outcome, modifier, class, count });
                    }
                }
            }
        }
        rows
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kinds::KindRow;

    #[test]
    fn every_key_has_its_class() {
        let of = |name: &str| TargetClass::of(name.parse().unwrap());
        let names = ["KeyQ", "Digit7", "Slash", "Space", "Tab", "ArrowUp", "F11", "Escape", "ShiftLeft", "Insert"];
        use TargetClass::{Digit, Editing, Function, Letter, Movement, Other, Sign, Space};
        let expected = [Letter, Digit, Sign, Space, Editing, Movement, Function, Other, Other, Editing];
        assert_eq!(names.map(of), expected);
        let count = |class| Code::all().filter(|code| TargetClass::of(*code) == class).count();
        assert_eq!((count(Letter), count(Digit), count(Function), count(Movement)), (26, 10, 12, 8));
    }

    #[test]
    fn classes_sum_up_their_keys() {
        let row = |key: &str, count| KindRow {
            outcome: Outcome::StrayChord,
            modifier: Modifier::Control,
            key: key.parse().unwrap(),
            count,
        };
        let kinds = Kinds::try_from(vec![row("KeyW", 2), row("KeyE", 3), row("Enter", 1)]).unwrap();
        let seen: Vec<_> = kinds.by_class().into_iter().map(|row| (row.class, row.count)).collect();
        assert_eq!(seen, [(TargetClass::Letter, 5), (TargetClass::Editing, 1)]);
    }
}

//! Which shortcuts went astray and which got lost: wrong outcomes by kind, modifier and key.

use std::ops::AddAssign;

use agogic_keys::{Code, Modifier, ModifierSet, Press, Truth};
use agogic_policy::Decision;
use serde::{Deserialize, Serialize};

use crate::emulator::{Decided, Emulator, HostKey};

/// What can go wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[repr(u8)]
pub enum Outcome {
    /// A dual-role key was meant as a tap and acted as its modifier. The key is the dual-role key.
    FalseHold = 0,
    /// A dual-role key was meant as a hold and wrote its letter. The key is the dual-role key.
    MissedHold = 1,
    /// A key reached the host with a modifier nobody meant.
    StrayChord = 2,
    /// A key reached the host without a modifier that was meant.
    LostChord = 3,
}

impl Outcome {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::FalseHold, Self::MissedHold, Self::StrayChord, Self::LostChord];

    /// The name in files.
    pub fn name(self) -> &'static str {
        ["false-hold", "missed-hold", "stray-chord", "lost-chord"][self as usize]
    }
}

/// A number for every outcome, modifier and key.
type Cells = [[[u64; Code::COUNT]; Modifier::ALL.len()]; Outcome::ALL.len()];

/// One kind of wrong outcome, and how often it came.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KindRow {
    /// What went wrong.
    pub outcome: Outcome,
    /// The modifier.
    pub modifier: Modifier,
    /// The key.
    pub key: Code,
    /// How often.
    pub count: u64,
}

/// Wrong outcomes by modifier and key. Of fixed size; tables of several sessions add up.
///
/// # Definition
/// A chord with two unmeant modifiers counts once under each, so that whatever is worked out per modifier
/// and key adds up. The letter of a missed hold was never meant, with or without modifiers: when it reaches
/// the host in a chord, that is a stray chord too. So the stray chords here are at least those of
/// [`Counts`](crate::Counts), which leaves that letter to the missed hold.
///
/// In files a table is the list of its [`rows`](Self::rows).
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Vec<KindRow>", into = "Vec<KindRow>")]
pub struct Kinds {
    cells: Box<Cells>,
    /// One bit for each outcome and modifier: something was counted there. Most never are, and need no look.
    used: u32,
}

/// The bit of an outcome and a modifier.
#[inline]
fn bit(outcome: usize, modifier: usize) -> u32 {
    1 << (outcome * Modifier::ALL.len() + modifier)
}

impl Default for Kinds {
    fn default() -> Self {
        Self { cells: Box::new([[[0; Code::COUNT]; Modifier::ALL.len()]; Outcome::ALL.len()]), used: 0 }
    }
}

impl Kinds {
    /// A table without any count.
    pub fn new() -> Self {
        Self::default()
    }

    /// The table of one session: `presses` and `truths` of equal length, one decision per dual-role press.
    pub fn of(emulator: &Emulator, presses: &[Press], truths: &[Truth], decided: &[Decided]) -> Self {
        let mut kinds = Self::new();
        for Decided { press, decision } in decided {
            let code = presses[*press].code;
            let modifier = emulator.held_role(code).expect("only dual-role presses are decided");
            kinds.decision(modifier, code, truths[*press], *decision);
        }
        emulator.each(presses, decided, |key| kinds.arrival(key, truths[key.press]));
        kinds
    }

    /// How often `outcome` came with this modifier and key.
    pub fn count(&self, outcome: Outcome, modifier: Modifier, key: Code) -> u64 {
        self.cells[outcome as usize][modifier as usize][key.index()]
    }

    /// How often `outcome` came. A chord counts once for each of its wrong modifiers.
    pub fn total(&self, outcome: Outcome) -> u64 {
        self.cells[outcome as usize].iter().flatten().sum()
    }

    /// What was counted at least once, in order of outcome, modifier and key.
    pub fn rows(&self) -> impl Iterator<Item = KindRow> + '_ {
        Outcome::ALL.into_iter().flat_map(move |outcome| {
            let used = Modifier::ALL.into_iter().filter(move |m| self.used & bit(outcome as usize, *m as usize) != 0);
            used.flat_map(move |modifier| {
                Code::all().filter_map(move |key| {
                    let count = self.count(outcome, modifier, key);
                    (count > 0).then_some(KindRow { outcome, modifier, key, count })
                })
            })
        })
    }

    /// Sets every count to zero and keeps the memory.
    pub(crate) fn clear(&mut self) {
        let used = std::mem::take(&mut self.used);
        for (outcome, modifiers) in self.cells.iter_mut().enumerate() {
            for (modifier, cells) in modifiers.iter_mut().enumerate() {
                if used & bit(outcome, modifier) != 0 {
                    cells.fill(0);
                }
            }
        }
    }

    /// Counts what a decision got wrong.
    #[inline]
    pub(crate) fn decision(&mut self, modifier: Modifier, code: Code, truth: Truth, decision: Decision) {
        match (truth.hold, decision.is_hold()) {
            (false, true) => self.add(Outcome::FalseHold, modifier, code, 1),
            (true, false) => self.add(Outcome::MissedHold, modifier, code, 1),
            _ => {}
        }
    }

    /// Counts what is wrong with a key as it reaches the host.
    #[inline]
    pub(crate) fn arrival(&mut self, key: &HostKey, truth: Truth) {
        let meant = if truth.hold { ModifierSet::NONE } else { truth.with };
        if key.with == meant {
            return;
        }
        for modifier in Modifier::ALL {
            match (key.with.has(modifier), meant.has(modifier)) {
                (true, false) => self.add(Outcome::StrayChord, modifier, key.code, 1),
                (false, true) => self.add(Outcome::LostChord, modifier, key.code, 1),
                _ => {}
            }
        }
    }

    fn add(&mut self, outcome: Outcome, modifier: Modifier, key: Code, count: u64) {
        if count > 0 {
            self.cells[outcome as usize][modifier as usize][key.index()] += count;
            self.used |= bit(outcome as usize, modifier as usize);
        }
    }
}

impl AddAssign<&Self> for Kinds {
    fn add_assign(&mut self, other: &Self) {
        self.used |= other.used;
        for (outcome, (modifiers, others)) in self.cells.iter_mut().zip(&*other.cells).enumerate() {
            for (modifier, (cells, more)) in modifiers.iter_mut().zip(others).enumerate() {
                if other.used & bit(outcome, modifier) != 0 {
                    cells.iter_mut().zip(more).for_each(|(cell, more)| *cell += more);
                }
            }
        }
    }
}

impl TryFrom<Vec<KindRow>> for Kinds {
    type Error = String;

    fn try_from(rows: Vec<KindRow>) -> Result<Self, String> {
        let mut kinds = Self::new();
        for KindRow { outcome, modifier, key, count } in rows {
            if kinds.count(outcome, modifier, key) > 0 {
                return Err(format!("two rows about {} with {} and {key}", outcome.name(), modifier.name()));
            }
            kinds.add(outcome, modifier, key, count);
        }
        Ok(kinds)
    }
}

impl From<Kinds> for Vec<KindRow> {
    fn from(kinds: Kinds) -> Self {
        kinds.rows().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Assignment, Board, Instant, Span};

    fn code(name: &str) -> Code {
        name.parse().unwrap()
    }

    fn press(name: &str, down: u64, up: u64) -> Press {
        Press { code: code(name), down: Instant(down), up: Instant(up) }
    }

    fn emulator() -> Emulator {
        let board = Board::row_staggered();
        let mut assignment = Assignment::none();
        assignment.assign(&board, code("KeyF"), Modifier::Shift).unwrap();
        assignment.assign(&board, code("KeyD"), Modifier::Control).unwrap();
        Emulator::new(&assignment)
    }

    fn row(outcome: Outcome, modifier: Modifier, key: &str) -> KindRow {
        KindRow { outcome, modifier, key: code(key), count: 1 }
    }

    #[test]
    fn a_roll_over_a_false_hold_is_a_stray_chord_of_that_key() {
        let presses = [press("KeyD", 0, 120), press("KeyW", 90, 190)];
        let decided = [Decided { press: 0, decision: Decision::hold(Span(90)) }];
        let kinds = Kinds::of(&emulator(), &presses, &[Truth::default(); 2], &decided);
        let expected =
            [row(Outcome::FalseHold, Modifier::Control, "KeyD"), row(Outcome::StrayChord, Modifier::Control, "KeyW")];
        assert_eq!(kinds.rows().collect::<Vec<_>>(), expected);
    }

    #[test]
    fn a_chord_counts_under_each_of_its_wrong_modifiers() {
        let with = ModifierSet::NONE.with(Modifier::Control).with(Modifier::Shift);
        let presses = [press("KeyF", 0, 400), press("KeyD", 50, 400), press("KeyW", 90, 190)];
        let hold = Truth { hold: true, ..Truth::default() };
        let decided = [0, 1].map(|press| Decided { press, decision: Decision::tap(Span(400)) });
        let truths = [hold, hold, Truth { with, ..Truth::default() }];
        let kinds = Kinds::of(&emulator(), &presses, &truths, &decided);
        assert_eq!(kinds.count(Outcome::LostChord, Modifier::Control, code("KeyW")), 1);
        assert_eq!(kinds.count(Outcome::LostChord, Modifier::Shift, code("KeyW")), 1);
        assert_eq!(Outcome::ALL.map(|outcome| kinds.total(outcome)), [0, 2, 0, 2]);
    }

    #[test]
    fn the_letter_of_a_missed_hold_can_stray() {
        let presses = [press("KeyD", 0, 400), press("KeyF", 50, 300)];
        let hold = Truth { hold: true, ..Truth::default() };
        let decided = [
            Decided { press: 0, decision: Decision::hold(Span(50)) },
            Decided { press: 1, decision: Decision::tap(Span(250)) },
        ];
        let kinds = Kinds::of(&emulator(), &presses, &[hold, hold], &decided);
        let expected =
            [row(Outcome::MissedHold, Modifier::Shift, "KeyF"), row(Outcome::StrayChord, Modifier::Control, "KeyF")];
        assert_eq!(kinds.rows().collect::<Vec<_>>(), expected);
    }

    #[test]
    fn tables_add_up_and_survive_a_file() {
        let mut kinds = Kinds::try_from(vec![row(Outcome::StrayChord, Modifier::Meta, "KeyL")]).unwrap();
        let other = Kinds::try_from(vec![
            row(Outcome::StrayChord, Modifier::Meta, "KeyL"),
            row(Outcome::LostChord, Modifier::Layer, "KeyB"),
        ])
        .unwrap();
        kinds += &other;
        assert_eq!(kinds.count(Outcome::StrayChord, Modifier::Meta, code("KeyL")), 2);
        let text = serde_json::to_string(&kinds).unwrap();
        assert_eq!(serde_json::from_str::<Kinds>(&text).unwrap(), kinds);
        assert!(text.contains(r#"{"outcome":"stray-chord","modifier":"Meta","key":"KeyL","count":2}"#), "{text}");
        kinds.clear();
        assert_eq!(kinds, Kinds::new());
    }

    #[test]
    fn rows_about_the_same_thing_are_refused() {
        let twice = vec![row(Outcome::StrayChord, Modifier::Meta, "KeyL"); 2];
        assert!(Kinds::try_from(twice).unwrap_err().contains("two rows about stray-chord with Meta and KeyL"));
    }
}

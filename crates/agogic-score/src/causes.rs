//! Why presses went wrong: rolls, long dwells, trailing and enclosed gestures.

use std::ops::AddAssign;

use agogic_keys::{Code, Modifier, Press, Truth};
use agogic_policy::Decision;
use serde::{Deserialize, Serialize};

/// What a false hold has in its encounter that can have made it one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FalseHoldCause {
    /// The first key to follow was Backspace: the typist took a slip back in haste.
    Correction,
    /// The next key went down before this one came up, and came up after it; both were meant as taps.
    Roll,
    /// Another key was in the encounter, but none that rolls: it lay inside, or was itself meant as a hold.
    OtherContact,
    /// No other key had been pressed, and the press before was of the same key: it was held down to repeat.
    Repeat,
    /// No other key had been pressed: the key was down for long.
    LongDwell,
}

impl FalseHoldCause {
    /// The cause of the false hold of the press at `index`.
    ///
    /// # Definition
    /// Only contacts pressed up to the decision count, for a cause comes before its effect. A first contact
    /// that is Backspace makes it a correction; else one contact that rolls makes it a roll, whatever else
    /// there is. A key that comes up at the instant of the own release
    /// came up first, so it lies inside.
    pub fn of(presses: &[Press], truths: &[Truth], index: usize, decision: Decision) -> Self {
        let press = &presses[index];
        let decided = press.down + decision.after;
        let again = index.checked_sub(1).is_some_and(|before| presses[before].code == press.code);
        let mut cause = if again { Self::Repeat } else { Self::LongDwell };
        for (other, truth) in contacts(presses, truths, index).take_while(|(other, _)| other.down <= decided) {
            if other.code == Code::BACKSPACE && cause != Self::OtherContact {
                return Self::Correction;
            }
            if other.up > press.up && !truth.hold {
                return Self::Roll;
            }
            cause = Self::OtherContact;
        }
        cause
    }
}

/// How a hold was performed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gesture {
    /// The held key came up before a key it was held for.
    Trailing,
    /// All keys it was held for came up before it, or with it.
    Enclosed,
    /// No key that was to carry its modifier was pressed while it was down.
    Bare,
}

impl Gesture {
    /// The gesture of the hold at `index`, whose key gives `modifier`.
    pub fn of(presses: &[Press], truths: &[Truth], index: usize, modifier: Modifier) -> Self {
        Self::with_targets(presses, truths, index, modifier).0
    }

    /// The gesture, and for how many keys the hold was made.
    pub fn with_targets(presses: &[Press], truths: &[Truth], index: usize, modifier: Modifier) -> (Self, usize) {
        let up = presses[index].up;
        let (mut gesture, mut targets) = (Self::Bare, 0);
        for (other, truth) in contacts(presses, truths, index) {
            if truth.hold || !truth.with.has(modifier) {
                continue;
            }
            targets += 1;
            if other.up > up {
                gesture = Self::Trailing;
            } else if gesture == Self::Bare {
                gesture = Self::Enclosed;
            }
        }
        (gesture, targets)
    }
}

/// The presses that fell while the one at `index` was down, with what they meant.
fn contacts<'a>(
    presses: &'a [Press],
    truths: &'a [Truth],
    index: usize,
) -> impl Iterator<Item = (&'a Press, &'a Truth)> {
    let up = presses[index].up;
    presses[index + 1..].iter().zip(&truths[index + 1..]).take_while(move |(other, _)| other.down < up)
}

/// False holds by cause. They add up to all false holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FalseHoldCauses {
    /// See [`FalseHoldCause::Correction`].
    pub by_correction: u64,
    /// See [`FalseHoldCause::Roll`].
    pub by_roll: u64,
    /// See [`FalseHoldCause::OtherContact`].
    pub by_other_contact: u64,
    /// See [`FalseHoldCause::Repeat`].
    pub by_repeat: u64,
    /// See [`FalseHoldCause::LongDwell`].
    pub by_long_dwell: u64,
}

impl FalseHoldCauses {
    /// Counts one.
    pub fn add(&mut self, cause: FalseHoldCause) {
        match cause {
            FalseHoldCause::Correction => self.by_correction += 1,
            FalseHoldCause::Roll => self.by_roll += 1,
            FalseHoldCause::OtherContact => self.by_other_contact += 1,
            FalseHoldCause::Repeat => self.by_repeat += 1,
            FalseHoldCause::LongDwell => self.by_long_dwell += 1,
        }
    }

    /// All of them.
    pub fn total(&self) -> u64 {
        self.by_correction + self.by_roll + self.by_other_contact + self.by_repeat + self.by_long_dwell
    }
}

impl AddAssign for FalseHoldCauses {
    fn add_assign(&mut self, other: Self) {
        let Self { by_correction, by_roll, by_other_contact, by_repeat, by_long_dwell } = other;
        self.by_correction += by_correction;
        self.by_repeat += by_repeat;
        self.by_roll += by_roll;
        self.by_other_contact += by_other_contact;
        self.by_long_dwell += by_long_dwell;
    }
}

/// Holds by gesture. They add up to all the holds in question.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gestures {
    /// See [`Gesture::Trailing`].
    pub trailing: u64,
    /// See [`Gesture::Enclosed`].
    pub enclosed: u64,
    /// See [`Gesture::Bare`].
    pub bare: u64,
}

impl Gestures {
    /// Counts one.
    pub fn add(&mut self, gesture: Gesture) {
        match gesture {
            Gesture::Trailing => self.trailing += 1,
            Gesture::Enclosed => self.enclosed += 1,
            Gesture::Bare => self.bare += 1,
        }
    }

    /// All of them.
    pub fn total(&self) -> u64 {
        self.trailing + self.enclosed + self.bare
    }
}

impl AddAssign for Gestures {
    fn add_assign(&mut self, other: Self) {
        let Self { trailing, enclosed, bare } = other;
        self.trailing += trailing;
        self.enclosed += enclosed;
        self.bare += bare;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Instant, ModifierSet, Span};

    fn press(name: &str, down: u64, up: u64) -> Press {
        Press { code: name.parse().unwrap(), down: Instant(down), up: Instant(up) }
    }

    const TAP: Truth = Truth { hold: false, bare: false, with: ModifierSet::NONE, shortcut: false };
    const HOLD: Truth = Truth { hold: true, ..TAP };

    fn cause(presses: &[Press], truths: &[Truth], after: u64) -> FalseHoldCause {
        FalseHoldCause::of(presses, truths, 0, Decision::hold(Span(after)))
    }

    #[test]
    fn a_roll_ends_after_the_own_release() {
        let at = |up| [press("KeyF", 0, 120), press("KeyE", 90, up)];
        assert_eq!(cause(&at(121), &[TAP; 2], 90), FalseHoldCause::Roll);
        assert_eq!(cause(&at(120), &[TAP; 2], 120), FalseHoldCause::OtherContact);
        assert_eq!(cause(&at(110), &[TAP; 2], 110), FalseHoldCause::OtherContact);
    }

    #[test]
    fn a_roll_into_a_hold_is_no_roll_of_two_taps() {
        let presses = [press("KeyF", 0, 120), press("KeyD", 90, 400)];
        assert_eq!(cause(&presses, &[TAP, HOLD], 90), FalseHoldCause::OtherContact);
    }

    #[test]
    fn corrections_and_repeats_have_causes_of_their_own() {
        let presses = [press("KeyF", 0, 120), press("Backspace", 90, 150)];
        assert_eq!(cause(&presses, &[TAP; 2], 90), FalseHoldCause::Correction);
        // A letter came first.
        let presses = [press("KeyF", 0, 120), press("KeyE", 50, 100), press("Backspace", 90, 150)];
        assert_eq!(cause(&presses, &[TAP; 3], 100), FalseHoldCause::Roll);
        let presses = [press("KeyF", 0, 90), press("KeyF", 150, 900)];
        let decided = Decision::hold(Span(500));
        assert_eq!(FalseHoldCause::of(&presses, &[TAP; 2], 1, decided), FalseHoldCause::Repeat);
        let presses = [press("KeyE", 0, 90), press("KeyF", 150, 900)];
        assert_eq!(FalseHoldCause::of(&presses, &[TAP; 2], 1, decided), FalseHoldCause::LongDwell);
    }

    #[test]
    fn what_follows_the_decision_is_no_cause() {
        let presses = [press("KeyF", 0, 250), press("KeyE", 230, 300)];
        assert_eq!(cause(&presses, &[TAP; 2], 200), FalseHoldCause::LongDwell);
        assert_eq!(cause(&presses, &[TAP; 2], 230), FalseHoldCause::Roll);
        // Pressed as the key came up: not a contact at all.
        let presses = [press("KeyF", 0, 250), press("KeyE", 250, 300)];
        assert_eq!(cause(&presses, &[TAP; 2], 260), FalseHoldCause::LongDwell);
    }

    #[test]
    fn one_roll_among_contacts_is_enough() {
        let presses = [press("KeyF", 0, 200), press("KeyE", 50, 150), press("KeyR", 160, 260)];
        assert_eq!(cause(&presses, &[TAP; 3], 200), FalseHoldCause::Roll);
    }

    #[test]
    fn gestures_are_told_by_who_comes_up_first() {
        let shifted = Truth { with: ModifierSet::NONE.with(Modifier::Shift), ..TAP };
        let of = |target: Press, truth: Truth| {
            Gesture::of(&[press("KeyF", 0, 200), target], &[HOLD, truth], 0, Modifier::Shift)
        };
        assert_eq!(of(press("KeyI", 100, 201), shifted), Gesture::Trailing);
        assert_eq!(of(press("KeyI", 100, 200), shifted), Gesture::Enclosed);
        assert_eq!(of(press("KeyI", 200, 300), shifted), Gesture::Bare);
        // A key under the hold that was not meant to carry this modifier is no target.
        let other = Truth { with: ModifierSet::NONE.with(Modifier::Control), ..TAP };
        assert_eq!(of(press("KeyI", 100, 300), other), Gesture::Bare);
    }

    #[test]
    fn one_trailing_target_makes_the_gesture_trailing() {
        let shifted = Truth { with: ModifierSet::NONE.with(Modifier::Shift), ..TAP };
        let presses = [press("KeyF", 0, 300), press("KeyU", 100, 150), press("KeyI", 250, 350)];
        let gesture = Gesture::with_targets(&presses, &[HOLD, shifted, shifted], 0, Modifier::Shift);
        assert_eq!(gesture, (Gesture::Trailing, 2));
    }

    #[test]
    fn counts_add_up() {
        let mut causes = FalseHoldCauses::default();
        for cause in [FalseHoldCause::Roll, FalseHoldCause::Roll, FalseHoldCause::LongDwell] {
            causes.add(cause);
        }
        causes += FalseHoldCauses { by_roll: 1, by_other_contact: 5, ..FalseHoldCauses::default() };
        let expected =
            FalseHoldCauses { by_roll: 3, by_other_contact: 5, by_long_dwell: 1, ..FalseHoldCauses::default() };
        assert_eq!(causes, expected);
        assert_eq!(causes.total(), 9);
        let mut gestures = Gestures::default();
        for gesture in [Gesture::Trailing, Gesture::Bare, Gesture::Enclosed, Gesture::Bare] {
            gestures.add(gesture);
        }
        gestures += Gestures { trailing: 2, enclosed: 0, bare: 0 };
        assert_eq!((gestures, gestures.total()), (Gestures { trailing: 3, enclosed: 1, bare: 2 }, 6));
    }
}

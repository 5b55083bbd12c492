//! A session as it was meant: what all policies are judged against, worked out once.

use agogic_keys::{Modifier, Press, Truth};

use crate::causes::Gesture;
use crate::emulator::Emulator;
use crate::text_error::{Effect, effect};

/// How a hold was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct HoldFacts {
    pub(crate) gesture: Gesture,
    /// It was made for two or more keys.
    pub(crate) run: bool,
}

/// One typist's session with what it meant, for any number of policies.
///
/// # Shape
/// `presses` and `truths` have the same length. All text is kept as bytes, for every key writes ASCII.
#[derive(Clone, Debug)]
pub struct Transcript<'a> {
    pub(crate) emulator: &'a Emulator,
    pub(crate) presses: &'a [Press],
    pub(crate) truths: &'a [Truth],
    /// Per press; `None` unless it was meant as a hold of a dual-role key.
    pub(crate) holds: Vec<Option<HoldFacts>>,
    /// Per press: what it does to an edit field when nothing acts on it, if that is all there is to it;
    /// `None` for keys that have two roles, are modifiers, or were meant to carry one.
    pub(crate) plain: Vec<Option<Effect>>,
    /// What the session was meant to leave in an edit field.
    pub(crate) text: Vec<u8>,
    pub(crate) words: u64,
    pub(crate) first: usize,
}

impl<'a> Transcript<'a> {
    /// The transcript of a session of `words` words.
    ///
    /// # Panics
    /// If the shapes differ: the caller mixed up sessions.
    pub fn new(emulator: &'a Emulator, presses: &'a [Press], truths: &'a [Truth], words: u64) -> Self {
        Self::from_press(emulator, presses, truths, 0, words)
    }

    /// The transcript of the part of a session that is judged: from the first press at or after `from` at
    /// which no key is down, so that nothing reaches over the cut. `words` are those of that part.
    ///
    /// What was used to fit a policy to its typist must not be judged.
    ///
    /// # Panics
    /// If the shapes differ: the caller mixed up sessions.
    pub fn from_press(
        emulator: &'a Emulator,
        presses: &'a [Press],
        truths: &'a [Truth],
        from: usize,
        words: u64,
    ) -> Self {
        assert_eq!(presses.len(), truths.len(), "one truth per press");
        let first = calm(presses, from);
        let fact = |(index, (press, truth)): (usize, (&Press, &Truth))| {
            let modifier: Modifier = emulator.held_role(press.code).filter(|_| truth.hold && index >= first)?;
            let (gesture, targets) = Gesture::with_targets(presses, truths, index, modifier);
            Some(HoldFacts { gesture, run: targets > 1 })
        };
        let holds = presses.iter().zip(truths).enumerate().map(fact).collect();
        let plain = |(press, truth): (&Press, &Truth)| {
            let special = emulator.held_role(press.code).is_some()
                || emulator.dedicated_role(press.code).is_some()
                || truth.hold
                || !truth.with.is_empty();
            (!special).then(|| effect(press.code, truth.with))
        };
        let plain = presses.iter().zip(truths).map(plain).collect();
        let mut text = Vec::with_capacity(presses.len() - first);
        for (press, truth) in presses.iter().zip(truths).skip(first) {
            if !truth.hold && emulator.dedicated_role(press.code).is_none() {
                match effect(press.code, truth.with) {
                    Effect::Writes(byte) => text.push(byte),
                    Effect::Deletes => _ = text.pop(),
                    Effect::None => {}
                }
            }
        }
        Self { emulator, presses, truths, holds, plain, text, words, first }
    }

    /// The first press that is judged.
    pub fn first(&self) -> usize {
        self.first
    }
}

/// The first press from `from` on that finds no key down; the number of presses when there is none.
fn calm(presses: &[Press], from: usize) -> usize {
    let mut last_up = agogic_keys::Instant::ZERO;
    for (index, press) in presses.iter().enumerate() {
        if index >= from && (index == 0 || last_up <= press.down) {
            return index;
        }
        last_up = last_up.max(press.up);
    }
    presses.len()
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::Instant;

    #[test]
    fn a_part_begins_where_no_key_is_down() {
        let press = |down, up| Press { code: "KeyE".parse().unwrap(), down: Instant(down), up: Instant(up) };
        let presses = [press(0, 100), press(50, 200), press(150, 180), press(200, 300), press(250, 400)];
        assert_eq!([0, 1, 2, 3, 4, 9].map(|from| calm(&presses, from)), [0, 3, 3, 3, 5, 5]);
    }
}

//! A session as it was meant: what all policies are judged against, worked out once.

use agogic_keys::{Press, Truth};

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

/// A press that was meant to take a character back; or the end of the session, where none is taken.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Deletion {
    /// Its place; at the end the number of presses.
    pub(crate) press: u32,
    /// Characters that the judged presses before it were meant to take back.
    pub(crate) taken_before: u32,
    /// The fewest characters that were meant to stand in the field from here on: so many are final.
    pub(crate) stay: u32,
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
    /// Per press: what it was meant to do to an edit field.
    pub(crate) meant: Vec<Effect>,
    /// For each place in the session, the next press at or after it that is more than a key with one role and no
    /// modifier; the number of presses when there is none.
    pub(crate) next_special: Vec<u32>,
    /// All characters that were meant, also those taken back later, and how many of them come before each press.
    pub(crate) written: Vec<u8>,
    pub(crate) written_before: Vec<u32>,
    /// The presses that were meant to take a character back, and a last entry for the end.
    pub(crate) deletes: Vec<Deletion>,
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
        let n = presses.len();
        assert!(n < u32::MAX as usize, "a session of that length is not held in memory");
        let mut holds = Vec::with_capacity(n);
        let mut meant = Vec::with_capacity(n);
        let mut next_special = vec![n as u32; n + 1];
        let mut written = Vec::with_capacity(n);
        let mut written_before = Vec::with_capacity(n + 1);
        let mut deletes: Vec<Deletion> = Vec::new();
        let mut taken_before = 0;
        let mut text = Vec::with_capacity(n - first);
        let mut special_from = 0;
        for (index, (press, truth)) in presses.iter().zip(truths).enumerate() {
            let role = emulator.held_role(press.code);
            let dedicated = emulator.dedicated_role(press.code).is_some();
            holds.push(role.filter(|_| truth.hold && index >= first).map(|modifier| {
                let (gesture, targets) = Gesture::with_targets(presses, truths, index, modifier);
                HoldFacts { gesture, run: targets > 1 }
            }));
            if role.is_some() || dedicated || truth.hold || !truth.with.is_empty() {
                next_special[special_from..=index].fill(index as u32);
                special_from = index + 1;
            }
            let effect = if truth.hold || dedicated { Effect::None } else { effect(press.code, truth.with) };
            meant.push(effect);
            written_before.push(written.len() as u32);
            match effect {
                Effect::Writes(byte) => {
                    written.push(byte);
                    if index >= first {
                        text.push(byte);
                    }
                }
                Effect::Deletes => {
                    let taken = u32::from(index >= first && text.pop().is_some());
                    deletes.push(Deletion { press: index as u32, taken_before, stay: text.len() as u32 });
                    taken_before += taken;
                }
                Effect::None => {}
            }
        }
        written_before.push(written.len() as u32);
        let mut stay = text.len() as u32;
        deletes.push(Deletion { press: n as u32, taken_before, stay });
        for delete in deletes.iter_mut().rev() {
            stay = stay.min(delete.stay);
            delete.stay = stay;
        }
        Self {
            emulator,
            presses,
            truths,
            holds,
            meant,
            next_special,
            written,
            written_before,
            deletes,
            text,
            words,
            first,
        }
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

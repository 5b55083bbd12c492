//! Presses of a person whose meaning is known.

use agogic_keys::{Code, Hand, Press};
use agogic_log::{Intent, SessionLog};
use agogic_policy::{Encounter, Encounters};

/// The presses of dual-role keys in a log of which it is known what was meant, in the order in which they were made.
#[derive(Debug, Default)]
pub struct Known {
    stretches: Vec<(Encounters, Vec<Option<bool>>)>,
    presses: [u64; 2],
}

impl Known {
    /// None yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes in a run of presses in which every neighbour is known; `holds` says of each whether a hold was meant, where
    /// that is known.
    ///
    /// # Panics
    /// `holds` is shorter than `run`.
    pub fn add(
        &mut self,
        run: &[Press],
        holds: &[Option<bool>],
        dual: impl Fn(Code) -> bool,
        hand: impl Fn(Code) -> Hand,
    ) {
        let mut encounters = Encounters::new();
        encounters.fill(run, 0, dual, hand);
        let meant: Vec<Option<bool>> = encounters.presses().map(|press| holds[press]).collect();
        for hold in meant.iter().flatten() {
            self.presses[usize::from(*hold)] += 1;
        }
        self.stretches.push((encounters, meant));
    }

    /// The presses whose intent sessions state.
    pub fn of_sessions(
        sessions: &[&SessionLog],
        dual: impl Fn(Code) -> bool + Copy,
        hand: impl Fn(Code) -> Hand + Copy,
    ) -> Self {
        let mut known = Self::new();
        for session in sessions {
            for range in session.ranges() {
                let holds: Vec<Option<bool>> = session.intents[range.clone()]
                    .iter()
                    .map(|intent| intent.as_ref().map(|intent| matches!(intent, Intent::Hold(_))))
                    .collect();
                known.add(&session.presses[range], &holds, dual, hand);
            }
        }
        known
    }

    /// Presses meant as taps, and as holds.
    pub fn presses(&self) -> [u64; 2] {
        self.presses
    }

    /// Presses of known meaning.
    pub fn len(&self) -> usize {
        (self.presses[0] + self.presses[1]) as usize
    }

    /// Whether nothing is known.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Calls `visit` with the number, the encounter, and whether a hold was meant, of every press of known meaning.
    pub fn each(&self, mut visit: impl FnMut(usize, &Encounter<'_>, bool)) {
        let mut number = 0;
        for (encounters, meant) in &self.stretches {
            for (encounter, hold) in encounters.iter().zip(meant) {
                if let Some(hold) = hold {
                    visit(number, &encounter, *hold);
                    number += 1;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::Instant;

    #[test]
    fn only_presses_of_known_meaning_are_shown_but_all_are_neighbours() {
        let press = |name: &str, down: u64, up: u64| Press {
            code: name.parse().unwrap(),
            down: Instant(1000 * down),
            up: Instant(1000 * up),
        };
        let presses = vec![
            press("KeyE", 0, 80),
            press("KeyF", 100, 200),
            press("KeyF", 300, 600),
            press("KeyI", 400, 480),
            press("KeyF", 700, 760),
        ];
        let session = SessionLog {
            participant: "ada".into(),
            session: "1".into(),
            part: 0,
            intents: vec![None, Some(Intent::Tap), Some(Intent::Hold(None)), Some(Intent::Tap), None],
            presses,
            breaks: vec![],
        };
        let is_f = |code: Code| code.name() == "KeyF";
        let known = Known::of_sessions(&[&session], is_f, |_| Hand::Left);
        assert_eq!((known.presses(), known.len()), ([1, 1], 2));
        let mut seen = Vec::new();
        known.each(|number, encounter, hold| {
            seen.push((number, encounter.lull.map(|lull| lull.ms()), encounter.contacts().count(), hold));
        });
        assert_eq!(seen, [(0, Some(100.0), 0, false), (1, Some(200.0), 1, true)]);
    }
}

//! Scoring in one pass, with buffers that are used again.

use agogic_keys::{Press, Truth};

use crate::causes::{FalseHoldCause, Gesture};
use crate::counts::Counts;
use crate::emulator::{Arrival, Decided, Decisions, Emulator, Host};
use crate::kinds::Kinds;
use crate::quantile::{nearest_rank, nearest_rank_beside_zeros};

/// Scores sessions one after the other, for runs that score very many.
///
/// Gives what [`tally`](crate::tally) and [`Kinds::of`] give; property tests hold them together.
#[derive(Clone, Debug, Default)]
pub struct Scorer {
    tap_delays: Vec<u64>,
    /// Delays of the keys that had to wait. Most keys do not wait, and need not be stored.
    waits: Vec<u64>,
    kinds: Kinds,
}

impl Scorer {
    /// A scorer with empty buffers.
    pub fn new() -> Self {
        Self::default()
    }

    /// Scores one policy's decisions on one session.
    ///
    /// # Shape
    /// `presses` and `truths` have the same length; `decided` has one entry per dual-role press, in order.
    ///
    /// # Panics
    /// If the shapes differ: the caller mixed up sessions.
    pub fn score(
        &mut self,
        emulator: &Emulator,
        presses: &[Press],
        truths: &[Truth],
        decided: &[Decided],
        words: u64,
    ) -> Counts {
        assert_eq!(presses.len(), truths.len(), "one truth per press");
        self.tap_delays.clear();
        self.waits.clear();
        self.kinds.clear();
        let mut counts = Counts { keys: presses.len() as u64, words, ..Counts::default() };
        let mut host = Host::new();
        let mut decisions = Decisions::new(decided);
        for (index, (press, truth)) in presses.iter().zip(truths).enumerate() {
            let decision = decisions.of(emulator, index, press);
            if let (Some(decision), Some(modifier)) = (decision, emulator.held_role(press.code)) {
                self.kinds.decision(modifier, press.code, *truth, decision);
                if truth.hold {
                    let gesture = Gesture::of(presses, truths, index, modifier);
                    counts.holds += 1;
                    counts.holds_by.add(gesture);
                    counts.hold_delay_us += decision.after.0;
                    if !decision.is_hold() {
                        counts.missed_holds += 1;
                        counts.missed_by.add(gesture);
                    }
                } else {
                    counts.taps += 1;
                    counts.tap_delay_us += decision.after.0;
                    self.tap_delays.push(decision.after.0);
                    if decision.is_hold() {
                        counts.false_holds += 1;
                        counts.false_by.add(FalseHoldCause::of(presses, truths, index, decision));
                    }
                }
            }
            if let Arrival::Key(key) = host.take(emulator, index, press, decision) {
                counts.host_keys += 1;
                if key.delay.0 > 0 {
                    counts.delayed_keys += 1;
                    counts.host_delay_us += key.delay.0;
                    self.waits.push(key.delay.0);
                }
                self.kinds.arrival(&key, *truth);
                if !truth.hold && key.with != truth.with {
                    counts.stray_chords += u64::from(!key.with.minus(truth.with).is_empty());
                    counts.lost_chords += u64::from(!truth.with.minus(key.with).is_empty());
                }
            }
        }
        decisions.finish();
        counts.tap_delay_p50_us = nearest_rank(&mut self.tap_delays, 50);
        counts.tap_delay_p95_us = nearest_rank(&mut self.tap_delays, 95);
        let zeros = (counts.host_keys - counts.delayed_keys) as usize;
        counts.key_delay_p95_us = nearest_rank_beside_zeros(zeros, &mut self.waits, 95);
        counts
    }

    /// The wrong outcomes of the latest session by modifier and key.
    pub fn kinds(&self) -> &Kinds {
        &self.kinds
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Assignment, Board, Instant, Modifier, Span};
    use agogic_policy::Decision;

    #[test]
    fn nothing_is_left_over_from_the_session_before() {
        let mut assignment = Assignment::none();
        let f = "KeyF".parse().unwrap();
        assignment.assign(&Board::row_staggered(), f, Modifier::Shift).unwrap();
        let emulator = Emulator::new(&assignment);
        let mut scorer = Scorer::new();
        let press = Press { code: f, down: Instant(0), up: Instant(300) };
        let wrong = [Decided { press: 0, decision: Decision::hold(Span(200)) }];
        let first = scorer.score(&emulator, &[press], &[Truth::default()], &wrong, 1);
        assert_eq!((first.false_holds, scorer.kinds().rows().count()), (1, 1));
        assert_eq!(scorer.score(&emulator, &[], &[], &[], 0), Counts::default());
        assert_eq!(scorer.kinds(), &Kinds::new());
    }

    #[test]
    #[should_panic(expected = "one truth per press")]
    fn sessions_are_not_mixed_up() {
        let emulator = Emulator::new(&Assignment::none());
        Scorer::new().score(&emulator, &[], &[Truth::default()], &[], 0);
    }
}

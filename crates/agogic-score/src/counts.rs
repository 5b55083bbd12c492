//! Counts of one typist under one policy.

use agogic_keys::{Press, Truth};
use serde::{Deserialize, Serialize};

use crate::emulator::{Decided, Emulator};

/// Outcomes and delays of one typist's session under one policy. All sums are whole numbers, so adding
/// them up in any order gives the same result.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Counts {
    /// Presses of any key.
    pub keys: u64,
    /// Words begun.
    pub words: u64,
    /// Dual-role presses meant as taps.
    pub taps: u64,
    /// Of those, decided as holds: a letter is lost and becomes a stray modifier.
    pub false_holds: u64,
    /// Dual-role presses meant as holds.
    pub holds: u64,
    /// Of those, decided as taps: an intended modifier comes out as a letter.
    pub missed_holds: u64,
    /// Sum over taps meant as taps of decision time − press time, in µs, whatever the decision.
    pub tap_delay_us: u64,
    /// The same for presses meant as holds.
    pub hold_delay_us: u64,
    /// 95th percentile of the tap delay of this typist, in µs (nearest rank).
    pub tap_delay_p95_us: u64,
    /// Keys that reach the host with a modifier the typist did not mean.
    pub stray_chords: u64,
    /// Keys that reach the host without a modifier the typist meant.
    pub lost_chords: u64,
    /// Keys that reach the host.
    pub host_keys: u64,
    /// Sum over those of arrival − press, in µs.
    pub host_delay_us: u64,
}

impl Counts {
    /// Everything a writer would have to mend: letters lost to false holds, letters written by missed
    /// holds, and keys that arrived with the wrong modifiers.
    pub fn wrong_keys(&self) -> u64 {
        self.false_holds + self.missed_holds + self.stray_chords + self.lost_chords
    }
}

/// Scores one policy's decisions on one session.
///
/// # Shape
/// `presses` and `truths` have the same length; `decided` has one entry per dual-role press, in order.
pub fn tally(emulator: &Emulator, presses: &[Press], truths: &[Truth], decided: &[Decided], words: u64) -> Counts {
    let mut counts = Counts { keys: presses.len() as u64, words, ..Counts::default() };
    let mut delays = Vec::with_capacity(decided.len());
    for Decided { press, decision } in decided {
        if truths[*press].hold {
            counts.holds += 1;
            counts.missed_holds += u64::from(!decision.is_hold());
            counts.hold_delay_us += decision.after.0;
        } else {
            counts.taps += 1;
            counts.false_holds += u64::from(decision.is_hold());
            counts.tap_delay_us += decision.after.0;
            delays.push(decision.after.0);
        }
    }
    counts.tap_delay_p95_us = nearest_rank(&mut delays, 0.95);
    emulator.each(presses, decided, |key| {
        counts.host_keys += 1;
        counts.host_delay_us += key.delay.0;
        let truth = truths[key.press];
        // A press meant as a hold is counted as a missed hold; its letter was never meant.
        if !truth.hold {
            counts.stray_chords += u64::from(!key.with.minus(truth.with).is_empty());
            counts.lost_chords += u64::from(!truth.with.minus(key.with).is_empty());
        }
    });
    counts
}

/// The smallest value that at least `share` of the values do not exceed; zero for none.
fn nearest_rank(values: &mut [u64], share: f64) -> u64 {
    if values.is_empty() {
        return 0;
    }
    let rank = ((values.len() as f64 * share).ceil() as usize).clamp(1, values.len());
    *values.select_nth_unstable(rank - 1).1
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Assignment, Board, Instant, Modifier, ModifierSet, Span};
    use agogic_policy::Decision;

    fn press(name: &str, down: u64, up: u64) -> Press {
        Press { code: name.parse().unwrap(), down: Instant(down), up: Instant(up) }
    }

    fn emulator() -> Emulator {
        let board = Board::row_staggered();
        let mut assignment = Assignment::none();
        assignment.assign(&board, "KeyF".parse().unwrap(), Modifier::Shift).unwrap();
        Emulator::new(&assignment)
    }

    #[test]
    fn a_missed_hold_loses_the_chord_and_writes_a_letter() {
        let presses = [press("KeyF", 0, 120), press("KeyI", 50, 100)];
        let with = ModifierSet::NONE.with(Modifier::Shift);
        let truths = [Truth { hold: true, ..Truth::default() }, Truth { with, ..Truth::default() }];
        let wrong = [Decided { press: 0, decision: Decision::tap(Span(120)) }];
        let counts = tally(&emulator(), &presses, &truths, &wrong, 1);
        assert_eq!((counts.holds, counts.missed_holds, counts.lost_chords, counts.wrong_keys()), (1, 1, 1, 2));
        let right = [Decided { press: 0, decision: Decision::hold(Span(100)) }];
        let counts = tally(&emulator(), &presses, &truths, &right, 1);
        assert_eq!((counts.wrong_keys(), counts.host_keys, counts.hold_delay_us), (0, 1, 100));
    }

    #[test]
    fn a_false_hold_loses_a_letter_and_strays() {
        let presses = [press("KeyF", 0, 120), press("KeyI", 50, 170)];
        let truths = [Truth::default(); 2];
        let wrong = [Decided { press: 0, decision: Decision::hold(Span(50)) }];
        let counts = tally(&emulator(), &presses, &truths, &wrong, 1);
        assert_eq!((counts.taps, counts.false_holds, counts.stray_chords, counts.wrong_keys()), (1, 1, 1, 2));
    }

    #[test]
    fn an_empty_session_counts_nothing() {
        assert_eq!(tally(&emulator(), &[], &[], &[], 0), Counts::default());
    }

    #[test]
    fn nearest_rank_takes_an_observed_value() {
        let mut values: Vec<u64> = (1..=20).rev().collect();
        assert_eq!(nearest_rank(&mut values, 0.95), 19);
        assert_eq!(nearest_rank(&mut [7], 0.95), 7);
    }
}

//! Counts of one typist under one policy.

use std::ops::AddAssign;

use agogic_keys::{Press, Span, Truth};
use serde::{Deserialize, Serialize};

use crate::causes::{FalseHoldCause, FalseHoldCauses, Gesture, Gestures};
use crate::emulator::{Decided, Emulator};
use crate::quantile::nearest_rank;

/// Outcomes and delays of one typist's session under one policy. All sums are whole numbers, so adding
/// them up in any order gives the same result.
///
/// # Adding up
/// Every field is a sum, except the four quantiles: the quantile of two sessions cannot be had from the
/// quantiles of each. A total keeps the larger of the two, which the quantile of both together cannot
/// exceed. So read the quantiles of one session as quantiles, and those of a total as upper bounds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Counts {
    /// Presses of any key.
    pub keys: u64,
    /// Words begun.
    pub words: u64,
    /// Dual-role presses meant as taps.
    pub taps: u64,
    /// Of those, decided as holds: a letter is lost and becomes a stray modifier.
    pub false_holds: u64,
    /// The false holds by cause.
    pub false_by: FalseHoldCauses,
    /// Dual-role presses meant as holds.
    pub holds: u64,
    /// The holds by gesture.
    pub holds_by: Gestures,
    /// Of the holds, made for a run of two or more keys.
    pub runs: u64,
    /// Of the holds, decided as taps: an intended modifier comes out as a letter.
    pub missed_holds: u64,
    /// The missed holds by gesture.
    pub missed_by: Gestures,
    /// Of the missed holds, made for a run of two or more keys.
    pub missed_runs: u64,
    /// Sum over taps meant as taps of decision time − press time, in µs, whatever the decision.
    pub tap_delay_us: u64,
    /// The same for presses meant as holds.
    pub hold_delay_us: u64,
    /// Median of the tap delay of this typist, in µs (nearest rank). Not a sum.
    pub tap_delay_p50_us: u64,
    /// 95th percentile of the tap delay of this typist, in µs (nearest rank). Not a sum.
    pub tap_delay_p95_us: u64,
    /// 99th percentile of the tap delay of this typist, in µs (nearest rank). Not a sum.
    pub tap_delay_p99_us: u64,
    /// Taps decided more than 40 ms after the press.
    pub taps_over_40_ms: u64,
    /// Taps decided more than 100 ms after the press.
    pub taps_over_100_ms: u64,
    /// Keys that reach the host with a modifier the typist did not mean.
    pub stray_chords: u64,
    /// Keys that reach the host without a modifier the typist meant.
    pub lost_chords: u64,
    /// Keys that reach the host.
    pub host_keys: u64,
    /// Of those, the keys that had to wait.
    pub delayed_keys: u64,
    /// Sum over host keys of arrival − press, in µs.
    pub host_delay_us: u64,
    /// 95th percentile of that delay over host keys, in µs (nearest rank). Not a sum.
    pub key_delay_p95_us: u64,
}

impl Counts {
    /// Everything a writer would have to mend: letters lost to false holds, letters written by missed
    /// holds, and keys that arrived with the wrong modifiers.
    pub fn wrong_keys(&self) -> u64 {
        self.false_holds + self.missed_holds + self.stray_chords + self.lost_chords
    }
}

impl AddAssign for Counts {
    fn add_assign(&mut self, other: Self) {
        // Taken apart field by field, so that a new field cannot be forgotten here.
        let Self {
            keys,
            words,
            taps,
            false_holds,
            false_by,
            holds,
            holds_by,
            runs,
            missed_holds,
            missed_by,
            missed_runs,
            tap_delay_us,
            hold_delay_us,
            tap_delay_p50_us,
            tap_delay_p95_us,
            tap_delay_p99_us,
            taps_over_40_ms,
            taps_over_100_ms,
            stray_chords,
            lost_chords,
            host_keys,
            delayed_keys,
            host_delay_us,
            key_delay_p95_us,
        } = other;
        self.keys += keys;
        self.words += words;
        self.taps += taps;
        self.false_holds += false_holds;
        self.false_by += false_by;
        self.holds += holds;
        self.holds_by += holds_by;
        self.runs += runs;
        self.missed_runs += missed_runs;
        self.missed_holds += missed_holds;
        self.missed_by += missed_by;
        self.tap_delay_us += tap_delay_us;
        self.hold_delay_us += hold_delay_us;
        self.tap_delay_p50_us = self.tap_delay_p50_us.max(tap_delay_p50_us);
        self.tap_delay_p95_us = self.tap_delay_p95_us.max(tap_delay_p95_us);
        self.tap_delay_p99_us = self.tap_delay_p99_us.max(tap_delay_p99_us);
        self.taps_over_40_ms += taps_over_40_ms;
        self.taps_over_100_ms += taps_over_100_ms;
        self.stray_chords += stray_chords;
        self.lost_chords += lost_chords;
        self.host_keys += host_keys;
        self.delayed_keys += delayed_keys;
        self.host_delay_us += host_delay_us;
        self.key_delay_p95_us = self.key_delay_p95_us.max(key_delay_p95_us);
    }
}

/// Scores one policy's decisions on one session.
///
/// Written to be read: one question after the other. [`Scorer`](crate::Scorer) gives the same counts in
/// one pass and with buffers of its own.
///
/// # Shape
/// `presses` and `truths` have the same length; `decided` has one entry per dual-role press, in order.
///
/// # Panics
/// If the shapes differ: the caller mixed up sessions.
pub fn tally(emulator: &Emulator, presses: &[Press], truths: &[Truth], decided: &[Decided], words: u64) -> Counts {
    assert_eq!(presses.len(), truths.len(), "one truth per press");
    let mut counts = Counts { keys: presses.len() as u64, words, ..Counts::default() };
    let mut delays = Vec::with_capacity(decided.len());
    for Decided { press, decision } in decided {
        let press = *press;
        if truths[press].hold {
            let modifier = emulator.held_role(presses[press].code).expect("only dual-role presses are decided");
            let (gesture, targets) = Gesture::with_targets(presses, truths, press, modifier);
            counts.holds += 1;
            counts.holds_by.add(gesture);
            counts.runs += u64::from(targets > 1);
            if !decision.is_hold() {
                counts.missed_holds += 1;
                counts.missed_by.add(gesture);
                counts.missed_runs += u64::from(targets > 1);
            }
            counts.hold_delay_us += decision.after.0;
        } else {
            counts.taps += 1;
            if decision.is_hold() {
                counts.false_holds += 1;
                counts.false_by.add(FalseHoldCause::of(presses, truths, press, *decision));
            }
            counts.tap_delay_us += decision.after.0;
            counts.taps_over_40_ms += u64::from(decision.after > Span::from_ms(40.0));
            counts.taps_over_100_ms += u64::from(decision.after > Span::from_ms(100.0));
            delays.push(decision.after.0);
        }
    }
    counts.tap_delay_p50_us = nearest_rank(&mut delays, 50);
    counts.tap_delay_p95_us = nearest_rank(&mut delays, 95);
    counts.tap_delay_p99_us = nearest_rank(&mut delays, 99);
    delays.clear();
    emulator.each(presses, decided, |key| {
        counts.host_keys += 1;
        counts.delayed_keys += u64::from(key.delay.0 > 0);
        counts.host_delay_us += key.delay.0;
        delays.push(key.delay.0);
        let truth = truths[key.press];
        // A press meant as a hold is counted as a missed hold; its letter was never meant.
        if !truth.hold {
            counts.stray_chords += u64::from(!key.with.minus(truth.with).is_empty());
            counts.lost_chords += u64::from(!truth.with.minus(key.with).is_empty());
        }
    });
    counts.key_delay_p95_us = nearest_rank(&mut delays, 95);
    counts
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Assignment, Board, Instant, Modifier, ModifierSet};
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
    fn causes_and_gestures_are_counted() {
        let with = ModifierSet::NONE.with(Modifier::Shift);
        let presses =
            [press("KeyF", 0, 120), press("KeyE", 90, 160), press("KeyF", 900, 1000), press("KeyI", 950, 1100)];
        let truths = [
            Truth::default(),
            Truth::default(),
            Truth { hold: true, ..Truth::default() },
            Truth { with, ..Truth::default() },
        ];
        let decided = [
            Decided { press: 0, decision: Decision::hold(Span(90)) },
            Decided { press: 2, decision: Decision::tap(Span(100)) },
        ];
        let counts = tally(&emulator(), &presses, &truths, &decided, 2);
        assert_eq!((counts.false_by.by_roll, counts.false_by.total()), (1, 1));
        assert_eq!((counts.holds_by.trailing, counts.missed_by.trailing, counts.missed_by.total()), (1, 1, 1));
    }

    #[test]
    fn quantiles_are_those_of_the_session() {
        let presses: Vec<Press> = (0..20).map(|i| press("KeyF", i * 1000, i * 1000 + 90)).collect();
        let decided: Vec<Decided> =
            (0..20).map(|i| Decided { press: i, decision: Decision::tap(Span(i as u64 + 1)) }).collect();
        let counts = tally(&emulator(), &presses, &[Truth::default(); 20], &decided, 1);
        assert_eq!((counts.tap_delay_p50_us, counts.tap_delay_p95_us, counts.key_delay_p95_us), (10, 19, 19));
        assert_eq!((counts.delayed_keys, counts.host_delay_us), (20, 210));
    }

    /// Every number in `value` with its path.
    fn numbers(path: &str, value: &serde_json::Value, found: &mut Vec<(String, u64)>) {
        match value {
            serde_json::Value::Object(fields) => {
                for (name, value) in fields {
                    numbers(&format!("{path}/{name}"), value, found);
                }
            }
            value => found.push((path.to_owned(), value.as_u64().unwrap())),
        }
    }

    /// Counts with a different number in every field, from `first` up.
    fn distinct(first: u64) -> Counts {
        let mut value = serde_json::to_value(Counts::default()).unwrap();
        let mut found = Vec::new();
        numbers("", &value, &mut found);
        for (i, (path, _)) in found.iter().enumerate() {
            *value.pointer_mut(path).unwrap() = (first + i as u64).into();
        }
        serde_json::from_value(value).unwrap()
    }

    #[test]
    fn every_field_adds_up_but_the_quantiles_do_not() {
        let (one, other) = (distinct(1), distinct(1000));
        let mut sum = one;
        sum += other;
        let mut swapped = other;
        swapped += one;
        assert_eq!(sum, swapped);
        let parts = [one, other, sum].map(|counts| {
            let mut found = Vec::new();
            numbers("", &serde_json::to_value(counts).unwrap(), &mut found);
            found
        });
        assert!(parts[0].len() >= 26);
        for ((a, b), total) in parts[0].iter().zip(&parts[1]).zip(&parts[2]) {
            let quantile = ["_p50_", "_p95_", "_p99_"].iter().any(|name| a.0.contains(name));
            let expected = if quantile { a.1.max(b.1) } else { a.1 + b.1 };
            assert_eq!(total.1, expected, "{}", a.0);
        }
    }
}

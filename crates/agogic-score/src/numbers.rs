//! A score as whole numbers in a row: for whoever keeps scores, or reads them back.

use crate::causes::{FalseHoldCauses, Gestures};
use crate::counts::Counts;
use crate::harm::Harm;
use crate::stream::TypistScore;
use crate::text_error::TextError;

/// Takes a score apart into numbers in a row, and puts it together again: one list of fields and one of names serve both.
/// None can be forgotten, since nothing in the first stands for the rest.
macro_rules! in_a_row {
    ({ $($score:tt)* } as [$($name:ident),* $(,)?]) => {
        impl TypistScore {
            /// All its numbers.
            ///
            /// # Shape
            /// In the order of the fields: counts, harm, text.
            pub fn numbers(&self) -> [u64; Self::NUMBERS] {
                let $($score)* = *self;
                [$($name),*]
            }

            /// The score that has these numbers, in the order of [`numbers`](Self::numbers).
            pub fn from_numbers(numbers: [u64; Self::NUMBERS]) -> Self {
                let [$($name),*] = numbers;
                $($score)*
            }
        }
    };
}

in_a_row! {
    {
        TypistScore {
            counts: Counts {
                keys,
                words,
                taps,
                false_holds,
                false_by: FalseHoldCauses { by_correction, by_roll, by_other_contact, by_repeat, by_long_dwell },
                holds,
                holds_by: Gestures { trailing, enclosed, bare },
                runs,
                missed_holds,
                missed_by: Gestures { trailing: missed_trailing, enclosed: missed_enclosed, bare: missed_bare },
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
            },
            harm: Harm { false_holds_us, missed_holds_us, stray_chords_us, lost_chords_us },
            text: TextError { correct, not_fixed, fixed, fixes },
        }
    } as [
        keys, words, taps, false_holds, by_correction, by_roll, by_other_contact, by_repeat, by_long_dwell,
        holds, trailing, enclosed, bare, runs, missed_holds, missed_trailing, missed_enclosed, missed_bare,
        missed_runs, tap_delay_us, hold_delay_us, tap_delay_p50_us, tap_delay_p95_us, tap_delay_p99_us,
        taps_over_40_ms, taps_over_100_ms, stray_chords, lost_chords, host_keys, delayed_keys, host_delay_us,
        key_delay_p95_us, false_holds_us, missed_holds_us, stray_chords_us, lost_chords_us, correct,
        not_fixed, fixed, fixes,
    ]
}

impl TypistScore {
    /// How many numbers a score is.
    pub const NUMBERS: usize = 40;

    /// The largest of all numbers: for whoever reads scores back and means to add them up.
    pub fn largest(&self) -> u64 {
        self.numbers().into_iter().fold(0, u64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every number in `value`, in the order of the fields.
    fn leaves(value: &serde_json::Value, found: &mut Vec<u64>) {
        match value {
            serde_json::Value::Object(parts) => parts.values().for_each(|part| leaves(part, found)),
            number => found.push(number.as_u64().unwrap()),
        }
    }

    #[test]
    fn every_field_has_its_place_and_comes_back() {
        let numbers = std::array::from_fn(|at| 3 * at as u64 + 1);
        let score = TypistScore::from_numbers(numbers);
        assert_eq!(score.numbers(), numbers);
        let mut found = Vec::new();
        leaves(&serde_json::to_value(score).unwrap(), &mut found);
        found.sort_unstable();
        // Each field of the score has a number of its own: none is left out, and none stands twice.
        assert_eq!(found, numbers);
        let Counts { keys, missed_by, key_delay_p95_us, .. } = score.counts;
        assert_eq!((keys, missed_by.bare, key_delay_p95_us), (numbers[0], numbers[17], numbers[31]));
        assert_eq!((score.harm.false_holds_us, score.text.fixes), (numbers[32], numbers[39]));
    }

    #[test]
    fn no_number_is_too_small_a_part_to_be_the_largest() {
        for at in 0..TypistScore::NUMBERS {
            let mut numbers = [5; TypistScore::NUMBERS];
            numbers[at] = 77;
            assert_eq!(TypistScore::from_numbers(numbers).largest(), 77);
        }
    }
}

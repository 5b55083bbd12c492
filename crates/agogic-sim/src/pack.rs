//! Scores of some typists in few bytes.

use std::sync::Arc;

use agogic_score::TypistScore;
use serde::{Deserialize, Serialize};

use crate::scores::TypistRow;
use crate::scratch::{Scratch, Stored};

/// The scores of some typists, column by column.
///
/// # Shape
/// A column for each of the [`TypistScore::NUMBERS`] numbers and, within it, each policy. First of each column one byte
/// says how many bytes a number takes in it; then of each column the number of every typist, least byte first. Most
/// numbers are small, and many columns hold nothing but zeros and take no bytes at all.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Pack {
    typists: usize,
    bytes: Stored,
}

/// Typists that are unpacked at once: what their columns are turned into stays in the nearest cache.
const SIDE_BY_SIDE: usize = 32;

/// Bytes of a number at most.
const WIDEST: u8 = 8;

impl Pack {
    /// # Panics
    /// A typist has not one score for each policy.
    pub fn of(policies: usize, rows: &[TypistRow]) -> Self {
        assert!(rows.iter().all(|row| row.scores.len() == policies), "one score for each policy");
        let of_policy = |policy: usize| rows.iter().map(move |row| row.scores[policy].numbers()).collect::<Vec<_>>();
        let numbers: Vec<Vec<[u64; TypistScore::NUMBERS]>> = (0..policies).map(of_policy).collect();
        let columns = || (0..TypistScore::NUMBERS).flat_map(|number| numbers.iter().map(move |own| (number, own)));
        let width = |(number, own): (usize, &Vec<[u64; TypistScore::NUMBERS]>)| {
            let largest = own.iter().map(|numbers| numbers[number]).fold(0, u64::max);
            WIDEST - (largest.leading_zeros() / 8) as u8
        };
        let mut bytes: Vec<u8> = columns().map(width).collect();
        for (at, (number, own)) in columns().enumerate() {
            let width = usize::from(bytes[at]);
            own.iter().for_each(|numbers| bytes.extend(&numbers[number].to_le_bytes()[..width]));
        }
        bytes.shrink_to_fit();
        Self { typists: rows.len(), bytes: bytes.into() }
    }

    /// How many typists there are.
    pub fn typists(&self) -> usize {
        self.typists
    }

    /// Moves the scores to a scratch file, if it has room.
    pub fn move_to(&mut self, scratch: &Arc<Scratch>) {
        self.bytes.move_to(scratch);
    }

    /// Shows the scores under one policy after the other: the policy, the place of the first typist, and the scores of some
    /// typists from there on.
    pub fn each_policy(&self, policies: usize, mut look: impl FnMut(usize, usize, &[TypistScore])) {
        self.bytes.with(|bytes| {
            let (widths, mut rest) = bytes.split_at(TypistScore::NUMBERS * policies);
            let columns: Vec<(usize, &[u8])> = widths
                .iter()
                .map(|width| {
                    let (column, later) = rest.split_at(usize::from(*width) * self.typists);
                    rest = later;
                    (usize::from(*width), column)
                })
                .collect();
            let mut numbers = [[0; TypistScore::NUMBERS]; SIDE_BY_SIDE];
            let mut scores = Vec::with_capacity(SIDE_BY_SIDE);
            for policy in 0..policies {
                for first in (0..self.typists).step_by(SIDE_BY_SIDE) {
                    let some = SIDE_BY_SIDE.min(self.typists - first);
                    for number in 0..TypistScore::NUMBERS {
                        let (width, column) = columns[number * policies + policy];
                        fill(&mut numbers[..some], number, width, &column[width * first..]);
                    }
                    scores.clear();
                    scores.extend(numbers[..some].iter().map(|numbers| TypistScore::from_numbers(*numbers)));
                    look(policy, first, &scores);
                }
            }
        });
    }

    /// Whether this, read from elsewhere, holds what it should, and only scores that `sound` accepts.
    pub fn is_sound(&self, policies: usize, sound: impl Fn(&TypistScore) -> bool) -> bool {
        let fits = self.bytes.with(|bytes| {
            let columns = TypistScore::NUMBERS.checked_mul(policies)?;
            let (widths, rest) = bytes.split_at_checked(columns)?;
            let narrow = widths.iter().all(|width| *width <= WIDEST);
            let of_typist: usize = widths.iter().map(|width| usize::from(*width)).sum();
            // Typists that take no bytes could be any number of them.
            Some(narrow && of_typist > 0 && Some(rest.len()) == of_typist.checked_mul(self.typists))
        });
        let mut all = fits == Some(true);
        if all {
            self.each_policy(policies, |_, _, scores| all &= scores.iter().all(&sound));
        }
        all
    }
}

/// Writes the numbers of a column into their place.
fn fill(numbers: &mut [[u64; TypistScore::NUMBERS]], number: usize, width: usize, column: &[u8]) {
    fn of<const WIDTH: usize>(numbers: &mut [[u64; TypistScore::NUMBERS]], number: usize, column: &[u8]) {
        for (numbers, bytes) in numbers.iter_mut().zip(column.as_chunks::<WIDTH>().0) {
            let mut wide = [0; WIDEST as usize];
            wide[..WIDTH].copy_from_slice(bytes);
            numbers[number] = u64::from_le_bytes(wide);
        }
    }
    match width {
        0 => numbers.iter_mut().for_each(|numbers| numbers[number] = 0),
        1 => of::<1>(numbers, number, column),
        2 => of::<2>(numbers, number, column),
        3 => of::<3>(numbers, number, column),
        4 => of::<4>(numbers, number, column),
        5 => of::<5>(numbers, number, column),
        6 => of::<6>(numbers, number, column),
        7 => of::<7>(numbers, number, column),
        _ => of::<8>(numbers, number, column),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scores::TypistSummary;

    /// Scores with numbers of every width.
    fn rows(typists: u64) -> Vec<TypistRow> {
        let score = |typist: u64, policy: u64| {
            let number = |at: usize| (typist * 31 + policy * 7 + at as u64) << (at % 9 * 8).min(56);
            TypistScore::from_numbers(std::array::from_fn(|at| if at % 10 == 9 { 0 } else { number(at) }))
        };
        let person = |typist| TypistSummary {
            typist,
            wpm: 50.0,
            interval_ms: 200.0,
            dwell_ms: 100.0,
            rollover: 0.3,
            release_ms: 80.0,
        };
        (0..typists)
            .map(|typist| TypistRow { person: person(typist), scores: vec![score(typist, 0), score(typist, 1)] })
            .collect()
    }

    fn unpacked(pack: &Pack) -> Vec<Vec<TypistScore>> {
        let mut all = vec![Vec::new(); 2];
        pack.each_policy(2, |policy, first, scores| {
            assert_eq!(first, all[policy].len());
            all[policy].extend_from_slice(scores);
        });
        all
    }

    #[test]
    fn what_is_packed_comes_out_again() {
        for typists in [1, 2, 5, 300] {
            let rows = rows(typists);
            let mut pack = Pack::of(2, &rows);
            let wanted = [0, 1].map(|at| rows.iter().map(|row| row.scores[at]).collect::<Vec<_>>());
            assert_eq!(unpacked(&pack), wanted);
            let folder = tempfile::tempdir().unwrap();
            pack.move_to(&Scratch::on_disk_of(folder.path()).unwrap());
            assert_eq!(unpacked(&pack), wanted);
        }
    }

    #[test]
    fn what_is_cut_or_too_long_is_not_sound() {
        let pack = Pack::of(2, &rows(5));
        let sound = |pack: &Pack| pack.is_sound(2, |_| true);
        assert!(sound(&pack) && !pack.is_sound(1, |_| true) && !pack.is_sound(usize::MAX, |_| true));
        assert!(!pack.is_sound(2, |score| score.counts.keys < 100));
        let bytes = pack.bytes.with(<[u8]>::to_vec);
        let with = |typists, bytes: &[u8]| Pack { typists, bytes: bytes.to_vec().into() };
        assert!(sound(&with(5, &bytes)));
        let mut wide = bytes.clone();
        wide[3] = 9;
        let zeros = [0; 2 * TypistScore::NUMBERS];
        let (cut, long) = (with(5, &bytes[..bytes.len() - 1]), with(5, &[&bytes[..], &[0]].concat()));
        let (few, huge) = (with(4, &bytes), with(usize::MAX, &bytes));
        let (wide, none, empty) = (with(5, &wide), with(usize::MAX, &zeros), with(0, &[]));
        assert!([cut, long, few, huge, wide, none, empty].iter().all(|wrong| !sound(wrong)));
    }
}

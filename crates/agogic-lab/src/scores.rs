//! Scores of typists, packed: hundreds of thousands of typists fit in memory.

use agogic_score::TypistScore;
use agogic_typist::{Session, Trait, Typist};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// How one typist types, as seen in the judged session.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Number of the typist.
    pub typist: u64,
    /// Speed in words of five characters per minute, corrections included.
    pub wpm: f64,
    /// Mean interval between presses, in ms.
    pub interval_ms: f64,
    /// Mean dwell, in ms.
    pub dwell_ms: f64,
    /// Share of presses made while the key before was still down.
    pub rollover: f64,
    /// Share of hold gestures this person lets go before the target, on average.
    pub trailing_share: f64,
}

impl Person {
    pub(crate) fn of(typist: &Typist, session: &Session) -> Self {
        let presses = &session.presses;
        let pairs = presses.len().saturating_sub(1).max(1) as f64;
        let rolled = presses.windows(2).filter(|pair| pair[0].up > pair[1].down).count();
        let span_ms = match presses.as_slice() {
            [first, .., last] => last.down.since(first.down).ms(),
            _ => 0.0,
        };
        let dwell_us: u64 = presses.iter().map(|press| press.dwell().0).sum();
        Self {
            typist: typist.number,
            wpm: if span_ms > 0.0 { session.characters as f64 / 5.0 / (span_ms / 60_000.0) } else { 0.0 },
            interval_ms: span_ms / pairs,
            dwell_ms: dwell_us as f64 / 1e3 / presses.len().max(1) as f64,
            rollover: rolled as f64 / pairs,
            trailing_share: typist.get(Trait::Trailing),
        }
    }
}

/// One typist's scores under every policy.
#[derive(Clone, Debug, PartialEq)]
pub struct TypistRow {
    /// How this person types.
    pub person: Person,
    /// Scores, one per policy in the order of the study.
    pub scores: Vec<TypistScore>,
}

/// Typists of an arm with their scores under every policy, in the order of their numbers.
///
/// A score is some forty whole numbers, most of them small. Packed it takes about 70 bytes instead of 400.
///
/// # Shape
/// As many scores for each typist as there are policies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ArmScores {
    policies: usize,
    people: Vec<Person>,
    packs: Vec<Pack>,
}

/// The scores of some typists in the wire format of postcard 1, one after the other.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Pack {
    typists: usize,
    bytes: Vec<u8>,
}

/// Typists of a pack at most: packs are unpacked side by side.
const PACK: usize = 512;

impl ArmScores {
    /// No typist yet, of a study with so many policies.
    pub fn new(policies: usize) -> Self {
        Self { policies, people: Vec::new(), packs: Vec::new() }
    }

    /// The typists that are there.
    pub fn people(&self) -> &[Person] {
        &self.people
    }

    /// How many policies judged them.
    pub fn policies(&self) -> usize {
        self.policies
    }

    /// How many typists there are.
    pub fn len(&self) -> usize {
        self.people.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.people.is_empty()
    }

    /// The typists with their scores, unpacked one after the other.
    pub fn iter(&self) -> impl Iterator<Item = TypistRow> + '_ {
        let scores = self.packs.iter().flat_map(|pack| pack.unpacked(self.policies));
        self.people.iter().zip(scores).map(|(person, scores)| TypistRow { person: *person, scores })
    }

    /// Something of every score: for each of `parts` a list over typists for each policy. Packs are unpacked on all cores
    /// of the current thread pool.
    pub(crate) fn each<T: Copy + Default + Send + Sync>(
        &self,
        parts: &[impl Fn(&TypistScore) -> T + Sync],
    ) -> Vec<Vec<Vec<T>>> {
        let mut all = vec![vec![vec![T::default(); self.len()]; self.policies]; parts.len()];
        // The room of each pack: a slice for each part and policy.
        let mut rooms: Vec<Vec<&mut [T]>> = self.packs.iter().map(|_| Vec::new()).collect();
        for mut rest in all.iter_mut().flatten().map(Vec::as_mut_slice) {
            for (pack, room) in self.packs.iter().zip(&mut rooms) {
                let (own, later) = rest.split_at_mut(pack.typists);
                room.push(own);
                rest = later;
            }
        }
        self.packs.par_iter().zip(rooms).for_each(|(pack, mut room)| {
            for (at, scores) in pack.unpacked(self.policies).enumerate() {
                for (part, room) in parts.iter().zip(room.chunks_mut(self.policies)) {
                    for (score, room) in scores.iter().zip(room) {
                        room[at] = part(score);
                    }
                }
            }
        });
        all
    }

    /// Adds a typist.
    ///
    /// # Panics
    /// There is not one score for each policy.
    pub(crate) fn push(&mut self, person: Person, scores: &[TypistScore]) {
        assert_eq!(scores.len(), self.policies, "one score for each policy");
        self.people.push(person);
        if self.packs.last().is_none_or(|pack| pack.typists == PACK) {
            self.packs.push(Pack::default());
        }
        let pack = self.packs.last_mut().expect("there is one now");
        pack.typists += 1;
        for score in scores {
            let bytes = std::mem::take(&mut pack.bytes);
            pack.bytes = postcard::to_extend(score, bytes).expect("memory takes our own structs");
        }
    }

    /// Adds the typists that follow.
    ///
    /// # Panics
    /// They were judged by another number of policies.
    pub(crate) fn append(&mut self, mut later: Self) {
        assert_eq!(later.policies, self.policies, "parts of one study");
        self.people.append(&mut later.people);
        for pack in &mut later.packs {
            pack.bytes.shrink_to_fit();
        }
        self.packs.append(&mut later.packs);
    }

    /// Whether these, read from elsewhere, are scores of so many policies, each of which `sound` accepts.
    pub(crate) fn are_sound(&self, policies: usize, sound: impl Fn(&TypistScore) -> bool) -> bool {
        let sound = |pack: &Pack| {
            let mut bytes = pack.bytes.as_slice();
            // No score takes less than a byte, so a number of typists from elsewhere asks for no more than there is.
            let some = pack.typists <= pack.bytes.len() && policies <= pack.bytes.len();
            some && (0..pack.typists * policies).all(|_| match postcard::take_from_bytes(bytes) {
                Ok((score, rest)) => {
                    bytes = rest;
                    sound(&score)
                }
                Err(_) => false,
            }) && bytes.is_empty()
        };
        let typists = self.packs.iter().try_fold(0_usize, |sum, pack| sum.checked_add(pack.typists));
        self.policies == policies && typists == Some(self.len()) && self.packs.iter().all(sound)
    }
}

impl Pack {
    /// The scores of each typist.
    fn unpacked(&self, policies: usize) -> impl Iterator<Item = Vec<TypistScore>> + '_ {
        let mut bytes = self.bytes.as_slice();
        let mut next = move || {
            let (score, rest) = postcard::take_from_bytes(bytes).expect("packed by ourselves, or checked when read");
            bytes = rest;
            score
        };
        (0..self.typists).map(move |_| (0..policies).map(|_| next()).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn person(typist: u64) -> Person {
        Person { typist, wpm: 50.0, interval_ms: 200.0, dwell_ms: 100.0, rollover: 0.3, trailing_share: 0.2 }
    }

    fn score(taps: u64) -> TypistScore {
        let mut score = TypistScore::default();
        score.counts.taps = taps;
        score.counts.tap_delay_us = taps << 40;
        score
    }

    fn packed() -> (ArmScores, Vec<TypistRow>) {
        let rows: Vec<_> = (0..5)
            .map(|typist| TypistRow { person: person(typist), scores: vec![score(typist), score(300 * typist)] })
            .collect();
        let mut all = ArmScores::new(2);
        rows.iter().for_each(|row| all.push(row.person, &row.scores));
        (all, rows)
    }

    #[test]
    fn what_is_packed_comes_out_again() {
        let (all, rows) = packed();
        assert_eq!(all.iter().collect::<Vec<_>>(), rows);
        let parts: [fn(&TypistScore) -> u64; 2] = [|score| score.counts.taps, |score| score.counts.tap_delay_us];
        let wanted = parts
            .map(|part| [0, 1].map(|at| rows.iter().map(|row| part(&row.scores[at])).collect::<Vec<_>>()).to_vec());
        assert_eq!(all.each(&parts), wanted);
        let mut two = ArmScores::new(2);
        two.push(rows[0].person, &rows[0].scores);
        let mut later = ArmScores::new(2);
        rows[1..].iter().for_each(|row| later.push(row.person, &row.scores));
        two.append(later);
        assert!(two.iter().eq(all.iter()) && two.each(&parts) == wanted);
    }

    #[test]
    fn what_is_cut_or_too_long_is_not_sound() {
        let (all, _) = packed();
        assert!(all.are_sound(2, |_| true));
        assert!(!all.are_sound(1, |_| true) && !all.are_sound(2, |score| score.counts.taps < 100));
        let bytes = &all.packs[0].bytes;
        let with =
            |typists, bytes: &[u8]| ArmScores { packs: vec![Pack { typists, bytes: bytes.to_vec() }], ..all.clone() };
        let (cut, long) = (with(5, &bytes[1..]), with(5, &[&bytes[..], &[0]].concat()));
        let (few, huge) = (with(4, bytes), with(usize::MAX, bytes));
        let many = ArmScores { people: vec![person(0); 6], ..all.clone() };
        assert!([cut, long, few, huge, many].iter().all(|wrong| !wrong.are_sound(2, |_| true)));
    }
}

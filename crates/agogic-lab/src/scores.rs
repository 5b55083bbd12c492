//! Scores of typists, packed: hundreds of thousands of typists fit in memory.

use agogic_score::TypistScore;
use agogic_typist::{Session, Trait, Typist};
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
/// A score is some forty whole numbers, most of them small. Packed it takes about 70 bytes instead of 400, so the
/// memory of a run is that of its sessions and not of its typists.
///
/// # Shape
/// As many scores for each typist as there are policies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ArmScores {
    policies: usize,
    people: Vec<Person>,
    /// The scores in the wire format of postcard 1, one after the other.
    packed: Vec<u8>,
}

impl ArmScores {
    /// No typist yet, of a study with so many policies.
    pub fn new(policies: usize) -> Self {
        Self { policies, people: Vec::new(), packed: Vec::new() }
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

    /// Calls `visit` with each typist and the scores of each policy, in order.
    pub fn each(&self, mut visit: impl FnMut(&Person, &[TypistScore])) {
        let mut scores = vec![TypistScore::default(); self.policies];
        let mut packed = self.packed.as_slice();
        for person in &self.people {
            for score in &mut scores {
                (*score, packed) =
                    postcard::take_from_bytes(packed).expect("packed by ourselves, or checked when read");
            }
            visit(person, &scores);
        }
    }

    /// The typists with their scores, unpacked one after the other.
    pub fn iter(&self) -> impl Iterator<Item = TypistRow> + '_ {
        let mut packed = self.packed.as_slice();
        self.people.iter().map(move |person| {
            let mut next = || {
                let (score, rest) = postcard::take_from_bytes(packed).expect("as in each");
                packed = rest;
                score
            };
            TypistRow { person: *person, scores: (0..self.policies).map(|_| next()).collect() }
        })
    }

    /// Adds a typist.
    ///
    /// # Panics
    /// There is not one score for each policy.
    pub(crate) fn push(&mut self, person: Person, scores: &[TypistScore]) {
        assert_eq!(scores.len(), self.policies, "one score for each policy");
        self.people.push(person);
        for score in scores {
            let packed = std::mem::take(&mut self.packed);
            self.packed = postcard::to_extend(score, packed).expect("memory takes our own structs");
        }
    }

    /// Adds the typists that follow.
    ///
    /// # Panics
    /// They were judged by another number of policies.
    pub(crate) fn append(&mut self, mut later: Self) {
        assert_eq!(later.policies, self.policies, "parts of one study");
        self.people.append(&mut later.people);
        self.packed.append(&mut later.packed);
    }

    /// Whether these, read from elsewhere, are scores of so many policies, each of which `sound` accepts.
    pub(crate) fn are_sound(&self, policies: usize, sound: impl Fn(&TypistScore) -> bool) -> bool {
        let mut packed = self.packed.as_slice();
        let all = (0..self.people.len() * policies).all(|_| match postcard::take_from_bytes(packed) {
            Ok((score, rest)) => {
                packed = rest;
                sound(&score)
            }
            Err(_) => false,
        });
        self.policies == policies && all && packed.is_empty()
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
        let mut seen = Vec::new();
        all.each(|person, scores| seen.push(TypistRow { person: *person, scores: scores.to_vec() }));
        assert_eq!(seen, rows);
        let mut two = ArmScores::new(2);
        two.push(rows[0].person, &rows[0].scores);
        let mut later = ArmScores::new(2);
        rows[1..].iter().for_each(|row| later.push(row.person, &row.scores));
        two.append(later);
        assert_eq!(two, all);
    }

    #[test]
    fn what_is_cut_or_too_long_is_not_sound() {
        let (all, _) = packed();
        assert!(all.are_sound(2, |_| true));
        assert!(!all.are_sound(1, |_| true) && !all.are_sound(2, |score| score.counts.taps < 100));
        let cut = ArmScores { packed: all.packed[1..].to_vec(), ..all.clone() };
        let long = ArmScores { packed: [&all.packed[..], &[0]].concat(), ..all.clone() };
        let many = ArmScores { people: vec![person(0); 6], ..all };
        assert!([cut, long, many].iter().all(|wrong| !wrong.are_sound(2, |_| true)));
    }
}

//! Scores of typists, packed: hundreds of thousands of typists fit in memory.

use std::sync::Arc;

use agogic_score::TypistScore;
use agogic_stats::Clusters;
use agogic_study::EstimandInfo;
use agogic_typist::{Session, Trait, Typist};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::pack::Pack;
use crate::scratch::Scratch;

/// How one typist types, as seen in the judged session.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TypistSummary {
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
    /// Median time from the last target's press to the held key's release, as this person has it, in ms.
    pub release_ms: f64,
}

impl TypistSummary {
    /// The summary of a session.
    pub fn of(typist: &Typist, session: &Session) -> Self {
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
            release_ms: typist.get(Trait::Release),
        }
    }
}

/// One typist's scores under every policy.
#[derive(Clone, Debug, PartialEq)]
pub struct TypistRow {
    /// How this person types.
    pub person: TypistSummary,
    /// Scores, one per policy in the order of the study.
    pub scores: Vec<TypistScore>,
}

/// Numerators and denominators of some typists under one policy.
pub fn clusters(rows: &[TypistRow], info: &EstimandInfo, policy: usize) -> Clusters {
    info.clusters(rows.iter().map(|row| (info.parts)(&row.scores[policy])))
}

/// Typists of an arm with their scores under every policy, in the order of their numbers.
///
/// A score is some forty whole numbers, most of them small. Packed it takes 50 to 80 bytes instead of 320, and these can
/// be on disk.
///
/// # Shape
/// As many scores for each typist as there are policies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ArmScores {
    policies: usize,
    people: Vec<TypistSummary>,
    packs: Vec<Pack>,
}

/// Typists of a pack at most: packs are unpacked side by side.
const PACK: usize = 512;

impl ArmScores {
    /// No typist yet, of a study with so many policies.
    pub fn new(policies: usize) -> Self {
        Self { policies, people: Vec::new(), packs: Vec::new() }
    }

    /// These typists.
    ///
    /// # Panics
    /// One has not one score for each policy.
    pub fn of(policies: usize, rows: &[TypistRow]) -> Self {
        let packs = rows.chunks(PACK).map(|rows| Pack::of(policies, rows)).collect();
        Self { policies, people: rows.iter().map(|row| row.person).collect(), packs }
    }

    /// The typists that are there.
    pub fn people(&self) -> &[TypistSummary] {
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

    /// The typists with their scores, one pack after the other.
    pub fn iter(&self) -> impl Iterator<Item = TypistRow> + '_ {
        let unpacked = |pack: &Pack| {
            let mut scores = vec![Vec::with_capacity(self.policies); pack.typists()];
            pack.each_policy(self.policies, |_, first, own| {
                scores[first..].iter_mut().zip(own).for_each(|(scores, own)| scores.push(*own));
            });
            scores
        };
        let scores = self.packs.iter().flat_map(unpacked);
        self.people.iter().zip(scores).map(|(person, scores)| TypistRow { person: *person, scores })
    }

    /// Something of every score: for each of `parts` a list over typists for each policy. Packs are unpacked on all cores
    /// of the current thread pool.
    pub fn each<T: Copy + Default + Send + Sync>(
        &self,
        parts: &[impl Fn(&TypistScore) -> T + Sync],
    ) -> Vec<Vec<Vec<T>>> {
        let mut all = vec![vec![vec![T::default(); self.len()]; self.policies]; parts.len()];
        // The room of each pack: a slice for each part and policy.
        let mut rooms: Vec<Vec<&mut [T]>> = self.packs.iter().map(|_| Vec::new()).collect();
        for mut rest in all.iter_mut().flatten().map(Vec::as_mut_slice) {
            for (pack, room) in self.packs.iter().zip(&mut rooms) {
                let (own, later) = rest.split_at_mut(pack.typists());
                room.push(own);
                rest = later;
            }
        }
        self.packs.par_iter().zip(rooms).for_each(|(pack, mut room)| {
            pack.each_policy(self.policies, |policy, first, scores| {
                for (part, room) in parts.iter().zip(room.chunks_mut(self.policies)) {
                    room[policy][first..].iter_mut().zip(scores).for_each(|(room, score)| *room = part(score));
                }
            });
        });
        all
    }

    /// Numerators and denominators of all typists: for each estimand, one for each policy.
    pub fn clusters_of(&self, infos: &[&EstimandInfo]) -> Vec<Vec<Clusters>> {
        let parts: Vec<_> = infos.iter().map(|info| info.parts).collect();
        let gathered = |(info, parts): (&&EstimandInfo, Vec<Vec<(f64, f64)>>)| {
            parts.into_iter().map(|own| info.clusters(own)).collect()
        };
        infos.iter().zip(self.each(&parts)).map(gathered).collect()
    }

    /// Numerators and denominators of all typists, one for each policy.
    pub fn clusters(&self, info: &EstimandInfo) -> Vec<Clusters> {
        self.clusters_of(&[info]).pop().expect("one estimand was asked for")
    }

    /// Adds the typists that follow.
    ///
    /// # Panics
    /// They were judged by another number of policies.
    pub fn append(&mut self, mut later: Self) {
        assert_eq!(later.policies, self.policies, "parts of one study");
        self.people.append(&mut later.people);
        self.packs.append(&mut later.packs);
    }

    /// Moves the scores to a scratch file, if it has room.
    pub(crate) fn move_to(&mut self, scratch: &Arc<Scratch>) {
        self.packs.iter_mut().for_each(|pack| pack.move_to(scratch));
    }

    /// Whether these, read from elsewhere, are scores of so many policies, each of which `sound` accepts.
    pub(crate) fn are_sound(&self, policies: usize, sound: impl Fn(&TypistScore) -> bool) -> bool {
        let typists = self.packs.iter().try_fold(0_usize, |sum, pack| sum.checked_add(pack.typists()));
        self.policies == policies
            && typists == Some(self.len())
            && self.packs.iter().all(|pack| pack.is_sound(policies, &sound))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(typist: u64) -> TypistRow {
        let (wpm, interval_ms, dwell_ms, rollover, release_ms) = (50.0, 200.0, 100.0, 0.3, 80.0);
        let person = TypistSummary { typist, wpm, interval_ms, dwell_ms, rollover, release_ms };
        let score = |taps: u64| {
            let mut score = TypistScore::default();
            score.counts.taps = taps;
            score.counts.tap_delay_us = taps << 40;
            score
        };
        TypistRow { person, scores: vec![score(typist), score(300 * typist)] }
    }

    #[test]
    fn what_is_packed_comes_out_again() {
        let rows: Vec<TypistRow> = (1..=PACK as u64 + 3).map(row).collect();
        let all = ArmScores::of(2, &rows);
        assert_eq!(all.iter().collect::<Vec<_>>(), rows);
        let parts: [fn(&TypistScore) -> u64; 2] = [|score| score.counts.taps, |score| score.counts.tap_delay_us];
        let wanted = parts
            .map(|part| [0, 1].map(|at| rows.iter().map(|row| part(&row.scores[at])).collect::<Vec<_>>()).to_vec());
        assert_eq!(all.each(&parts), wanted);
        let folder = tempfile::tempdir().unwrap();
        let mut two = ArmScores::of(2, &rows[..1]);
        two.move_to(&Scratch::on_disk_of(folder.path()).unwrap());
        two.append(ArmScores::of(2, &rows[1..]));
        assert!(two.iter().eq(all.iter()) && two.each(&parts) == wanted);
    }

    #[test]
    fn as_many_people_as_scores_are_sound() {
        let all = ArmScores::of(2, &(1..=5).map(row).collect::<Vec<_>>());
        assert!(all.are_sound(2, |_| true) && ArmScores::new(2).are_sound(2, |_| true));
        assert!(!all.are_sound(1, |_| true) && !all.are_sound(2, |score| score.counts.taps < 100));
        let many = ArmScores { people: vec![all.people[0]; 6], ..all.clone() };
        let none = ArmScores { packs: Vec::new(), ..all };
        assert!(!many.are_sound(2, |_| true) && !none.are_sound(2, |_| true));
    }
}

//! Scoring decision by decision, without storing decisions.

use agogic_keys::{ModifierSet, Span, Truth};
use agogic_policy::Decision;
use serde::{Deserialize, Serialize};

use crate::causes::FalseHoldCause;
use crate::cost_table::CostTable;
use crate::counts::Counts;
use crate::distance::{Anchor, distance};
use crate::emulator::{Arrival, Host};
use crate::harm::{Harm, harm};
use crate::kinds::Kinds;
use crate::quantile::{nearest_rank_beside_zeros, nearest_ranks};
use crate::text_error::{Effect, TextError, effect};
use crate::transcript::Transcript;

/// All that one policy made of one typist's session.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TypistScore {
    /// Outcomes and delays.
    pub counts: Counts,
    /// What mending the wrong outcomes costs.
    pub harm: Harm,
    /// The text at the host against the text that was meant, slips of the typist included in both: what
    /// decisions alone did to it. How their distance is taken, see [`ScorerStream::finish`].
    pub text: TextError,
}

/// Characters in a row that are the same in the text that was meant and at the host, from which their middle counts as
/// one place in both: another alignment would have to do without so many matches.
const ANCHORED: usize = 16;

/// A letter of the text, as most presses are.
const PLAIN: Truth = Truth { hold: false, bare: false, with: ModifierSet::NONE, shortcut: false };

/// Scores one policy while a session is scanned.
///
/// [`begin`](Self::begin) a session, [`decide`](Self::decide) each dual-role press in order as
/// [`EncounterScan`](agogic_policy::EncounterScan) shows it, [`finish`](Self::finish). However long presses
/// stay undecided, and however many at once: keys reach the host in the order they were pressed, so a
/// press is settled once it and all before it are decided, and none has to be kept.
///
/// Buffers are used again: a scorer allocates only while they grow. It keeps the delay of each tap, for the
/// quantiles, and the text, but no decision. Gives what [`tally`](crate::tally), [`Kinds::of`] and
/// [`Produced::of`](crate::Produced::of) give; property tests hold them together.
#[derive(Clone, Debug, Default)]
pub struct ScorerStream {
    host: Host,
    next: usize,
    counts: Counts,
    kinds: Kinds,
    tap_delays: Vec<u64>,
    /// Delays of the keys that had to wait. Most keys do not wait, and need not be stored.
    waits: Vec<u64>,
    /// Presses that reached the host as modifiers, not as keys.
    modifiers: u64,
    /// The text at the host as far as it has been put together: presses before `applied`. As long as presses do what
    /// they were meant to do, nothing is put together.
    text: Vec<u8>,
    applied: usize,
    /// The first of the meant deletions at or after `applied`.
    next_delete: usize,
    /// Every press so far did what it was meant to do.
    as_meant: bool,
    /// Where both texts belong together for sure.
    anchors: Vec<Anchor>,
    fixes: u64,
    deleted: u64,
}

impl ScorerStream {
    /// A scorer with empty buffers.
    pub fn new() -> Self {
        Self::default()
    }

    /// Forgets the session before.
    pub fn begin(&mut self, transcript: &Transcript<'_>) {
        self.host = Host::new();
        self.next = transcript.first;
        self.counts = Counts::default();
        self.kinds.clear();
        self.tap_delays.clear();
        self.waits.clear();
        self.modifiers = 0;
        self.text.clear();
        self.applied = transcript.first;
        self.next_delete = transcript.deletes.partition_point(|delete| (delete.press as usize) < transcript.first);
        self.as_meant = true;
        self.anchors.clear();
        self.fixes = 0;
        self.deleted = 0;
    }

    /// The decision on the dual-role press at `press`. Presses before the judged part are passed over.
    ///
    /// # Panics
    /// If a dual-role press has been left out, or one comes twice: the caller mixed up sessions.
    #[inline]
    pub fn decide(&mut self, transcript: &Transcript<'_>, press: usize, decision: Decision) {
        if press < transcript.first {
            return;
        }
        assert!(press >= self.next, "decisions follow the order of presses");
        self.plain_until(transcript, press);
        let Transcript { emulator, presses, truths, .. } = *transcript;
        let (code, truth) = (presses[press].code, truths[press]);
        let modifier = emulator.held_role(code).expect("no decision without a dual-role press");
        self.next = press + 1;
        if !decision.is_hold() && truth == PLAIN && !self.host.acts_at(presses[press].down) {
            // Most are taps decided as taps, that do what they were meant to do.
            self.tap_delays.push(decision.after.0);
            let delay = self.host.tap(presses[press].down, decision.after);
            self.wait(delay);
            return;
        }
        self.kinds.decision(modifier, code, truth, decision);
        let counts = &mut self.counts;
        if let Some(facts) = transcript.holds[press] {
            counts.holds += 1;
            counts.holds_by.add(facts.gesture);
            counts.runs += u64::from(facts.run);
            counts.hold_delay_us += decision.after.0;
            if !decision.is_hold() {
                counts.missed_holds += 1;
                counts.missed_by.add(facts.gesture);
                counts.missed_runs += u64::from(facts.run);
            }
        } else {
            self.tap_delays.push(decision.after.0);
            if decision.is_hold() {
                counts.false_holds += 1;
                counts.false_by.add(FalseHoldCause::of(presses, truths, press, decision));
            }
        }
        self.arrive(transcript, press, Some(decision));
    }

    /// The delay of a key that reached the host.
    #[inline]
    fn wait(&mut self, delay: Span) {
        if delay.0 > 0 {
            self.waits.push(delay.0);
        }
    }

    /// The score of the session that was begun, under a table of costs.
    ///
    /// # Definition
    /// The distance of the texts passes through the middle of every run of 16 characters or more that the host got as
    /// they were meant. So its cost is in proportion to the length of the session. It is never below the minimum string
    /// distance, and was equal to it in every session it was compared in.
    ///
    /// # Panics
    /// If a dual-role press was not decided: the caller mixed up sessions.
    pub fn finish(&mut self, transcript: &Transcript<'_>, costs: &CostTable) -> TypistScore {
        let counts = self.finish_counts(transcript);
        self.apply_until(transcript, transcript.presses.len());
        let not_fixed = if self.as_meant { 0 } else { distance(&transcript.text, &self.text, &self.anchors) };
        let longer = transcript.text.len().max(self.text.len()) as u64;
        let text = TextError { correct: longer - not_fixed, not_fixed, fixed: self.deleted, fixes: self.fixes };
        TypistScore { counts, harm: harm(costs, &self.kinds), text }
    }

    pub(crate) fn finish_counts(&mut self, transcript: &Transcript<'_>) -> Counts {
        self.plain_until(transcript, transcript.presses.len());
        let mut counts = self.counts;
        counts.keys = (transcript.presses.len() - transcript.first) as u64;
        counts.words = transcript.words;
        counts.taps = self.tap_delays.len() as u64;
        counts.tap_delay_us = self.tap_delays.iter().sum();
        let over = |delay_us: u64| self.tap_delays.iter().map(|delay| u64::from(*delay > delay_us)).sum();
        (counts.taps_over_40_ms, counts.taps_over_100_ms) = (over(40_000), over(100_000));
        [counts.tap_delay_p50_us, counts.tap_delay_p95_us, counts.tap_delay_p99_us] =
            nearest_ranks(&mut self.tap_delays, [50, 95, 99]);
        counts.host_keys = counts.keys - self.modifiers;
        counts.delayed_keys = self.waits.len() as u64;
        counts.host_delay_us = self.waits.iter().sum();
        let zeros = (counts.host_keys - counts.delayed_keys) as usize;
        counts.key_delay_p95_us = nearest_rank_beside_zeros(zeros, &mut self.waits, 95);
        counts
    }

    /// The wrong outcomes by modifier and key.
    pub fn kinds(&self) -> &Kinds {
        &self.kinds
    }

    /// The text at the host once the session is finished, as bytes of ASCII.
    pub fn text(&self) -> &[u8] {
        &self.text
    }

    /// Keys with one role, up to but without `end`.
    #[inline]
    fn plain_until(&mut self, transcript: &Transcript<'_>, end: usize) {
        let mut index = self.next;
        while index < end {
            // Most keys meet nothing on their way: they arrive at once and do what they were meant to do, and so do
            // those after them, up to the next that is not plain.
            let special = (transcript.next_special[index] as usize).min(end);
            let down = transcript.presses[index].down;
            if special > index && !self.host.acts_at(down) {
                let delay = self.host.tap(down, Span(0));
                self.wait(delay);
                index = if delay.0 > 0 { index + 1 } else { special };
                continue;
            }
            let code = transcript.presses[index].code;
            assert!(transcript.emulator.held_role(code).is_none(), "one decision per dual-role press");
            self.arrive(transcript, index, None);
            index += 1;
        }
        self.next = end.max(self.next);
    }

    #[inline]
    fn arrive(&mut self, transcript: &Transcript<'_>, index: usize, decision: Option<Decision>) {
        let arrival = self.host.take(transcript.emulator, index, &transcript.presses[index], decision);
        let effect = match arrival {
            Arrival::Modifier { .. } => {
                self.modifiers += 1;
                Effect::None
            }
            Arrival::Key(key) => {
                let truth = transcript.truths[index];
                let counts = &mut self.counts;
                if key.delay.0 > 0 {
                    self.waits.push(key.delay.0);
                }
                self.kinds.arrival(&key, truth);
                if !truth.hold && key.with != truth.with {
                    counts.stray_chords += u64::from(!key.with.minus(truth.with).is_empty());
                    counts.lost_chords += u64::from(!truth.with.minus(key.with).is_empty());
                }
                // A key that carries what it was meant to carry does what it was meant to do.
                if key.with == truth.with && !truth.hold { transcript.meant[index] } else { effect(key.code, key.with) }
            }
        };
        let meant = transcript.meant[index];
        if effect != meant {
            self.as_meant = false;
            self.apply_until(transcript, index);
            self.write(effect);
            self.applied = index + 1;
            self.next_delete += usize::from(meant == Effect::Deletes);
        }
    }

    /// Puts the text together up to but without press `end`: all presses from `applied` on did what they were meant to.
    fn apply_until(&mut self, transcript: &Transcript<'_>, end: usize) {
        let written = |press: usize| transcript.written_before[press] as usize;
        while self.applied < end {
            let next = transcript.deletes[self.next_delete];
            let delete = end.min(next.press as usize);
            let run = &transcript.written[written(self.applied)..written(delete)];
            if run.len() >= ANCHORED {
                // The middle of what is the same in both texts, if it stays.
                let half = (run.len() / 2) as u32;
                let before = transcript.written_before[self.applied] - transcript.written_before[transcript.first];
                let meant = before - next.taken_before + half;
                if meant <= next.stay {
                    self.anchors.push((meant, self.text.len() as u32 + half));
                }
            }
            self.text.extend_from_slice(run);
            self.applied = delete;
            if delete < end {
                self.write(Effect::Deletes);
                self.next_delete += 1;
                self.applied += 1;
            }
        }
    }

    #[inline]
    fn write(&mut self, effect: Effect) {
        match effect {
            Effect::Writes(byte) => self.text.push(byte),
            Effect::Deletes => {
                self.fixes += 1;
                self.deleted += u64::from(self.text.pop().is_some());
                while self.anchors.last().is_some_and(|(_, there)| *there as usize > self.text.len()) {
                    self.anchors.pop();
                }
            }
            Effect::None => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::emulator::Emulator;
    use agogic_keys::{Assignment, Board, Instant, Modifier, ModifierSet, Press, Truth};

    fn emulator() -> Emulator {
        let mut assignment = Assignment::none();
        assignment.assign(&Board::row_staggered(), "KeyF".parse().unwrap(), Modifier::Shift).unwrap();
        Emulator::new(&assignment)
    }

    const TAPS: [Truth; 4] = [Truth { hold: false, bare: false, with: ModifierSet::NONE, shortcut: false }; 4];

    fn press(name: &str, down: u64, up: u64) -> Press {
        Press { code: name.parse().unwrap(), down: Instant(down), up: Instant(up) }
    }

    #[test]
    fn nothing_is_left_over_from_the_session_before() {
        let (emulator, costs) = (emulator(), CostTable::default());
        let mut stream = ScorerStream::new();
        let presses = [press("KeyF", 0, 300), press("KeyE", 200, 400)];
        let transcript = Transcript::new(&emulator, &presses, &TAPS[..2], 1);
        stream.begin(&transcript);
        stream.decide(&transcript, 0, Decision::hold(Span(250)));
        let first = stream.finish(&transcript, &costs);
        assert_eq!((first.counts.false_holds, first.text.not_fixed), (1, 2));
        assert_eq!(first.harm.total_us(), 2_500_000);
        assert_eq!(stream.text(), b"E");
        let empty = Transcript::new(&emulator, &[], &[], 0);
        stream.begin(&empty);
        assert_eq!(stream.finish(&empty, &costs), TypistScore::default());
        assert_eq!(stream.kinds(), &Kinds::new());
    }

    #[test]
    fn what_comes_before_the_judged_part_does_not_count() {
        let (emulator, costs) = (emulator(), CostTable::default());
        let presses = [press("KeyF", 0, 90), press("KeyE", 80, 150), press("KeyF", 300, 400), press("KeyI", 350, 420)];
        let part = Transcript::from_press(&emulator, &presses, &TAPS, 1, 1);
        assert_eq!(part.first(), 2);
        let mut stream = ScorerStream::new();
        stream.begin(&part);
        stream.decide(&part, 0, Decision::hold(Span(80)));
        stream.decide(&part, 2, Decision::tap(Span(100)));
        let score = stream.finish(&part, &costs);
        assert_eq!((score.counts.keys, score.counts.taps, score.counts.false_holds), (2, 1, 0));
        assert_eq!((stream.text(), score.text.not_fixed), (&b"fi"[..], 0));
    }

    #[test]
    #[should_panic(expected = "one decision per dual-role press")]
    fn a_forgotten_decision_is_our_mistake() {
        let emulator = emulator();
        let presses = [press("KeyF", 0, 90)];
        let transcript = Transcript::new(&emulator, &presses, &TAPS[..1], 1);
        let mut stream = ScorerStream::new();
        stream.begin(&transcript);
        stream.finish(&transcript, &CostTable::default());
    }

    #[test]
    #[should_panic(expected = "follow the order")]
    fn a_decision_taken_twice_is_our_mistake() {
        let emulator = emulator();
        let presses = [press("KeyF", 0, 90)];
        let transcript = Transcript::new(&emulator, &presses, &TAPS[..1], 1);
        let mut stream = ScorerStream::new();
        stream.begin(&transcript);
        stream.decide(&transcript, 0, Decision::tap(Span(1)));
        stream.decide(&transcript, 0, Decision::tap(Span(1)));
    }
}

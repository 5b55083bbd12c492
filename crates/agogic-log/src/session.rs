//! A session as it comes out of the reader.

use std::ops::Range;

use agogic_keys::{Assignment, Code, ModifierSet, Press, Truth};

use crate::LogReport;

/// What a participant meant by a press, as the log states it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Intent {
    /// A tap.
    Tap,
    /// A hold, for a target key or for none.
    Hold(Option<Code>),
}

/// One unbroken clock of one session of one participant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SessionLog {
    /// The participant's name in the log.
    pub participant: String,
    /// The session's name in the log.
    pub session: String,
    /// Number of the part, from 0: a session is split where its clock was set back.
    pub part: u32,
    /// The presses in the order in which the keys went down. Times are as in the log: on the session's own
    /// clock, wherever that has its zero.
    pub presses: Vec<Press>,
    /// What was meant by each; `None` where the log does not say.
    pub intents: Vec<Option<Intent>>,
    /// Places in `presses`, ascending, before which rows are missing. No interval, lull or overlap may be
    /// taken from a press before such a place to one at or after it.
    pub breaks: Vec<usize>,
}

impl SessionLog {
    /// The places between which every neighbour is known.
    pub fn ranges(&self) -> impl Iterator<Item = Range<usize>> {
        let starts = std::iter::once(0).chain(self.breaks.iter().copied());
        let ends = self.breaks.iter().copied().chain([self.presses.len()]);
        starts.zip(ends).map(|(start, end)| start..end).filter(|range| !range.is_empty())
    }

    /// The presses without the missing places: runs in which every neighbour is known.
    pub fn runs(&self) -> impl Iterator<Item = &[Press]> {
        self.ranges().map(|range| &self.presses[range])
    }

    /// What was meant by each press, as scoring takes it; `None` where it cannot be known.
    ///
    /// # Definition
    /// A press with a stated intent means that. A press of a key with one role needs none. Every press of
    /// a hold's target key, up to the release of the holding key, carries the modifier; where no such
    /// press follows before the release, the next one does.
    ///
    /// # Undefined
    /// A press of a dual-role key without a stated intent is `None`. The log keeps one target for a hold:
    /// keys of other names pressed under the same hold count as plain taps.
    pub fn truths(&self, assignment: &Assignment) -> Vec<Option<Truth>> {
        let mut truths: Vec<Option<Truth>> = Vec::with_capacity(self.presses.len());
        for (press, intent) in self.presses.iter().zip(&self.intents) {
            truths.push(match intent {
                Some(Intent::Tap) => Some(Truth::default()),
                Some(Intent::Hold(target)) => Some(Truth { hold: true, bare: target.is_none(), ..Truth::default() }),
                None if assignment.modifier(press.code).is_none() => Some(Truth::default()),
                None => None,
            });
        }
        for (place, intent) in self.intents.iter().enumerate() {
            let Some(Intent::Hold(Some(target))) = intent else { continue };
            let holder = &self.presses[place];
            let Some(modifier) = assignment.modifier(holder.code).or_else(|| assignment.dedicated(holder.code)) else {
                continue;
            };
            let targets = (place + 1..self.presses.len()).filter(|later| self.presses[*later].code == *target);
            for (count, later) in targets.enumerate() {
                if count > 0 && self.presses[later].down >= holder.up {
                    break;
                }
                if let Some(truth) = &mut truths[later] {
                    truth.with = truth.with.union(ModifierSet::NONE.with(modifier));
                }
            }
        }
        truths
    }
}

/// A log that was read: its sessions and what became of every row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Log {
    /// The sessions, in the order in which the log first names them. Only those with a press.
    pub sessions: Vec<SessionLog>,
    /// What became of every row.
    pub report: LogReport,
}

impl Log {
    /// The sessions of each participant, in the order in which the log first names them.
    pub fn by_participant(&self) -> Vec<(&str, Vec<&SessionLog>)> {
        let mut people: Vec<(&str, Vec<&SessionLog>)> = Vec::new();
        let mut places = std::collections::BTreeMap::new();
        for session in &self.sessions {
            let place = *places.entry(session.participant.as_str()).or_insert(people.len());
            if place == people.len() {
                people.push((&session.participant, Vec::new()));
            }
            people[place].1.push(session);
        }
        people
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Board, Instant, Modifier};

    fn press(name: &str, down: u64, up: u64) -> Press {
        Press { code: name.parse().unwrap(), down: Instant(down), up: Instant(up) }
    }

    fn session(presses: Vec<Press>, intents: Vec<Option<Intent>>) -> SessionLog {
        SessionLog { participant: "p".into(), session: "1".into(), part: 0, presses, intents, breaks: vec![] }
    }

    #[test]
    fn runs_leave_the_missing_places_out() {
        let presses = (0..5).map(|i| press("KeyA", i * 10, i * 10 + 5)).collect();
        let mut log = session(presses, vec![None; 5]);
        log.breaks = vec![0, 2, 4];
        let lengths: Vec<usize> = log.runs().map(<[Press]>::len).collect();
        assert_eq!(lengths, [2, 2, 1]);
        log.breaks.clear();
        assert_eq!(log.runs().count(), 1);
        assert_eq!(session(vec![], vec![]).runs().count(), 0);
    }

    #[test]
    fn truths_come_from_stated_intents_and_single_roles() {
        let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
        let assignment = Assignment::resting(&Board::row_staggered(), order);
        let hold = Some(Intent::Hold(Some("KeyQ".parse().unwrap())));
        let log = session(
            vec![
                press("KeyJ", 0, 100),
                press("KeyQ", 20, 60),
                press("KeyQ", 70, 90),
                press("KeyQ", 110, 150),
                press("KeyJ", 200, 250),
                press("KeyF", 300, 350),
                press("ShiftLeft", 400, 460),
                press("KeyQ", 470, 500),
            ],
            vec![hold, None, None, None, None, Some(Intent::Hold(None)), hold, None],
        );
        let truths = log.truths(&assignment);
        let shift = ModifierSet::NONE.with(Modifier::Shift);
        let with = |place: usize| truths[place].unwrap().with;
        assert!(truths[0].unwrap().hold && !truths[0].unwrap().bare);
        assert_eq!((with(1), with(2), with(3)), (shift, shift, ModifierSet::NONE));
        assert_eq!(truths[4], None, "a dual-role press without a stated intent");
        assert!(truths[5].unwrap().bare);
        // The target came after the release: a missed hold is still a hold for that key.
        assert_eq!(with(7), shift);
    }
}

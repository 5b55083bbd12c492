//! One person's ordinary typing under the settings of the test bed.

use agogic_keys::{Board, Code, Hand, Press};
use agogic_policy::{EncounterScan, Setting};
use agogic_stats::mean;

use crate::gesture::Gesture;
use crate::meant::{Meant, is_dual, meant};
use crate::settings::settings;

/// Fewest taps of resting keys for a person to count.
pub const LEAST_TAPS: u64 = 60;
/// Fewest holds of Shift for a person to count.
pub const LEAST_HOLDS: u64 = 8;

/// Longest gap that counts as an interval, in ms: the rule of Dhakal et al. 2018.
const LONGEST_INTERVAL_MS: f64 = 5000.0;

/// Fingers of both hands, without thumbs.
pub(crate) const FINGERS: usize = 8;

/// What the test bed keeps of one person.
#[derive(Clone, Debug, Default)]
pub struct Person {
    /// Name or number.
    pub id: String,
    /// Presses of any key.
    pub keys: u64,
    /// Mean interval, press to press inside runs, gaps above 5 s left out, in ms; `None` without any.
    pub interval_ms: Option<f64>,
    /// Presses that stand for taps.
    pub taps: u64,
    /// Presses that stand for holds.
    pub holds: u64,
    /// False holds of each setting.
    pub false_holds: Vec<u64>,
    /// Missed holds of each setting.
    pub missed_holds: Vec<u64>,
    /// Holds of Shift.
    pub gestures: Vec<Gesture>,
    /// Dwells of keys that write, in ms.
    pub dwells: Vec<f64>,
    /// Sum and count of the log dwells of letters under each finger, left little to index, right index to little.
    pub(crate) by_finger: [(f64, f64); FINGERS],
    /// Neighbouring presses of keys that write; those of them that overlap, and those whose second key comes up first.
    pub(crate) pairs: u64,
    pub(crate) rolls: u64,
    pub(crate) nested: u64,
    /// Logs of dwells of keys that write and of the intervals before them.
    pub(crate) dwell_after: Vec<(f64, f64)>,
    /// Overlaps of rolls, in ms.
    pub(crate) overlaps: Vec<f64>,
    /// Intervals, gaps above 5 s left out, in ms.
    pub(crate) intervals: Vec<f64>,
    /// Sum in ms and count of the intervals of letter pairs: of two hands, of one hand and two keys, of one key.
    pub(crate) letter_pairs: [(f64, f64); 3],
    /// Presses of keys that write, and of Backspace and Delete.
    pub(crate) writing: u64,
    pub(crate) erasing: u64,
}

impl Person {
    /// Whether there is enough of this person to count.
    pub fn counts(&self) -> bool {
        self.taps >= LEAST_TAPS && self.holds >= LEAST_HOLDS && self.interval_ms.is_some()
    }
}

/// Plays people's typing to the settings of the test bed.
pub struct Tester {
    settings: Vec<(String, Setting)>,
    scan: EncounterScan,
    board: Board,
}

impl Default for Tester {
    fn default() -> Self {
        Self { settings: settings(), scan: EncounterScan::new(), board: Board::row_staggered() }
    }
}

impl Tester {
    /// With the settings of the test bed.
    pub fn new() -> Self {
        Self::default()
    }

    /// Labels of the settings, in order.
    pub fn labels(&self) -> impl ExactSizeIterator<Item = &str> + Clone {
        self.settings.iter().map(|(label, _)| label.as_str())
    }

    /// Takes the figures of one person from runs of presses in which every neighbour is known.
    ///
    /// `hand` tells the hand of a key. Where a log does not say which Shift was pressed, it has to say
    /// [`Hand::Either`] for every key.
    pub fn person<'p>(
        &mut self,
        id: &str,
        runs: impl IntoIterator<Item = &'p [Press]>,
        hand: impl Fn(Code) -> Hand + Copy,
    ) -> Person {
        let none = vec![0; self.settings.len()];
        let mut person =
            Person { id: id.to_owned(), false_holds: none.clone(), missed_holds: none, ..Person::default() };
        for run in runs {
            for pair in run.windows(2) {
                let interval = pair[1].down.since(pair[0].down).ms();
                if interval <= LONGEST_INTERVAL_MS {
                    person.intervals.push(interval);
                    person.letters(&pair[0], &pair[1], interval, &self.board);
                }
            }
            self.run(run, &mut person, hand);
        }
        person.interval_ms = mean(&person.intervals);
        person
    }

    fn run(&mut self, run: &[Press], person: &mut Person, hand: impl Fn(Code) -> Hand + Copy) {
        let Self { settings, scan, board } = self;
        let meant = meant(run);
        person.keys += run.len() as u64;
        for at in 0..run.len() {
            let press = &run[at];
            if meant[at] == Some(Meant::Hold) {
                person.gestures.extend(Gesture::of(run, at, &hand));
            }
            if press.code.character(false).is_some() {
                person.written(run, at, board);
            }
            person.erasing += u64::from(matches!(press.code.name(), "Backspace" | "Delete"));
        }
        scan.each(run, is_dual, hand, |at, encounter| {
            let Some(meant) = meant[at] else { return };
            match meant {
                Meant::Tap => person.taps += 1,
                Meant::Hold => person.holds += 1,
            }
            for (which, (_, setting)) in settings.iter().enumerate() {
                match (meant, setting.decide(encounter).is_hold()) {
                    (Meant::Tap, true) => person.false_holds[which] += 1,
                    (Meant::Hold, false) => person.missed_holds[which] += 1,
                    _ => {}
                }
            }
        });
    }
}

impl Person {
    /// Takes in the interval of two letters.
    fn letters(&mut self, first: &Press, second: &Press, interval: f64, board: &Board) {
        let (Some(a), Some(b)) = (board.place(first.code), board.place(second.code)) else { return };
        if first.code.is_letter() && second.code.is_letter() {
            let class = if first.code == second.code { 2 } else { usize::from(a.hand == b.hand) };
            self.letter_pairs[class].0 += interval;
            self.letter_pairs[class].1 += 1.0;
        }
    }

    /// Takes in a press of a key that writes.
    fn written(&mut self, run: &[Press], at: usize, board: &Board) {
        let press = &run[at];
        self.writing += 1;
        let dwell = press.dwell().ms();
        self.dwells.push(dwell);
        if let Some(place) = board.place(press.code).filter(|_| press.code.is_letter() && dwell > 0.0) {
            // Digits of a board: 0 to 3 left little to index, 5 to 8 right little to index.
            let finger = match place.digit() {
                digit @ 0..=3 => Some(digit),
                digit @ 5..=8 => Some(4 + 8 - digit),
                _ => None,
            };
            if let Some(finger) = finger {
                self.by_finger[finger].0 += dwell.ln();
                self.by_finger[finger].1 += 1.0;
            }
        }
        let Some(before) = at.checked_sub(1).map(|before| &run[before]) else { return };
        if before.code.character(false).is_none() {
            return;
        }
        self.pairs += 1;
        let interval = press.down.since(before.down).ms();
        if dwell > 0.0 && interval > 0.0 && interval <= LONGEST_INTERVAL_MS {
            self.dwell_after.push((dwell.ln(), interval.ln()));
        }
        if before.up > press.down {
            self.rolls += 1;
            self.nested += u64::from(press.up <= before.up);
            self.overlaps.push(before.up.min(press.up).since(press.down).ms());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::press;

    #[test]
    fn a_person_by_hand() {
        // Shift over T with Shift let go first; A rolled onto S; D around E: nested.
        let first =
            [press("ShiftLeft", 0, 180), press("KeyT", 150, 240), press("KeyA", 400, 520), press("KeyS", 500, 600)];
        let second = [press("KeyD", 0, 210), press("KeyE", 60, 150)];
        let mut tester = Tester::new();
        let person = tester.person("x", [&first[..], &second[..]], |_| Hand::Either);
        assert_eq!((person.keys, person.taps, person.holds), (6, 3, 1));
        // Three intervals of the first run and one of the second.
        assert_eq!(person.interval_ms, Some((150.0 + 250.0 + 100.0 + 60.0) / 4.0));
        let errors = |label: &str| {
            let at = tester.labels().position(|l| l == label).unwrap();
            (person.false_holds[at], person.missed_holds[at])
        };
        assert_eq!(errors("first-contact"), (2, 0));
        assert_eq!(errors("enclosed"), (1, 1));
        assert_eq!(errors("dwell-cutoff 200"), (1, 1));
        assert_eq!(errors("dwell-cutoff 150"), (1, 0));
        // T and A, A and S, D and E are pairs of keys that write; T follows Shift, which does not.
        assert_eq!((person.pairs, person.rolls, person.nested), (3, 2, 1));
        assert_eq!(person.overlaps, [20.0, 90.0]);
        // A after T, S after A, and E after D: the dwell that ends the pair with the interval before it.
        assert_eq!(
            person.dwell_after,
            [(120.0, 250.0), (100.0, 100.0), (90.0, 60.0)].map(|(d, i): (f64, f64)| (d.ln(), i.ln()))
        );
        assert!(!person.counts());
        // A is the left little finger, T the left index.
        assert_eq!((person.by_finger[0].1, person.by_finger[3].1, person.by_finger[4].1), (1.0, 1.0, 0.0));
    }
}

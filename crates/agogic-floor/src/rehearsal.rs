//! A rehearsal: how often a typist comes into each situation, and the medians behind it.

use std::collections::BTreeMap;

use agogic_keys::{Code, Instant, Press};
use agogic_typist::{Cue, Performer, Session};

use crate::kinds::{Kind, kinds};
use crate::seen::Side;
use crate::table::STEP;

/// Two times of the model that should be equal may differ by so many µs, for both were cut to whole ones.
pub(crate) const ROUNDING: f64 = 2.0;

/// Log medians of intervals with how often each occurred: in steps of the tables, and by whether a word or
/// typing after an interruption starts.
#[derive(Clone, Debug, Default)]
pub(crate) struct Medians(BTreeMap<(i64, bool), f64>);

impl Medians {
    fn add(&mut self, cue: &Cue) {
        let step = libm::round(cue.log_interval_us / STEP) as i64;
        *self.0.entry((step, cue.starts)).or_insert(0.0) += 1.0;
    }

    pub fn iter(&self) -> impl Iterator<Item = ((i64, bool), f64)> + '_ {
        self.0.iter().map(|(key, count)| (*key, *count))
    }

    pub fn total(&self) -> f64 {
        self.0.values().sum()
    }
}

/// Log medians of dwells with how often each occurred, in tenths of a step.
#[derive(Clone, Debug, Default)]
pub(crate) struct DwellMedians(BTreeMap<i64, f64>);

/// Steps of a log dwell median.
pub(crate) const DWELL_STEP: f64 = STEP / 10.0;

impl DwellMedians {
    fn add(&mut self, cue: &Cue) {
        *self.0.entry(libm::round(cue.log_dwell_us / DWELL_STEP) as i64).or_insert(0.0) += 1.0;
    }

    pub fn iter(&self) -> impl Iterator<Item = (i64, f64)> + '_ {
        self.0.iter().map(|(key, count)| (*key, *count))
    }
}

/// What came before a press whose interval nothing held back.
#[derive(Clone, Debug, Default)]
pub(crate) struct Before {
    /// By the side of the key before; another finger.
    pub side: [Medians; Side::COUNT],
    /// The same finger, another key.
    pub finger: Medians,
    /// The same key.
    pub key: Medians,
}

/// What came before a press that waited for a held key.
#[derive(Clone, Debug, Default)]
pub(crate) struct Waited {
    /// After another key, and after the same.
    pub count: f64,
    pub again: f64,
    pub lulls: Vec<f64>,
    /// How long after the press the key before came up, where it was still down.
    pub carried: Vec<f64>,
}

/// How long ago the same key came up, for presses that do not follow it.
#[derive(Clone, Debug, Default)]
pub(crate) struct SinceSample {
    /// Release of the same key to the press before this one.
    pub far: Vec<f64>,
    /// Presses; those among them whose key came up after the press before; and those of these that waited
    /// for the finger's lift alone.
    pub counts: [f64; 3],
}

impl SinceSample {
    fn add(&mut self, since: f64, lull: f64, lift: f64) {
        self.counts[0] += 1.0;
        if since < lull {
            self.counts[1] += 1.0;
            self.counts[2] += f64::from(u8::from((since - lift).abs() <= ROUNDING));
        } else {
            self.far.push((since - lull).max(1000.0));
        }
    }
}

/// One of the two classes.
#[derive(Clone, Debug, Default)]
pub(crate) struct Class {
    pub before: Before,
    pub waited: Waited,
    /// After a press in its own time, after one that was waited for, and inside a gesture.
    pub since: [SinceSample; 3],
}

/// How often each situation occurred to the dual-role presses of a rehearsal.
#[derive(Clone, Debug, Default)]
pub(crate) struct Rehearsal {
    pub presses: f64,
    /// Taps and holds.
    pub classes: [Class; 2],
    /// The next press after a tap, an ordinary one: by side, and by the same finger.
    pub next: [Medians; Side::COUNT],
    pub next_finger: Medians,
    /// The next press is of the same key.
    pub next_key: Medians,
    /// The next press after a tap, when it begins a hold.
    pub next_hold: [Medians; Side::COUNT],
    /// The press after the next.
    pub second: Medians,
    /// Dwells of taps, of the press before, of the press after, and of taps under a held key.
    pub own: DwellMedians,
    pub previous: DwellMedians,
    pub following: DwellMedians,
    pub own_target: DwellMedians,
    /// Of the presses before, those that no purpose held: how many, and when the one before each came up after it, where
    /// that was still down.
    pub ordinary: f64,
    pub rolled: Vec<f64>,
    /// Dwells of keys pressed under a dual-role key.
    pub target: DwellMedians,
    /// Taps under a held key, by its side: the first, and further ones.
    pub under: [f64; Side::COUNT],
    pub further: Medians,
    /// Keys held for repeat.
    pub again: Medians,
    /// Holds by number of targets, by side of the first target.
    pub runs: Vec<f64>,
    pub target_side: [f64; Side::COUNT],
    /// Gestures of two held keys in which the key was the first, and the second.
    pub first_of_two: f64,
    pub second_of_two: f64,
    pub second_side: [f64; Side::COUNT],
    pub bare: f64,
    /// Dwells of keys held on purpose.
    pub held: Vec<f64>,
}

impl Rehearsal {
    /// Takes in a session; `own` tells which of the dual-role keys count.
    pub fn add(
        &mut self,
        performer: &Performer,
        lift: f64,
        session: &Session,
        cues: &[Cue],
        own: impl Fn(Code) -> bool,
    ) {
        let (presses, kinds) = (&session.presses, kinds(session));
        let mut released = [None; Code::COUNT];
        for i in 0..presses.len() {
            let since = released[presses[i].code.index()];
            if i > 0 && i + 2 < presses.len() && own(presses[i].code) {
                self.press(performer, (presses, &kinds, cues), i, (since, lift));
            }
            if kinds[i].begins_hold() {
                self.held.push(presses[i].dwell().0 as f64);
            }
            released[presses[i].code.index()] = Some(presses[i].up);
        }
    }

    fn press(
        &mut self,
        performer: &Performer,
        (presses, kinds, cues): (&[Press], &[Kind], &[Cue]),
        i: usize,
        (released, lift): (Option<Instant>, f64),
    ) {
        let movement = performer.movement();
        let (code, kind) = (presses[i].code, kinds[i]);
        let side = |j: usize| Side::of(movement.hand(code), movement.hand(presses[j].code)) as usize;
        let same_finger = |j: usize| movement.digit(code) == movement.digit(presses[j].code);
        let lull = presses[i].down.since(presses[i - 1].down).0 as f64;
        self.presses += 1.0;
        let class = &mut self.classes[usize::from(kind.is_hold())];
        let again = presses[i - 1].code == code;
        let since = released.map(|up| presses[i].down.since(up).0 as f64);
        if !again && let Some(since) = since {
            let group = if matches!(kind, Kind::Target | Kind::Later | Kind::Second) {
                2
            } else {
                usize::from(kinds[i - 1].ends_gesture())
            };
            class.since[group].add(since, lull, lift);
        }
        if !kinds[i - 1].is_hold() {
            self.previous.add(&cues[i - 1]);
            self.ordinary += 1.0;
            if let Some(older) = i.checked_sub(2).filter(|older| !kinds[*older].is_hold())
                && presses[older].up > presses[i - 1].down
            {
                self.rolled.push(presses[older].up.since(presses[i - 1].down).0 as f64);
            }
        }
        match kind {
            Kind::Target => self.under[side(i - 1)] += 1.0,
            // The medians of a key pressed twice in a row are those of another time.
            Kind::Later if again => {}
            Kind::Later => self.further.add(&cues[i]),
            Kind::Again => self.again.add(&cues[i]),
            Kind::Second => {}
            Kind::Plain | Kind::Holder | Kind::Bare if kinds[i - 1].ends_gesture() => {
                let waited = &mut class.waited;
                *if again { &mut waited.again } else { &mut waited.count } += 1.0;
                waited.lulls.push(lull);
                if presses[i - 1].up > presses[i].down {
                    class.waited.carried.push(presses[i - 1].up.since(presses[i].down).0 as f64);
                }
            }
            Kind::Plain | Kind::Holder | Kind::Bare => {
                let before = &mut class.before;
                let medians = if again {
                    &mut before.key
                } else if same_finger(i - 1) {
                    &mut before.finger
                } else {
                    &mut before.side[side(i - 1)]
                };
                medians.add(&cues[i]);
            }
        }
        match kind {
            Kind::Plain => {
                self.own.add(&cues[i]);
                self.following.add(&cues[i + 1]);
                let to = if presses[i + 1].code == code {
                    &mut self.next_key
                } else if same_finger(i + 1) {
                    &mut self.next_finger
                } else if kinds[i + 1].begins_hold() {
                    &mut self.next_hold[side(i + 1)]
                } else {
                    &mut self.next[side(i + 1)]
                };
                to.add(&cues[i + 1]);
                if kinds[i + 2] == Kind::Plain && presses[i + 2].code != presses[i + 1].code {
                    self.second.add(&cues[i + 2]);
                }
            }
            Kind::Target | Kind::Later => self.own_target.add(&cues[i]),
            Kind::Again => {}
            Kind::Bare => self.bare += 1.0,
            Kind::Second => {
                self.second_of_two += 1.0;
                self.second_side[side(i - 1)] += 1.0;
                self.target.add(&cues[i + 1]);
            }
            Kind::Holder if kinds[i + 1] == Kind::Second => self.first_of_two += 1.0,
            Kind::Holder => {
                let targets = kinds[i + 2..].iter().take_while(|kind| **kind == Kind::Later).count();
                if self.runs.len() <= targets {
                    self.runs.resize(targets + 1, 0.0);
                }
                self.runs[targets] += 1.0;
                self.target_side[side(i + 1)] += 1.0;
                self.target.add(&cues[i + 1]);
            }
        }
    }
}

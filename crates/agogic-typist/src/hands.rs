//! Hands on a keyboard: single presses, and what fingers do to each other.

use agogic_keys::{Code, Hand, Instant, Press, Stream, Truth};
use rand_distr::{Distribution, StandardNormal};

use crate::densities::{Cue, InOrderLaw};
use crate::habits::Habits;
use crate::movement::{Movement, MovementClass};
use crate::session::Session;
use crate::tilt::{Channel, Tilted};
use crate::word_place::planned_beyond_usual;

/// The longest interval or dwell the model gives: ten minutes. Guards the clock against extreme draws.
const LONGEST_US: f64 = 6e8;

/// A whole number of microseconds from the logarithm of one.
///
/// By way of powers of two: they take half the time of `exp`, and an error of some 1e-15 does not show in whole numbers.
pub(crate) fn micros(log_us: f64) -> u64 {
    (libm::exp2(log_us * std::f64::consts::LOG2_E).min(LONGEST_US) as u64).max(1)
}

pub(crate) fn normal(rng: &mut Stream) -> f64 {
    StandardNormal.sample(rng)
}

/// Where in a word a key stands, as far as timing cares.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Place {
    /// First key of a word of so many keys, or a key after an interruption.
    Start(u8),
    /// Inside a word near its start, or between words.
    #[default]
    Plain,
    /// Third or later key of a word of five or more.
    Middle,
}

/// State of a performance.
#[derive(Clone)]
pub(crate) struct Hands<'a> {
    pub movement: &'a Movement,
    pub habits: Habits,
    pub timing: Stream,
    pub gestures: Stream,
    pub session: Session,
    /// Index of each finger's latest press.
    latest: [Option<usize>; 11],
    tempo: f64,
    /// Standardised noise of the latest interval.
    noise: f64,
    pub now: u64,
    /// No press before this instant: a held key is still to be let go.
    pub earliest: u64,
    previous: Option<Code>,
    /// Medians behind the next press.
    cue: Cue,
    /// Those of all presses, if somebody wants to know.
    pub cues: Option<Vec<Cue>>,
    /// How the noise of this performance departs from the model's, if it does.
    pub tilted: Option<Box<Tilted>>,
}

impl<'a> Hands<'a> {
    pub fn new(movement: &'a Movement, habits: Habits, timing: Stream, gestures: Stream, keys: usize) -> Self {
        let room = keys + keys / 8 + 16;
        let session =
            Session { presses: Vec::with_capacity(room), truths: Vec::with_capacity(room), ..Session::default() };
        Self {
            movement,
            habits,
            timing,
            gestures,
            session,
            latest: [None; 11],
            tempo: 0.0,
            noise: 0.0,
            now: 0,
            earliest: 0,
            previous: None,
            cue: Cue::default(),
            cues: None,
            tilted: None,
        }
    }

    /// Presses so far.
    fn presses(&self) -> f64 {
        self.session.presses.len() as f64
    }

    /// Draws the interval to the next press.
    ///
    /// A doubled letter needs no search and no travel: its interval is the dwell of the first press and the
    /// time the finger takes to come back down. So it hardly depends on how fast the typist finds other keys.
    pub fn interval(&mut self, code: Code, place: Place) -> u64 {
        self.tempo = self.habits.tempo_keep * self.tempo + self.habits.tempo_new * normal(&mut self.timing);
        self.noise = self.timing_normal(Channel::Interval);
        let h = &self.habits;
        let (class, rarity) = match (self.previous, place) {
            (None, _) => (MovementClass::Thumb, 0.0),
            (Some(from), Place::Start(_)) => (self.movement.class(from, code), 0.0),
            (Some(from), _) => (self.movement.class(from, code), self.movement.rarity(from, code)),
        };
        let position = match place {
            Place::Start(length) => h.word_start + h.word_length * planned_beyond_usual(length.into()),
            Place::Plain => 0.0,
            Place::Middle => h.mid_word,
        };
        let hand = match (class.is_one_hand(), self.movement.hand(code)) {
            (true, Hand::Left) => h.left_interval,
            (true, Hand::Right) => -h.left_interval,
            _ => 0.0,
        };
        let (log, held) = match self.session.presses.last() {
            Some(press) if class == MovementClass::Repeat => {
                let start = if matches!(place, Place::Start(_)) { position } else { 0.0 };
                (h.log_repeat_gap + start, press.dwell().0)
            }
            _ => (h.log_interval + h.class[class as usize] + position + hand + h.rarity * rarity, 0),
        };
        let median = log + h.interval_drift * self.presses();
        let starts = matches!(place, Place::Start(_));
        (self.cue.log_interval_us, self.cue.starts) = (median, starts);
        let mut interval = held + micros(median + self.tempo + h.interval_spread * self.noise);
        let share = h.hesitate[usize::from(starts)];
        let (log_hesitation, spread) = (h.log_hesitation, h.hesitation_spread);
        // Both numbers are drawn whether used or not, so that a typist whose habits change a little keeps the
        // draws of all later presses.
        let draw = self.timing_uniform(Channel::Hesitates, share);
        let hesitation = self.timing_normal(Channel::Hesitation);
        if draw < share {
            interval += micros(log_hesitation + spread * hesitation);
        }
        interval
    }

    pub fn dwell(&mut self, code: Code) -> u64 {
        let own = self.timing_normal(Channel::Dwell);
        let h = &self.habits;
        let noise = h.dwell_r * self.noise + h.dwell_rest * own;
        let median = h.log_dwell[self.movement.digit(code)] + h.dwell_drift * self.presses();
        self.cue.log_dwell_us = median;
        let mut log = median + h.dwell.at(noise);
        let (share, factor) = h.long_dwell;
        if self.timing_uniform(Channel::Rests, share) < share {
            log += factor;
        }
        micros(log)
    }

    /// Presses `code` at `down` or, if its finger is still busy and cannot lift in time, a little later.
    pub fn press(&mut self, code: Code, down: u64, dwell: u64, truth: Truth) -> usize {
        let digit = self.movement.digit(code);
        let mut down = down.max(self.now + u64::from(self.previous.is_some())).max(self.earliest);
        if let Some(before) = self.latest[digit] {
            let press = &mut self.session.presses[before];
            if !self.session.truths[before].hold {
                // The finger lets go early to reach the next key, but it keeps a key down for its lift time.
                let least = press.down.0 + self.habits.lift;
                let wanted = down.saturating_sub(self.habits.lift).max(least);
                press.up = Instant(press.up.0.min(wanted));
            }
            down = down.max(press.up.0 + self.habits.lift);
        }
        let at = self.session.presses.len();
        self.roll(at, down);
        let up = self.in_order(at, down, down + dwell);
        self.session.presses.push(Press { code, down: Instant(down), up: Instant(up) });
        self.session.truths.push(truth);
        if let Some(cues) = &mut self.cues {
            cues.push(self.cue);
        }
        self.latest[digit] = Some(at);
        self.now = down;
        self.previous = Some(code);
        at
    }

    /// Lets the key before, if it is still down at `down`, come up as it does in a roll; a key held on purpose is let go
    /// in its own time.
    fn roll(&mut self, at: usize, down: u64) {
        let Some(before) = at.checked_sub(1) else { return };
        let first = &mut self.session.presses[before];
        if first.up.0 > down && !self.session.truths[before].hold {
            let overlap = self.habits.roll.executed((first.up.0 - down) as f64);
            first.up = Instant(down + (overlap as u64).max(1));
        }
    }

    /// When a press comes up that would at `up`: fingers that roll mostly let go in order, so it may have to wait
    /// for the key before.
    fn in_order(&mut self, at: usize, down: u64, up: u64) -> u64 {
        let InOrderLaw { share, lag_us } = self.habits.in_order;
        // Drawn whether used or not, as for hesitations.
        let draw = self.timing_uniform(Channel::InOrder, share);
        let Some(before) = at.checked_sub(1) else { return up };
        let first_up = self.session.presses[before].up.0;
        if draw >= share || first_up <= down || self.session.truths[before].hold {
            return up;
        }
        up.max(first_up + (draw / share * lag_us) as u64)
    }

    /// Draws and makes an ordinary press.
    pub fn tap(&mut self, code: Code, place: Place, truth: Truth) -> usize {
        let down = self.now + self.interval(code, place);
        let dwell = self.dwell(code);
        self.press(code, down, dwell, truth)
    }

    /// Sets when a press ends. Used for keys held on purpose.
    pub fn release_at(&mut self, press: usize, up: u64) {
        self.session.presses[press].up = Instant(up);
    }
}

//! Keys held on purpose: for targets, for nothing, and for repeat.

use agogic_keys::{Code, ModifierSet, Truth};

use crate::hands::{Hands, Place, micros, normal};
use crate::tilt::Channel;
use crate::word_place::USUAL_WORD;

/// A hold to be made.
pub(crate) struct Gesture<'s> {
    /// Keys to hold, in the order they are pressed.
    pub holders: [Option<Code>; 2],
    /// The first holder has two roles, so the typist's learned habit applies.
    pub dual: bool,
    /// Keys to press under them, with the modifiers each is meant to carry.
    pub targets: &'s [(Code, ModifierSet)],
    /// The gesture begins a word.
    pub place: Place,
    /// It belongs to no text.
    pub shortcut: bool,
}

impl Hands<'_> {
    /// Holds the holders, presses the targets under them, and lets all go.
    ///
    /// The lull before the first holder, the lead to the first target and the time from the last target's press
    /// to the holder's release follow the typist's habits. Which of the two keys comes up first is not drawn: it
    /// follows from that time and the target's dwell.
    pub fn gesture(&mut self, gesture: &Gesture<'_>) {
        let [Some(first), second] = gesture.holders else { return };
        let habit = self.habits.gesture[usize::from(gesture.dual)];
        let interval = self.interval(first, gesture.place);
        let lull = libm::exp(self.habits.log_lull + self.habits.lull_spread * self.gesture_normal(Channel::Lull));
        let (think, factor) = self.habits.think;
        let pause = if self.gesture_uniform(Channel::Thinks, think) < think { factor } else { 0.0 };
        let lead = micros(habit.log_lead + self.habits.lead_spread * self.gesture_normal(Channel::Lead) + pause);
        let truth = Truth { hold: true, shortcut: gesture.shortcut, ..Truth::default() };
        let down = self.now + (interval as f64 * lull) as u64;
        let held = self.press(first, down, lead, truth);
        let mut start = self.now + lead;
        let also = second.map(|code| {
            let gap = (lead as f64 * self.habits.second_lead) as u64;
            let held = self.press(code, self.now + gap, lead, truth);
            start = self.now + lead;
            held
        });
        let mut last = held;
        for (i, &(code, with)) in gesture.targets.iter().enumerate() {
            if i > 0 {
                start = self.now + self.interval(code, Place::Plain);
            }
            let dwell = self.dwell(code);
            last = self.press(code, start, dwell, Truth { with, shortcut: gesture.shortcut, ..Truth::default() });
        }
        let mut free = self.let_go(held, last, habit.log_release);
        if let Some(also) = also {
            free = free.max(self.let_go(also, last, habit.log_release));
        }
        self.free_at(free);
    }

    /// Lets `held` go some time after the press of the target `last`; gives the instant.
    fn let_go(&mut self, held: usize, last: usize, log_release: f64) -> u64 {
        let z = self.gesture_normal(Channel::Release);
        let at = self.session.presses[last].down.0 + micros(log_release + self.habits.release_spread * z);
        self.release_at(held, at);
        at
    }

    /// The next key waits until the held keys are up; otherwise it would carry the modifier too.
    fn free_at(&mut self, let_go: u64) {
        let pause = micros(self.habits.log_after + self.habits.after_spread * normal(&mut self.gestures));
        self.earliest = let_go + pause;
    }

    /// Holds a key without a target, as for a mouse click.
    pub fn bare_hold(&mut self, code: Code) {
        let interval = self.interval(code, Place::Start(USUAL_WORD));
        let lull = libm::exp(self.habits.log_lull + self.habits.lull_spread * self.gesture_normal(Channel::Lull));
        let dwell = micros(self.habits.log_bare + self.habits.bare_spread * self.gesture_normal(Channel::Lead));
        let truth = Truth { hold: true, bare: true, shortcut: true, ..Truth::default() };
        let held = self.press(code, self.now + (interval as f64 * lull) as u64, dwell, truth);
        let up = self.session.presses[held].up.0;
        self.free_at(up);
    }

    /// Taps a key, presses it again at once and holds it so that its letter repeats.
    pub fn repeat(&mut self, code: Code) {
        let truth = Truth { shortcut: true, ..Truth::default() };
        self.tap(code, Place::Start(USUAL_WORD), truth);
        let down = self.now + self.interval(code, Place::Plain);
        let dwell = micros(self.habits.log_repeat + self.habits.bare_spread * self.gesture_normal(Channel::Lead));
        let again = self.press(code, down, dwell, truth);
        let up = self.session.presses[again].up.0;
        self.free_at(up);
        // Nothing shortens this press: the typist watches the letters come.
        self.now = self.now.max(up);
    }
}

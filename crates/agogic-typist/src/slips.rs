//! Slips of the finger, noticed or not.

use agogic_keys::{Code, Step, Stream, Truth};
use rand::RngExt;

use crate::hands::{Hands, Place};
use crate::word_place::USUAL_WORD;

/// The four kinds the literature tells apart, in the order of [`Session::slips`](crate::Session::slips).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(usize)]
pub(crate) enum SlipKind {
    /// A neighbouring key instead.
    Substitution,
    /// No key at all.
    Omission,
    /// A neighbouring key as well.
    Insertion,
    /// This key and the next in the wrong order.
    Transposition,
}

/// A slip that will be noticed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Noticed {
    /// Where in the text typing resumes after the correction.
    pub resume: u64,
    /// Characters written since.
    pub written: u32,
    /// Keys still typed before it is noticed.
    pub countdown: u32,
}

impl Hands<'_> {
    /// Whether a slip happens at this step, and of which kind.
    pub fn slip(&self, step: &Step, next: &Step, rng: &mut Stream) -> Option<SlipKind> {
        let draw: f64 = rng.random();
        if draw >= self.habits.slips {
            return None;
        }
        let [substitution, omission, insertion] = self.habits.slip_kinds;
        let at = draw / self.habits.slips;
        let kind = if at < substitution {
            SlipKind::Substitution
        } else if at < substitution + omission {
            SlipKind::Omission
        } else if at < substitution + omission + insertion {
            SlipKind::Insertion
        } else {
            SlipKind::Transposition
        };
        // Only plain letters slip, and only inside a word do two change places.
        let letter = |step: &Step| step.holder.is_none() && step.length > 0;
        let possible = letter(step)
            && match kind {
                SlipKind::Omission => true,
                SlipKind::Substitution | SlipKind::Insertion => !self.movement.near(step.code).is_empty(),
                SlipKind::Transposition => letter(next) && !next.word_start,
            };
        possible.then_some(kind)
    }

    /// Types the slip; gives the steps of the text it used up and the characters it wrote.
    pub fn make_slip(
        &mut self,
        kind: SlipKind,
        step: &Step,
        next: &Step,
        place: Place,
        rng: &mut Stream,
    ) -> (u64, u32) {
        let neighbour = |hands: &Self, rng: &mut Stream| -> Code {
            let near = hands.movement.near(step.code);
            near[((rng.random::<f64>() * near.len() as f64) as usize).min(near.len() - 1)]
        };
        match kind {
            SlipKind::Substitution => {
                let wrong = neighbour(self, rng);
                self.tap(wrong, place, Truth::default());
                (1, 1)
            }
            SlipKind::Omission => (1, 0),
            SlipKind::Insertion => {
                let extra = neighbour(self, rng);
                self.tap(extra, place, Truth::default());
                self.tap(step.code, Place::Plain, Truth::default());
                (1, 2)
            }
            SlipKind::Transposition => {
                self.tap(next.code, place, Truth::default());
                self.tap(step.code, Place::Plain, Truth::default());
                (2, 2)
            }
        }
    }

    /// How many further keys a slip goes unnoticed: geometric with the typist's mean.
    pub fn lag(&self, rng: &mut Stream) -> u32 {
        let more = self.habits.detection_lag / (1.0 + self.habits.detection_lag);
        if more <= 0.0 {
            return 0;
        }
        let draw: f64 = 1.0 - rng.random::<f64>();
        (libm::log(draw) / libm::log(more)).min(200.0) as u32
    }

    /// Takes back `count` characters.
    pub fn correct(&mut self, count: u32) {
        for i in 0..count {
            let place = if i == 0 { Place::Start(USUAL_WORD) } else { Place::Plain };
            self.tap(Code::BACKSPACE, place, Truth::default());
        }
        self.session.corrections += u64::from(count);
    }
}

//! A performance under way: it goes on step by step, and may branch.

use std::sync::Arc;

use agogic_keys::{Step, Stream, Truth, Workload};
use rand::RngExt;

use crate::hands::Hands;
use crate::perform::{Performer, place_of};
use crate::session::Session;
use crate::slips::Noticed;
use crate::tilt::{Tilt, Tilted};

/// A performance under way.
///
/// A copy goes on from the same state with the same random numbers; [`Performance::fork`] goes on with others.
#[derive(Clone)]
pub struct Performance<'a> {
    pub(crate) performer: &'a Performer,
    pub(crate) steps: &'a [Step],
    pub(crate) workload: &'a Workload,
    pub(crate) keys: usize,
    pub(crate) hands: Hands<'a>,
    pub(crate) interruptions: Stream,
    pub(crate) slips: Stream,
    /// The step it started with.
    pub(crate) start: u64,
    /// The next step, and the first step never reached.
    pub(crate) position: u64,
    pub(crate) reached: u64,
    /// A slip that waits to be noticed.
    pub(crate) noticed: Option<Noticed>,
    pub(crate) resumed: bool,
}

impl<'a> Performance<'a> {
    /// Whether the session has the presses it was to have.
    pub fn is_over(&self) -> bool {
        self.hands.session.presses.len() >= self.keys
    }

    /// What was pressed so far. The latest presses may still be let go sooner than they say.
    pub fn so_far(&self) -> &Session {
        &self.hands.session
    }

    /// Ends the performance.
    pub fn finish(mut self) -> Session {
        self.hands.session.characters = self.reached - self.start;
        self.hands.session
    }

    /// The same state, to go on with timing noise from another stream, tilted around press `own`, which may be the
    /// next press or a few presses ahead.
    ///
    /// Which keys are pressed, which slips are made and how gestures are built stays as it would have been:
    /// these come from streams of their own. `component` is the component of the tilt to draw from.
    pub fn fork(&self, tilt: &Arc<Tilt>, component: usize, own: usize, timing: Stream) -> Self {
        let mut fork = self.clone();
        fork.hands.timing = timing;
        fork.hands.tilted = Some(Box::new(Tilted::new(tilt, component, own)));
        fork
    }

    /// What the tilt of this fork has drawn and what it weighs; `None` where nothing is tilted.
    pub fn tilted(&self) -> Option<&Tilted> {
        self.hands.tilted.as_deref()
    }

    /// Whether no later press can change how `press` and the keys pressed while it was down ended.
    ///
    /// # Definition
    /// A press may be let go sooner because its finger is needed again, or sooner or later because the next key strikes
    /// meanwhile. That only reaches what is still down a lift time before the later press.
    pub fn is_settled(&self, press: usize) -> bool {
        let presses = &self.hands.session.presses;
        let Some(own) = presses.get(press) else { return false };
        let inside = presses[press + 1..].iter().take_while(|other| other.down < own.up).map(|other| other.up);
        let ended = inside.fold(own.up, Ord::max);
        press + 1 < presses.len() && self.hands.now >= ended.0 + self.hands.habits.lift
    }

    fn step_at(&self, position: u64) -> &'a Step {
        &self.steps[(position % self.steps.len() as u64) as usize]
    }

    /// Goes on by one step of the text, with what comes before it.
    pub fn advance(&mut self) {
        if let Some(slip) = &self.noticed
            && slip.countdown == 0
        {
            self.hands.correct(slip.written);
            self.position = slip.resume;
            self.noticed = None;
            self.resumed = true;
        }
        if self.noticed.is_none()
            && self.position == self.reached
            && let Some(interruption) = self.workload.draw(&mut self.interruptions)
        {
            self.performer.interrupt(&mut self.hands, interruption);
            self.resumed = true;
        }
        let (step, next) = (self.step_at(self.position), self.step_at(self.position + 1));
        let place = place_of(step, self.resumed);
        self.resumed = false;
        let slip = if self.noticed.is_none() { self.hands.slip(step, next, &mut self.slips) } else { None };
        let (used, written) = match (slip, step.holder) {
            (Some(kind), _) => {
                let (used, written) = self.hands.make_slip(kind, step, next, place, &mut self.slips);
                self.hands.session.slips[kind as usize] += 1;
                if self.slips.random::<f64>() < self.hands.habits.detection {
                    let countdown = self.hands.lag(&mut self.slips);
                    self.noticed = Some(Noticed { resume: self.position, written: 0, countdown: countdown + 1 });
                } else {
                    self.hands.session.uncorrected += 1;
                }
                (used, written)
            }
            (None, None) => {
                self.hands.tap(step.code, place, Truth::default());
                (1, 1)
            }
            (None, Some(holder)) => {
                self.performer.capitals(&mut self.hands, self.steps, self.position, step, holder, place)
            }
        };
        if let Some(slip) = &mut self.noticed {
            slip.written += written;
            slip.countdown = slip.countdown.saturating_sub(1);
        }
        for done in self.position..self.position + used {
            if done >= self.reached {
                self.hands.session.words += u64::from(self.step_at(done).word_start);
                self.reached = done + 1;
            }
        }
        self.position += used;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::SessionAddress;
    use crate::{Channel, Population, Shift, Typist};
    use agogic_keys::{Assignment, Board, Modifier, Purpose, Rates, TextPlan, Unsupported, stream};

    fn scene() -> (Performer, TextPlan, Workload) {
        let board = Board::row_staggered();
        let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
        let assignment = Assignment::resting(&board, order);
        let text = "Ask Ada for the USB log; she fills it in before noon.";
        let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap();
        let rates = Rates { shortcuts: 30.0, bare_holds: 10.0, repeats: 10.0 };
        let workload = Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).unwrap();
        (Performer::new(&board, &assignment), plan, workload)
    }

    fn shifted() -> Arc<Tilt> {
        let mut shift = Shift::default();
        for press in &mut shift.values {
            press[Channel::Interval as usize] = -0.4;
            press[Channel::Dwell as usize] = 0.5;
            press[Channel::Hesitates as usize] = 0.7;
            press[Channel::InOrder as usize] = -0.6;
            press[Channel::Lead as usize] = -0.5;
            press[Channel::Release as usize] = 0.5;
        }
        Arc::new(Tilt::new(vec![(0.7, shift), (0.3, Shift::default())]).unwrap())
    }

    #[test]
    fn a_fork_without_shift_is_the_performance_itself() {
        let (performer, plan, workload) = scene();
        let typist = Typist::draw(&Population::volunteers(), 5, 2);
        let whole = performer.perform(&typist, &plan, &workload, SessionAddress { seed: 5, replicate: 0 }, 400);
        let mut performance = performer.start(&typist, &plan, &workload, SessionAddress { seed: 5, replicate: 0 }, 400);
        for _ in 0..50 {
            performance.advance();
        }
        let none = Arc::new(Tilt::new(vec![(1.0, Shift::default())]).unwrap());
        let from = performance.so_far().presses.len();
        let mut fork = performance.fork(&none, 0, from, performance.hands.timing.clone());
        while !fork.is_over() {
            fork.advance();
        }
        let tilted = fork.tilted().unwrap();
        assert!((tilted.weight() - 1.0).abs() < 1e-15 && tilted.drawn().len() >= 2 * Shift::PRESSES);
        assert_eq!(fork.finish().presses, whole.presses);
    }

    #[test]
    fn a_fork_presses_the_same_keys_and_leaves_the_trunk_alone() {
        let (performer, plan, workload) = scene();
        let typist = Typist::draw(&Population::volunteers(), 5, 3);
        let mut trunk = performer.start(&typist, &plan, &workload, SessionAddress { seed: 5, replicate: 0 }, 300);
        let tilt = shifted();
        let mut forks = Vec::new();
        while !trunk.is_over() {
            let from = trunk.so_far().presses.len();
            let mut fork = trunk.fork(&tilt, 0, from, stream(5, Purpose::Tilt, 3, from as u64));
            while !fork.is_over() && !fork.is_settled(from) {
                fork.advance();
            }
            forks.push((from, fork.finish()));
            trunk.advance();
        }
        let whole = trunk.finish();
        assert_eq!(
            whole.presses,
            performer.perform(&typist, &plan, &workload, SessionAddress { seed: 5, replicate: 0 }, 300).presses
        );
        for (from, fork) in forks {
            let n = fork.presses.len();
            let codes = |session: &Session| session.presses[..n].iter().map(|press| press.code).collect::<Vec<_>>();
            assert_eq!(codes(&fork), codes(&whole), "{from}");
            assert_eq!(fork.truths, whole.truths[..n]);
        }
    }

    #[test]
    fn what_is_settled_stays() {
        let (performer, plan, workload) = scene();
        for number in 0..20 {
            let typist = Typist::draw(&Population::volunteers(), 5, number);
            let mut performance =
                performer.start(&typist, &plan, &workload, SessionAddress { seed: 5, replicate: 0 }, 300);
            let mut settled: Vec<(usize, Vec<agogic_keys::Press>)> = Vec::new();
            let mut next = 0;
            while !performance.is_over() {
                performance.advance();
                while performance.is_settled(next) {
                    let presses = &performance.so_far().presses;
                    let own = presses[next];
                    let inside = presses[next..].iter().take_while(|press| press.down < own.up).copied();
                    settled.push((next, inside.collect()));
                    next += 1;
                }
            }
            let session = performance.finish();
            assert!(settled.len() > 250, "{}", settled.len());
            for (at, then) in settled {
                assert_eq!(then, session.presses[at..at + then.len()]);
                assert!(session.presses.get(at + then.len()).is_none_or(|press| press.down >= then[0].up));
            }
        }
    }

    /// The mean weight is 1, and weighted dwells have the model's mean. n = 40 000 forks, alpha = 1e-6 each
    /// (4.9 standard errors); without weights the dwells are rejected. The forks share the noise of gestures with their
    /// trunk, so that their mean weight is 1 only where no gesture is tilted.
    #[test]
    fn weights_make_up_for_the_shift() {
        let (performer, plan, workload) = scene();
        let typist = Typist::median(&Population::volunteers());
        let whole = performer.perform(&typist, &plan, &workload, SessionAddress { seed: 5, replicate: 0 }, 300);
        let gesture_near = |from: usize| whole.truths[from..from + 2 * Shift::PRESSES].iter().any(|truth| truth.hold);
        let mut trunk = performer.start(&typist, &plan, &workload, SessionAddress { seed: 5, replicate: 0 }, 300);
        for _ in 0..40 {
            trunk.advance();
        }
        while gesture_near(trunk.so_far().presses.len()) {
            trunk.advance();
        }
        let from = trunk.so_far().presses.len();
        let (tilt, none) = (shifted(), Arc::new(Tilt::new(vec![(1.0, Shift::default())]).unwrap()));
        let n = 40_000_u64;
        let draw = |tilt: &Arc<Tilt>, i: u64| {
            let component = usize::from(tilt.components().len() > 1 && i % 10 >= 7);
            let mut fork = trunk.fork(tilt, component, from, stream(6, Purpose::Tilt, 0, i));
            while !fork.is_settled(from) {
                fork.advance();
            }
            let weight = fork.tilted().unwrap().weight();
            (weight, fork.so_far().presses[from].dwell().ms())
        };
        let moments = |values: &[f64]| {
            let mean = values.iter().sum::<f64>() / n as f64;
            let variance = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (n as f64 - 1.0);
            (mean, variance / n as f64)
        };
        let tilted: Vec<(f64, f64)> = (0..n).map(|i| draw(&tilt, i)).collect();
        let model: Vec<f64> = (n..2 * n).map(|i| draw(&none, i).1).collect();
        let weights: Vec<f64> = tilted.iter().map(|(weight, _)| *weight).collect();
        let (mean, square) = moments(&weights);
        assert!((mean - 1.0).abs() < 4.9 * square.sqrt(), "{mean}");
        assert!(weights.iter().all(|weight| *weight <= 1.0 / 0.3 + 1e-12));
        let (model, of_model) = moments(&model);
        let weighted: Vec<f64> = tilted.iter().map(|(weight, dwell)| weight * dwell).collect();
        let (weighted, of_weighted) = moments(&weighted);
        assert!((weighted - model).abs() < 4.9 * (of_weighted + of_model).sqrt(), "{weighted} {model}");
        let plain: Vec<f64> = tilted.iter().map(|(_, dwell)| *dwell).collect();
        let (plain, of_plain) = moments(&plain);
        assert!((plain - model).abs() > 4.9 * (of_plain + of_model).sqrt(), "{plain} {model}");
    }

    #[test]
    fn tilts_that_cannot_be_drawn_are_refused() {
        let mut nan = Shift::default();
        nan.values[1][0] = f64::NAN;
        assert!(Tilt::new(vec![(1.0, nan)]).is_err());
        assert!(Tilt::new(vec![(0.5, Shift::default())]).is_err());
        assert!(Tilt::new(vec![(1.5, Shift::default()), (-0.5, Shift::default())]).is_err());
        assert!(Tilt::new(vec![]).is_err());
    }
}

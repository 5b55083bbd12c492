//! The performance: a typist, a text, a clock.

use agogic_keys::{
    Assignment, Board, Code, Instant, Press, Purpose, Span, Step, Stream, TextPlan, Truth, Workload, stream,
};
use rand::RngExt;
use rand_distr::{Distribution, StandardNormal};

use crate::movement::{Movement, MovementClass};
use crate::typist::{Constant, Trait, Typist};

/// The key events of one typist, and what they meant.
#[derive(Clone, Debug, Default)]
pub struct Session {
    /// The presses, in order of `down`.
    pub presses: Vec<Press>,
    /// What each press was meant to be. Policies are never given this.
    pub truths: Vec<Truth>,
    /// Words begun.
    pub words: u64,
}

/// Turns steps into key events on a board.
#[derive(Clone, Debug)]
pub struct Performer {
    movement: Movement,
    assignment: Assignment,
}

/// A typist's numbers in the form the inner loop wants them.
struct Habits {
    class: [f64; MovementClass::COUNT],
    log_interval: f64,
    interval_spread: f64,
    log_dwell: [f64; 5],
    dwell_spread: f64,
    dwell_r: f64,
    dwell_rest: f64,
    tempo_keep: f64,
    tempo_new: f64,
    word_start: f64,
    hesitate: [f64; 2],
    log_hesitation: f64,
    hesitation_spread: f64,
    lift_first: f64,
    overlap_kept: f64,
    lift: u64,
    log_lead: f64,
    lead_spread: f64,
    log_lull: f64,
    lull_spread: f64,
    trailing: f64,
    log_enclosed: f64,
    enclosed_spread: f64,
    log_trailing: f64,
    trailing_spread: f64,
    log_after: f64,
    after_spread: f64,
}

impl Habits {
    fn of(typist: &Typist) -> Self {
        let log = |id: Trait| libm::log(typist.get(id) * 1e3);
        let log_c = |id: Constant| libm::log(typist.constant(id) * 1e3);
        let same_hand = typist.get(Trait::SameHand);
        let outward = typist.constant(Constant::Outward);
        let mut class = [0.0; MovementClass::COUNT];
        class[MovementClass::Inward as usize] = same_hand - outward / 2.0;
        class[MovementClass::Outward as usize] = same_hand + outward / 2.0;
        class[MovementClass::SameFinger as usize] = typist.get(Trait::SameFinger);
        class[MovementClass::Repeat as usize] = typist.get(Trait::Repeat);
        let interval_ms = typist.get(Trait::Interval) + typist.constant(Constant::IntervalFloor);
        let log_interval = libm::log(interval_ms * 1e3);
        let dwell = log(Trait::Dwell);
        let effects = [Constant::LittleDwell, Constant::RingDwell, Constant::MiddleDwell];
        let mut log_dwell = [dwell; 5];
        for (slot, id) in log_dwell.iter_mut().zip(effects) {
            *slot += typist.constant(id);
        }
        log_dwell[4] += typist.constant(Constant::ThumbDwell);
        let keep = typist.constant(Constant::TempoPersistence);
        let dwell_r = typist.constant(Constant::DwellIntervalCorrelation);
        let within = typist.get(Trait::Hesitation);
        let odds = within / (1.0 - within) * typist.constant(Constant::HesitationWordStart);
        Self {
            class,
            log_interval,
            interval_spread: typist.get(Trait::IntervalSpread),
            log_dwell,
            dwell_spread: typist.get(Trait::DwellSpread),
            dwell_r,
            dwell_rest: libm::sqrt(1.0 - dwell_r * dwell_r),
            tempo_keep: keep,
            tempo_new: typist.constant(Constant::TempoSpread) * libm::sqrt(1.0 - keep * keep),
            word_start: typist.get(Trait::WordStart),
            hesitate: [within, odds / (1.0 + odds)],
            log_hesitation: log_interval + libm::log(typist.constant(Constant::HesitationFactor)),
            hesitation_spread: typist.constant(Constant::HesitationSpread),
            lift_first: typist.get(Trait::LiftFirst),
            overlap_kept: typist.constant(Constant::OverlapKept),
            lift: Span::from_ms(typist.constant(Constant::LiftMs)).0,
            log_lead: log(Trait::Lead),
            lead_spread: typist.constant(Constant::LeadSpread),
            log_lull: libm::log(typist.get(Trait::Lull)),
            lull_spread: typist.constant(Constant::LullSpread),
            trailing: typist.get(Trait::Trailing),
            log_enclosed: log_c(Constant::EnclosedTailMs),
            enclosed_spread: typist.constant(Constant::EnclosedTailSpread),
            log_trailing: log_c(Constant::TrailingTailMs),
            trailing_spread: typist.constant(Constant::TrailingTailSpread),
            log_after: log_c(Constant::AfterHoldMs),
            after_spread: typist.constant(Constant::AfterHoldSpread),
        }
    }
}

/// The longest interval or dwell the model gives: ten minutes. Guards the clock against extreme draws.
const LONGEST_US: f64 = 6e8;

fn micros(log_us: f64) -> u64 {
    (libm::exp(log_us).min(LONGEST_US) as u64).max(1)
}

fn normal(rng: &mut Stream) -> f64 {
    StandardNormal.sample(rng)
}

/// State of a performance.
struct Hands<'a> {
    movement: &'a Movement,
    habits: Habits,
    timing: Stream,
    gesture: Stream,
    session: Session,
    /// Index of each finger's latest press.
    latest: [Option<usize>; 11],
    tempo: f64,
    /// Standardised noise of the latest interval.
    noise: f64,
    now: u64,
    /// No press before this instant: a held key is still to be let go.
    earliest: u64,
    previous: Option<Code>,
}

impl Performer {
    /// A performer on a board with its dual-role keys.
    pub fn new(board: &Board, assignment: &Assignment) -> Self {
        Self { movement: Movement::new(board), assignment: assignment.clone() }
    }

    /// Tables of the board.
    pub fn movement(&self) -> &Movement {
        &self.movement
    }

    /// The dual-role keys.
    pub fn assignment(&self) -> &Assignment {
        &self.assignment
    }

    /// Lets `typist` type about `keys` keys of the text, from its start and round again, with shortcuts.
    ///
    /// # Definition
    /// An interval is exp(typist + movement class + word start + tempo + noise), plus the time of a
    /// hesitation if there is one. A dwell is exp(typist + finger + noise), its noise correlated with that
    /// of the interval before. A finger must let go of one key before it presses the next; a pressed key
    /// is otherwise held for its dwell, and so keys come to overlap. The finger on the key before feels the
    /// next one strike: a typist's share of would-be overlaps is avoided, the others are shortened.
    ///
    /// The streams are addressed by `seed`, the typist's number and `replicate`. The session ends with the
    /// first step that brings it to `keys` presses.
    pub fn perform(
        &self,
        typist: &Typist,
        plan: &TextPlan,
        workload: &Workload,
        seed: u64,
        replicate: u64,
        keys: usize,
    ) -> Session {
        let at = |purpose| stream(seed, purpose, typist.number, replicate);
        let mut hands = Hands {
            movement: &self.movement,
            habits: Habits::of(typist),
            timing: at(Purpose::Timing),
            gesture: at(Purpose::Gesture),
            session: Session {
                presses: Vec::with_capacity(keys + keys / 8 + 16),
                truths: Vec::with_capacity(keys + keys / 8 + 16),
                words: 0,
            },
            latest: [None; 11],
            tempo: 0.0,
            noise: 0.0,
            now: 0,
            earliest: 0,
            previous: None,
        };
        let mut shortcuts = at(Purpose::Workload);
        let mut steps = plan.steps().iter().cycle();
        while hands.session.presses.len() < keys {
            if let Some((holder, target, modifier)) = workload.draw(&mut shortcuts) {
                let with = agogic_keys::ModifierSet::NONE.with(modifier);
                let step = Step { code: target, holder: Some(holder), with, word_start: true, shortcut: true };
                hands.gesture(&step, holder);
            }
            let step = steps.next().expect("a plan has at least one step");
            match step.holder {
                None => hands.tap(step),
                Some(holder) => hands.gesture(step, holder),
            }
            hands.session.words += u64::from(step.word_start);
        }
        hands.session
    }
}

impl Hands<'_> {
    /// Draws the interval to the next press.
    fn interval(&mut self, code: Code, word_start: bool) -> u64 {
        let h = &self.habits;
        let class = self.previous.map_or(MovementClass::Thumb, |from| self.movement.class(from, code));
        self.tempo = h.tempo_keep * self.tempo + h.tempo_new * normal(&mut self.timing);
        self.noise = normal(&mut self.timing);
        let start = if word_start { h.word_start } else { 0.0 };
        let log = h.log_interval + h.class[class as usize] + start + self.tempo + h.interval_spread * self.noise;
        let mut interval = micros(log);
        if self.timing.random::<f64>() < h.hesitate[usize::from(word_start)] {
            interval += micros(h.log_hesitation + h.hesitation_spread * normal(&mut self.timing));
        }
        interval
    }

    fn dwell(&mut self, code: Code) -> u64 {
        let h = &self.habits;
        let noise = h.dwell_r * self.noise + h.dwell_rest * normal(&mut self.timing);
        micros(h.log_dwell[self.movement.finger(code)] + h.dwell_spread * noise)
    }

    /// Presses `code` at `down` or, if its finger is still busy and cannot lift in time, a little later.
    fn press(&mut self, code: Code, down: u64, dwell: u64, truth: Truth) -> usize {
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
        self.loosen(at, down);
        self.session.presses.push(Press { code, down: Instant(down), up: Instant(down + dwell) });
        self.session.truths.push(truth);
        self.latest[digit] = Some(at);
        self.now = down;
        self.previous = Some(code);
        at
    }

    /// The finger on the key before lifts as the next one strikes at `down`: sometimes in time, else sooner.
    fn loosen(&mut self, next: usize, down: u64) {
        let Some(before) = next.checked_sub(1) else { return };
        let press = &mut self.session.presses[before];
        if self.session.truths[before].hold || press.up.0 <= down {
            return;
        }
        let draw: f64 = self.timing.random();
        let up = if draw < self.habits.lift_first {
            // Up to one lift time before the strike, and no sooner than the key could come up at all.
            let gap = (draw / self.habits.lift_first * self.habits.lift as f64) as u64;
            down.saturating_sub(gap).max(press.down.0 + 1)
        } else {
            down + ((press.up.0 - down) as f64 * self.habits.overlap_kept) as u64
        };
        press.up = Instant(up);
    }

    fn tap(&mut self, step: &Step) {
        let down = self.now + self.interval(step.code, step.word_start);
        let dwell = self.dwell(step.code);
        self.press(step.code, down, dwell, Truth { shortcut: step.shortcut, ..Truth::default() });
    }

    /// Holds `holder`, presses the step's key under it, and lets both go.
    fn gesture(&mut self, step: &Step, holder: Code) {
        let interval = self.interval(holder, step.word_start);
        let (lull, lead, trailing, tail) = {
            let h = &self.habits;
            let lull = libm::exp(h.log_lull + h.lull_spread * normal(&mut self.gesture));
            let lead = micros(h.log_lead + h.lead_spread * normal(&mut self.gesture));
            let trailing = self.gesture.random::<f64>() < h.trailing;
            let (centre, spread) =
                if trailing { (h.log_trailing, h.trailing_spread) } else { (h.log_enclosed, h.enclosed_spread) };
            (lull, lead, trailing, micros(centre + spread * normal(&mut self.gesture)))
        };
        let down = self.now + (interval as f64 * lull) as u64;
        let hold = Truth { hold: true, shortcut: step.shortcut, ..Truth::default() };
        let held = self.press(holder, down, lead, hold);
        let dwell = self.dwell(step.code);
        let tap = Truth { with: step.with, shortcut: step.shortcut, ..Truth::default() };
        let start = self.now + lead;
        let target = self.press(step.code, start, dwell, tap);
        let Press { down, up, .. } = self.session.presses[target];
        // A trailing release still follows the target's press: otherwise no modifier would be given at all.
        let let_go = if trailing { up.0.saturating_sub(tail).max(down.0 + 1) } else { up.0 + tail };
        self.session.presses[held].up = Instant(let_go);
        // The next key waits until the held key is up; otherwise it would carry the modifier too.
        let pause = micros(self.habits.log_after + self.habits.after_spread * normal(&mut self.gesture));
        self.earliest = let_go + pause;
    }
}

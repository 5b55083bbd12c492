//! Noise that departs from the model's on purpose, with the weights that make up for it.

use std::sync::Arc;

use agogic_keys::Stream;
use rand::RngExt;

use crate::hands::{Hands, normal};

/// A source of noise in the timing of one press.
///
/// Most are standard normal. [`Channel::is_choice`] tells the others, which are choices with a probability of
/// the typist's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(usize)]
pub enum Channel {
    /// Noise of the interval before the press.
    Interval,
    /// Whether a hesitation comes before the press.
    Hesitates,
    /// Noise of the length of the hesitation.
    Hesitation,
    /// Noise of the dwell.
    Dwell,
    /// Whether the finger rests on the key.
    Rests,
    /// Whether the press, rolled onto the one before, waits for that to come up.
    InOrder,
    /// Noise of the lull before a hold.
    Lull,
    /// Whether there is a pause between a held key and its target.
    Thinks,
    /// Noise of the lead of a hold, or of the dwell of one without target.
    Lead,
    /// Noise of the time from the last target's press to the held key's release.
    Release,
}

impl Channel {
    /// Number of channels.
    pub const COUNT: usize = 10;

    /// Whether this is a choice, and not a standard normal.
    pub fn is_choice(self) -> bool {
        matches!(self, Self::Hesitates | Self::Rests | Self::InOrder | Self::Thinks)
    }
}

/// What a component of a tilt adds to the noise of a press, of those before it and of those after it.
///
/// # Definition
/// A standard normal gets the mean given; a choice with probability p gets the odds p/(1−p) · eᵛ.
///
/// # Shape
/// `values[k][channel]`, with the press itself at k = [`Shift::OWN`]. [`Channel::Interval`] and the other
/// channels of time before a press belong to the press they lead to. [`Channel::Release`] belongs to the press
/// that would come after the gesture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shift {
    /// Shifts by press and channel.
    pub values: [[f64; Channel::COUNT]; Shift::PRESSES],
}

impl Shift {
    /// Presses before the press itself that can be tilted: fingers that let go in order hand a long dwell on, so
    /// what becomes of a press may have begun with an earlier one.
    pub const OWN: usize = 3;

    /// Presses that can be tilted in all.
    pub const PRESSES: usize = Shift::OWN + 4;

    /// The same shift, `factor` times as strong.
    pub fn scaled(&self, factor: f64) -> Self {
        Self { values: self.values.map(|press| press.map(|value| factor * value)) }
    }
}

/// Why a tilt was refused. The texts continue "failed to tilt the noise: …".
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TiltError {
    /// The shares are no shares.
    #[error("the shares of the components must be above 0 and sum to 1; they sum to {0}")]
    Shares(f64),
    /// A shift is not a number.
    #[error("a shift of {0} cannot be drawn: it must lie between -20 and 20")]
    Shift(f64),
}

/// A mixture of shifts.
///
/// # Source
/// Owen (2013), Monte Carlo Theory, Methods and Examples, section 9.10 on mixtures and 9.11 on defensive ones
/// (from memory).
#[derive(Clone, Debug, PartialEq)]
pub struct Tilt {
    components: Vec<(f64, Shift)>,
}

impl Tilt {
    /// A mixture of shifts with their shares.
    ///
    /// # Errors
    /// Shares that are not above 0 or do not sum to 1; shifts that are not finite or beyond ±20.
    pub fn new(components: Vec<(f64, Shift)>) -> Result<Self, TiltError> {
        let sum: f64 = components.iter().map(|(share, _)| share).sum();
        if !((sum - 1.0).abs() < 1e-9 && components.iter().all(|(share, _)| *share > 0.0)) {
            return Err(TiltError::Shares(sum));
        }
        for value in components.iter().flat_map(|(_, shift)| shift.values.as_flattened()) {
            if !(-20.0..=20.0).contains(value) {
                return Err(TiltError::Shift(*value));
            }
        }
        Ok(Self { components })
    }

    /// The components and their shares.
    pub fn components(&self) -> &[(f64, Shift)] {
        &self.components
    }
}

/// One tilted draw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    /// Place of its press in [`Shift::values`].
    pub press: usize,
    /// What was drawn.
    pub channel: Channel,
    /// The normal; for a choice 1 if made, else 0.
    pub value: f64,
    /// For a choice, its probability under the model.
    pub chance: f64,
}

/// The tilted noise of a fork.
///
/// # Definition
/// With the densities q₁ … q_C of the components, their shares a and the model's density p, all of the draws
/// made so far, the weight is p/Σ aⱼqⱼ. Draws beyond those presses are the model's own and cancel. When to
/// stop drawing may depend on what was drawn: the ratio is a martingale, so any bounded stopping keeps the
/// mean of weight × value what it is under the model.
///
/// # Source
/// Asmussen & Glynn (2007), Stochastic Simulation, section V.1, for likelihood ratios up to a stopping time;
/// Veach & Guibas (1995) for weighting by the whole mixture (both from memory).
#[derive(Clone, Debug)]
pub struct Tilted {
    tilt: Arc<Tilt>,
    component: usize,
    own: usize,
    /// ln(qⱼ/p) of each component.
    log_ratios: Vec<f64>,
    drawn: Vec<Drawn>,
}

impl Tilted {
    pub(crate) fn new(tilt: &Arc<Tilt>, component: usize, own: usize) -> Self {
        let log_ratios = vec![0.0; tilt.components.len()];
        Self { tilt: tilt.clone(), component, own, log_ratios, drawn: Vec::new() }
    }

    /// Likelihood of the draws under the model over that under the mixture.
    pub fn weight(&self) -> f64 {
        let mixed = self.tilt.components.iter().zip(&self.log_ratios);
        1.0 / mixed.map(|((share, _), ratio)| share * libm::exp(*ratio)).sum::<f64>()
    }

    /// What was drawn, in order.
    pub fn drawn(&self) -> &[Drawn] {
        &self.drawn
    }

    /// Place of press `presses` in a shift, if it is near enough to be tilted.
    fn place(&self, presses: usize) -> Option<usize> {
        (presses + Shift::OWN).checked_sub(self.own).filter(|&press| press < Shift::PRESSES)
    }

    fn normal(&mut self, presses: usize, channel: Channel, z: f64) -> f64 {
        let Some(press) = self.place(presses) else { return z };
        let at = |shift: &Shift| shift.values[press][channel as usize];
        let value = z + at(&self.tilt.components[self.component].1);
        for (ratio, (_, shift)) in self.log_ratios.iter_mut().zip(&self.tilt.components) {
            let mean = at(shift);
            *ratio += mean * value - 0.5 * mean * mean;
        }
        self.drawn.push(Drawn { press, channel, value, chance: 0.0 });
        value
    }

    fn uniform(&mut self, presses: usize, channel: Channel, chance: f64, u: f64) -> f64 {
        let Some(press) = self.place(presses) else { return u };
        if !(chance > 0.0 && chance < 1.0) {
            return u;
        }
        let tilted = |shift: &Shift| {
            let odds = chance / (1.0 - chance) * libm::exp(shift.values[press][channel as usize]);
            odds / (1.0 + odds)
        };
        let raised = tilted(&self.tilt.components[self.component].1);
        let happens = u < raised;
        for (ratio, (_, shift)) in self.log_ratios.iter_mut().zip(&self.tilt.components) {
            let other = tilted(shift);
            *ratio += libm::log(if happens { other / chance } else { (1.0 - other) / (1.0 - chance) });
        }
        self.drawn.push(Drawn { press, channel, value: f64::from(u8::from(happens)), chance });
        // Uniform within the part that was chosen, as the model has it.
        if happens { u / raised * chance } else { chance + (u - raised) / (1.0 - raised) * (1.0 - chance) }
    }
}

impl Hands<'_> {
    pub fn timing_normal(&mut self, channel: Channel) -> f64 {
        let z = normal(&mut self.timing);
        self.tilt_normal(channel, z)
    }

    pub fn gesture_normal(&mut self, channel: Channel) -> f64 {
        let z = normal(&mut self.gestures);
        self.tilt_normal(channel, z)
    }

    /// A uniform number that lies below `chance` when the choice is made.
    pub fn timing_uniform(&mut self, channel: Channel, chance: f64) -> f64 {
        let u = unit(&mut self.timing);
        self.tilt_uniform(channel, chance, u)
    }

    pub fn gesture_uniform(&mut self, channel: Channel, chance: f64) -> f64 {
        let u = unit(&mut self.gestures);
        self.tilt_uniform(channel, chance, u)
    }

    fn tilt_normal(&mut self, channel: Channel, z: f64) -> f64 {
        let presses = self.session.presses.len();
        self.tilted.as_mut().map_or(z, |tilted| tilted.normal(presses, channel, z))
    }

    fn tilt_uniform(&mut self, channel: Channel, chance: f64, u: f64) -> f64 {
        let presses = self.session.presses.len();
        self.tilted.as_mut().map_or(u, |tilted| tilted.uniform(presses, channel, chance, u))
    }
}

fn unit(rng: &mut Stream) -> f64 {
    rng.random()
}

//! The densities drawn from.

use std::sync::Arc;

use agogic_keys::Stream;
use agogic_typist::{Shift, TRAITS, Tilt, TiltError};
use rand::RngExt;
use rand_distr::{Distribution, StandardNormal};

/// A shift of the standard normal coordinates of the traits.
pub type TraitShift = [f64; TRAITS.len()];

/// One way to an error: a shift of people and of noise that leads to it.
#[derive(Clone, Debug)]
pub(crate) struct Way {
    /// Its share among the ways found together with it.
    pub share: f64,
    pub traits: TraitShift,
    pub noise: Shift,
}

/// Shares of the full shifts together, of half the latest, and of the model itself.
const SHARES: [f64; 3] = [0.64, 0.24, 0.12];

/// Mixtures for the traits and for the noise of a branch.
#[derive(Clone, Debug)]
pub struct Proposal {
    traits: Vec<(f64, TraitShift)>,
    tilt: Arc<Tilt>,
}

impl Proposal {
    /// The model itself: all weights are 1.
    pub fn nominal() -> Self {
        Self::new(vec![(1.0, [0.0; TRAITS.len()])], vec![(1.0, Shift::default())]).expect("no shift at all")
    }

    /// Mixtures with the given shares and shifts.
    ///
    /// # Errors
    /// Shares that are not above 0 or do not sum to 1; shifts that are not finite or beyond ±20.
    pub fn new(traits: Vec<(f64, TraitShift)>, noise: Vec<(f64, Shift)>) -> Result<Self, TiltError> {
        let sum: f64 = traits.iter().map(|(share, _)| share).sum();
        if !((sum - 1.0).abs() < 1e-9 && traits.iter().all(|(share, _)| *share > 0.0)) {
            return Err(TiltError::Shares(sum));
        }
        if let Some(value) = traits.iter().flat_map(|(_, shift)| shift).find(|value| !(-20.0..=20.0).contains(*value)) {
            return Err(TiltError::Shift(*value));
        }
        Ok(Self { traits, tilt: Arc::new(Tilt::new(noise)?) })
    }

    /// Towards one or more shifts: about two draws in three take one of them, a quarter go half way to the latest,
    /// the rest stay with the model.
    ///
    /// The half way serves typists whom less noise brings to an error. The model's own share bounds the weights:
    /// no weight exceeds its inverse.
    ///
    /// # Errors
    /// As [`Proposal::new`], or no shift at all.
    pub fn towards(shifts: &[(TraitShift, Shift)]) -> Result<Self, TiltError> {
        let ways =
            |(traits, noise): &(TraitShift, Shift)| vec![Way { share: 1.0, traits: *traits, noise: noise.clone() }];
        Self::along(&shifts.iter().map(ways).collect::<Vec<_>>())
    }

    /// [`Proposal::towards`] for errors with several ways to each, found together at each step.
    pub(crate) fn along(steps: &[Vec<Way>]) -> Result<Self, TiltError> {
        let latest = steps.last().filter(|ways| !ways.is_empty()).ok_or(TiltError::Shares(0.0))?;
        let [full, half, none] = SHARES;
        let each = full / steps.len() as f64;
        let (mut traits, mut noise) = (vec![(none, [0.0; TRAITS.len()])], vec![(none, Shift::default())]);
        for way in steps.iter().flatten() {
            traits.push((each * way.share, way.traits));
            noise.push((each * way.share, way.noise.clone()));
        }
        for way in latest {
            traits.push((half * way.share, way.traits.map(|value| 0.5 * value)));
            noise.push((half * way.share, way.noise.scaled(0.5)));
        }
        Self::new(traits, noise)
    }

    /// The mixture of a branch.
    pub fn tilt(&self) -> &Arc<Tilt> {
        &self.tilt
    }

    /// Draws the coordinates of a typist, with their weight.
    pub(crate) fn draw_traits(&self, rng: &mut Stream) -> (TraitShift, f64) {
        let chosen = pick(self.traits.iter().map(|(share, _)| *share), rng);
        let shift = &self.traits[chosen].1;
        let at: TraitShift = std::array::from_fn(|i| {
            let z: f64 = StandardNormal.sample(rng);
            z + shift[i]
        });
        let ratio = |shift: &TraitShift| {
            let log: f64 = shift.iter().zip(&at).map(|(mean, z)| mean * z - 0.5 * mean * mean).sum();
            libm::exp(log)
        };
        let mixed: f64 = self.traits.iter().map(|(share, shift)| share * ratio(shift)).sum();
        (at, 1.0 / mixed)
    }

    /// Draws the component of a branch.
    pub(crate) fn draw_component(&self, rng: &mut Stream) -> usize {
        pick(self.tilt.components().iter().map(|(share, _)| *share), rng)
    }
}

fn pick(shares: impl Iterator<Item = f64>, rng: &mut Stream) -> usize {
    let at: f64 = rng.random();
    let (mut sum, mut last) = (0.0, 0);
    for (i, share) in shares.enumerate() {
        sum += share;
        last = i;
        if at < sum {
            return i;
        }
    }
    last
}

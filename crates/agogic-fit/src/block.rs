//! What every part of the likelihood can do.

use agogic_keys::Stream;
use agogic_typist::{TRAITS, Trait};

/// How many traits there are.
pub(crate) const SIZE: usize = TRAITS.len();

/// A point: every trait on its normal scale.
pub(crate) type Point = [f64; SIZE];

/// A part of the likelihood: observations whose law depends on a few traits.
///
/// Parts are multiplied as if independent: a composite likelihood. What ties their observations to each other
/// is made up for in the standard errors.
pub(crate) trait Block {
    /// The traits the law depends on.
    fn traits(&self) -> &[Trait];

    /// How many observations there are.
    fn len(&self) -> usize;

    /// The log-likelihood at a point. Calls `visit` with each observation's place in the log and its scores:
    /// derivatives by the traits, in their order.
    fn scores(&self, at: &Point, visit: &mut dyn FnMut(u32, &[f64])) -> f64;

    /// The log-likelihood alone.
    fn value(&self, at: &Point) -> f64 {
        self.scores(at, &mut |_, _| ())
    }

    /// The expected information about the traits, row by row, where the scores of single observations do not
    /// tell it.
    fn expected(&self, _at: &Point) -> Option<Vec<f64>> {
        None
    }

    /// How far each observation's scores answer to the tempo at its press, if they do.
    fn tempo(&self, _at: &Point, _visit: &mut dyn FnMut(u32, &[f64])) -> bool {
        false
    }

    /// How far each observation's scores answer to the square of the tempo at its press, if they do: spreads do.
    fn tempo_square(&self, _at: &Point, _visit: &mut dyn FnMut(u32, &[f64])) -> bool {
        false
    }

    /// Probabilities of the observations below what was seen, of those that were seen exactly: uniform under
    /// the model. Nothing for laws that are not continuous.
    fn integrals(&self, _at: &Point) -> Vec<f64> {
        Vec::new()
    }

    /// The same observations drawn anew from the model at a point; `None` where that is not asked for.
    fn drawn(&self, _at: &Point, _rng: &mut Stream) -> Option<Box<dyn Block>> {
        None
    }
}

/// Derivatives by central differences, for laws that are cheap.
pub(crate) fn differences<const N: usize>(at: [f64; N], f: impl Fn(&[f64; N]) -> f64) -> (f64, [f64; N]) {
    const STEP: f64 = 1e-4;
    let slopes = std::array::from_fn(|i| {
        let moved = |by: f64| {
            let mut point = at;
            point[i] += by;
            f(&point)
        };
        (moved(STEP) - moved(-STEP)) / (2.0 * STEP)
    });
    (f(&at), slopes)
}

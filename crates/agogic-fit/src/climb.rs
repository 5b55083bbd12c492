//! The mode of the posterior, and what is known around it.

use agogic_typist::Trait;
use nalgebra::{DMatrix, DVector};

use crate::block::{Block, Point, SIZE};
use crate::prior::Prior;

/// Steps at most.
const STEPS: usize = 80;

/// A step shorter than this many spreads of the population ends the search.
const CLOSE: f64 = 1e-4;

/// After so many steps the curvature itself is taken, which costs more and comes to rest sooner.
const ROUGH_STEPS: usize = 14;

/// What rounding may take from a log-likelihood, as a share of it.
const ROUNDING: f64 = 1e-12;

/// Steps for which a curvature serves.
const SERVES: usize = 4;

/// Slope of the log-likelihood and its information, of all traits.
pub(crate) fn slope(blocks: &[&dyn Block], at: &Point) -> (f64, DVector<f64>, DMatrix<f64>) {
    let mut value = 0.0;
    let mut slope = DVector::zeros(SIZE);
    let mut information = DMatrix::zeros(SIZE, SIZE);
    for block in blocks.iter().filter(|block| block.len() > 0) {
        let (log, own, outer) = of_block(*block, at);
        value += log;
        spread(&mut information, block.traits(), &outer);
        for (i, id) in block.traits().iter().enumerate() {
            slope[*id as usize] += own[i];
        }
    }
    (value, slope, information)
}

/// Adds the matrix of a few traits to that of all.
pub(crate) fn spread(to: &mut DMatrix<f64>, traits: &[Trait], own: &DMatrix<f64>) {
    for (i, a) in traits.iter().enumerate() {
        for (j, b) in traits.iter().enumerate() {
            to[(*a as usize, *b as usize)] += own[(i, j)];
        }
    }
}

/// The same of one part, over its own traits. Information is the sum of the squares of scores.
fn of_block(block: &dyn Block, at: &Point) -> (f64, DVector<f64>, DMatrix<f64>) {
    let n = block.traits().len();
    let mut slope = DVector::zeros(n);
    let mut outer = DMatrix::zeros(n, n);
    let value = block.scores(at, &mut |_, scores| {
        for i in 0..n {
            slope[i] += scores[i];
            for j in 0..=i {
                outer[(i, j)] += scores[i] * scores[j];
            }
        }
    });
    outer.fill_upper_triangle_with_lower_triangle();
    if let Some(expected) = block.expected(at) {
        outer = DMatrix::from_row_slice(n, n, &expected);
    }
    (value, slope, outer)
}

/// Where the log-likelihood and the prior together are highest.
///
/// # Definition
/// Newton steps, first with the sum of squared scores for the curvature (Berndt, Hall, Hall & Hausman 1974, from
/// memory), after some with the curvature itself; halved until they climb, and then doubled while they climb further.
/// `None` when that does not come to rest.
pub(crate) fn climb(blocks: &[&dyn Block], prior: &Prior, start: &Point) -> Option<Point> {
    let mut at = *start;
    let used: Vec<&dyn Block> = blocks.iter().copied().filter(|block| block.len() > 0).collect();
    let total = |at: &Point| -> f64 { used.iter().map(|block| block.value(at)).sum::<f64>() + prior.log(at) };
    // The curvature changes little near the top: it serves for a few steps.
    let mut held: Option<(usize, DMatrix<f64>)> = None;
    for round in 0..STEPS {
        let (value, slope, mut information) = slope(&used, &at);
        let height = value + prior.log(&at);
        if round >= ROUGH_STEPS {
            if held.as_ref().is_none_or(|(since, _)| round - since >= SERVES) {
                information.fill(0.0);
                for block in &used {
                    spread(&mut information, block.traits(), &curvature(*block, &at, prior));
                }
                held = Some((round, information.clone()));
            }
            if let Some((_, curvature)) = &held {
                information.copy_from(curvature);
            }
        }
        let step = (information + &prior.precision).cholesky()?.solve(&(slope + prior.slope(&at)));
        // Far from the top the squares of scores can be small: no step leaves the population behind.
        let longest = (0..SIZE).map(|i| step[i].abs() / prior.sd[i]).fold(0.0, f64::max);
        if longest < CLOSE {
            return Some(at);
        }
        let mut share = (2.0 / longest).min(1.0);
        let moved = |share: f64| -> Point { std::array::from_fn(|i| at[i] + share * step[i]) };
        // Rounding may hide a rise. More is not forgiven: steps that are a little too long would go round the top for ever.
        while total(&moved(share)) < height - ROUNDING * height.abs() {
            share /= 2.0;
            if share * longest < CLOSE {
                return Some(at);
            }
        }
        // A search that takes so long may be leaving a saddle, which single steps do slowly.
        if round >= ROUGH_STEPS {
            while share * longest < 1.0 && total(&moved(2.0 * share)) > total(&moved(share)) {
                share *= 2.0;
            }
        }
        at = moved(share);
    }
    None
}

/// The curvature of a part: how its slopes fall away from a point. The squares of scores where that is not
/// positive definite.
pub(crate) fn curvature(block: &dyn Block, at: &Point, prior: &Prior) -> DMatrix<f64> {
    let traits = block.traits();
    let n = traits.len();
    if block.expected(at).is_some() {
        return of_block(block, at).2;
    }
    let mut curvature = DMatrix::zeros(n, n);
    for (j, id) in traits.iter().enumerate() {
        let step = 1e-3 * prior.sd[*id as usize].max(1e-3);
        let side = |by: f64| {
            let mut moved = *at;
            moved[*id as usize] += by;
            let mut sum = DVector::zeros(n);
            block.scores(&moved, &mut |_, scores| sum += DVector::from_column_slice(scores));
            sum
        };
        curvature.set_column(j, &((side(-step) - side(step)) / (2.0 * step)));
    }
    curvature = (&curvature + curvature.transpose()) / 2.0;
    let scaled =
        DMatrix::from_fn(n, n, |i, j| curvature[(i, j)] * prior.sd[traits[i] as usize] * prior.sd[traits[j] as usize]);
    // A trait that no observation bears on has no curvature; that is no fault.
    let least = scaled.symmetric_eigenvalues().min();
    if least >= -1e-6 { curvature } else { of_block(block, at).2 }
}

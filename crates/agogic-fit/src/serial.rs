//! What a likelihood that takes neighbours for independent really knows.

use nalgebra::{DMatrix, DVector};

use crate::block::{Block, Point};
use crate::prior::Prior;

/// Presses over which scores may go together. The tempo of the built-in populations has lost 96 % by then.
const LAGS: usize = 30;

/// Presses of a log at which its own serial dependence counts as much as the model's.
const EVEN_PRESSES: f64 = 2000.0;

/// Variance of the sum of scores, and how it was found.
///
/// # Definition
/// J = w E + (1 − w) (C + M) with w = n ⁄ (n + 2000), n the observations. C is the part's curvature, as if presses
/// were independent. M is what the tempo of the model adds: 2 σ² Σ φ^(j−i) aᵢ aⱼ over pairs, a how far a press's
/// scores answer to the tempo, φ its persistence, σ² its variance; and 4 σ⁴ Σ φ^(2(j−i)) bᵢ bⱼ, b how far they answer
/// to its square, whose covariance is 2 σ⁴ φ^(2(j−i)). E is what the log shows: squares of scores, and
/// their covariances at lags 1 to 30 with falling weights. Short logs show little of it, so the model speaks for
/// them.
///
/// # Source
/// Newey & West (1987), Econometrica 55:703, for the weights 1 − lag ⁄ 31; Godambe (1960) for the sandwich (both
/// from memory). The mixture is our own choice.
pub(crate) fn variance_of_scores(
    block: &dyn Block,
    at: &Point,
    curvature: &DMatrix<f64>,
    tempo: (f64, f64),
) -> DMatrix<f64> {
    let n = block.traits().len();
    let mut rows: Vec<(u32, Vec<f64>)> = Vec::with_capacity(block.len());
    block.scores(at, &mut |place, scores| rows.push((place, scores.to_vec())));
    // At the mode of a posterior scores do not sum to zero; their mean is no dependence.
    let count = rows.len().max(1) as f64;
    let mean: Vec<f64> = (0..n).map(|j| rows.iter().map(|(_, row)| row[j]).sum::<f64>() / count).collect();
    for (_, row) in &mut rows {
        row.iter_mut().zip(&mean).for_each(|(score, mean)| *score -= mean);
    }
    let mut seen = DMatrix::zeros(n, n);
    let mut before = vec![0.0; n];
    for (i, (place, row)) in rows.iter().enumerate() {
        // Half of the square, which comes twice.
        before.iter_mut().zip(row).for_each(|(sum, score)| *sum = 0.5 * score);
        for (earlier, other) in rows[..i].iter().rev() {
            let lag = place.saturating_sub(*earlier) as usize;
            if lag > LAGS {
                break;
            }
            let weight = 1.0 - lag as f64 / (LAGS + 1) as f64;
            before.iter_mut().zip(other).for_each(|(sum, score)| *sum += weight * score);
        }
        for a in 0..n {
            for b in 0..n {
                seen[(a, b)] += row[a] * before[b] + before[a] * row[b];
            }
        }
    }
    let (keep, variance) = tempo;
    let mut model = Carried::new(n, keep, variance);
    block.tempo(at, &mut |place, answers| model.add(place, answers));
    let mut of_square = Carried::new(n, keep * keep, 2.0 * variance * variance);
    block.tempo_square(at, &mut |place, answers| of_square.add(place, answers));
    let model = model.covariance + of_square.covariance;
    let weight = rows.len() as f64 / (rows.len() as f64 + EVEN_PRESSES);
    weight * seen + (1.0 - weight) * (curvature + model)
}

/// Covariance of sums of answers to something that fades from press to press.
struct Carried {
    keep: f64,
    variance: f64,
    /// Σ of earlier answers, faded to the latest press.
    answers: DVector<f64>,
    last: u32,
    covariance: DMatrix<f64>,
}

impl Carried {
    fn new(n: usize, keep: f64, variance: f64) -> Self {
        Self { keep, variance, answers: DVector::zeros(n), last: 0, covariance: DMatrix::zeros(n, n) }
    }

    fn add(&mut self, place: u32, answers: &[f64]) {
        let answers = DVector::from_column_slice(answers);
        self.answers *= self.keep.powi(place.saturating_sub(self.last).min(10_000) as i32);
        self.last = place;
        let product = self.variance * &answers * self.answers.transpose();
        self.covariance += &product + product.transpose();
        self.answers += answers;
    }
}

/// The information that is left: C J⁻¹ C, over the traits that a part bears on at all.
///
/// Where J is not positive definite, which short logs can bring about, serial dependence cannot be told and the
/// curvature itself is returned.
pub(crate) fn sandwich(
    block: &dyn Block,
    at: &Point,
    curvature: &DMatrix<f64>,
    prior: &Prior,
    tempo: (f64, f64),
) -> DMatrix<f64> {
    if block.expected(at).is_some() {
        return curvature.clone();
    }
    let traits = block.traits();
    let sd = |i: usize| prior.sd[traits[i] as usize];
    let scale =
        |matrix: &DMatrix<f64>| DMatrix::from_fn(traits.len(), traits.len(), |i, j| matrix[(i, j)] * sd(i) * sd(j));
    let scaled = scale(curvature);
    let kept: Vec<usize> = (0..traits.len()).filter(|i| scaled[(*i, *i)] > 1e-9).collect();
    let part = |matrix: &DMatrix<f64>| DMatrix::from_fn(kept.len(), kept.len(), |i, j| matrix[(kept[i], kept[j])]);
    let own = part(&scaled);
    let spread = part(&scale(&variance_of_scores(block, at, curvature, tempo)));
    let Some(root) = spread.cholesky() else { return curvature.clone() };
    let left = &own * root.solve(&own);
    let mut full = DMatrix::zeros(traits.len(), traits.len());
    for (i, a) in kept.iter().enumerate() {
        for (j, b) in kept.iter().enumerate() {
            full[(*a, *b)] = left[(i, j)] / (sd(*a) * sd(*b));
        }
    }
    full
}

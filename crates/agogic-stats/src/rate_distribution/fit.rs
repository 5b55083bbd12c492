//! The density with the greatest penalised likelihood.

use super::basis::{Basis, NORMAL, POINTS, SHAPES, basis};
use crate::optimum::inverse;

/// Standard deviation of slope and bow under the penalty: wide enough to leave them free.
const FREE: f64 = 100.0;

/// Steps at most; a dozen are usual.
const STEPS: usize = 200;

type Square = [[f64; SHAPES]; SHAPES];

/// A density on the grid.
pub(super) struct Fit {
    /// Mass of each grid point.
    pub mass: Vec<f64>,
    /// What the mass of each point gains per unit of each coefficient.
    slopes: Basis,
    /// Covariance of the coefficients.
    covariance: Square,
}

/// Where the likelihood is looked at.
struct Look {
    mass: Vec<f64>,
    /// The penalised log-likelihood.
    value: f64,
    gradient: [f64; SHAPES],
    /// Minus the second derivatives.
    curvature: Square,
    /// Squares of the clusters' own gradients: never indefinite.
    outer: Square,
}

/// Fits the density to the likelihoods of the clusters, each over the grid; `None` where no maximum is found.
pub(super) fn fit(likelihoods: &[[f64; POINTS]]) -> Option<Fit> {
    let basis = basis();
    let mut at = [0.0; SHAPES];
    let mut look = look(likelihoods, &basis, &at);
    let mut settled = false;
    for _ in 0..STEPS {
        let across = inverse(look.curvature).or_else(|| inverse(look.outer))?;
        let step: [f64; SHAPES] = std::array::from_fn(|i| (0..SHAPES).map(|j| across[i][j] * look.gradient[j]).sum());
        let gain: f64 = step.iter().zip(&look.gradient).map(|(s, g)| s * g).sum();
        if gain < 1e-9 {
            settled = true;
            break;
        }
        let mut length = 1.0;
        let better = loop {
            let next: [f64; SHAPES] = std::array::from_fn(|i| at[i] + length * step[i]);
            let found = self::look(likelihoods, &basis, &next);
            if found.value > look.value {
                break Some((next, found));
            }
            length /= 2.0;
            if length < 1e-9 {
                break None;
            }
        };
        // What no step improves is the maximum but for rounding.
        let Some((next, found)) = better else {
            settled = gain < 1e-4;
            break;
        };
        (at, look) = (next, found);
    }
    let covariance = inverse(look.curvature).or_else(|| inverse(look.outer)).filter(|_| settled)?;
    let mean = mean_of(&basis, &look.mass);
    let slopes =
        basis.iter().zip(&look.mass).map(|(row, mass)| std::array::from_fn(|k| mass * (row[k] - mean[k]))).collect();
    Some(Fit { mass: look.mass, slopes, covariance })
}

impl Fit {
    /// Standard error of the sum of the masses, each times its weight.
    pub fn error(&self, weights: &[f64]) -> f64 {
        let slope = weighted(&self.slopes, weights);
        let square: f64 = (0..SHAPES)
            .flat_map(|i| (0..SHAPES).map(move |j| (i, j)))
            .map(|(i, j)| slope[i] * self.covariance[i][j] * slope[j])
            .sum();
        libm::sqrt(square.max(0.0))
    }
}

fn weighted(rows: &Basis, weights: &[f64]) -> [f64; SHAPES] {
    let mut sums = [0.0; SHAPES];
    for (row, weight) in rows.iter().zip(weights) {
        sums.iter_mut().zip(row).for_each(|(sum, x)| *sum += weight * x);
    }
    sums
}

fn mean_of(basis: &Basis, mass: &[f64]) -> [f64; SHAPES] {
    weighted(basis, mass)
}

/// Sum of weight · row · rowᵀ.
fn squares(basis: &Basis, weights: &[f64]) -> Square {
    let mut sums = [[0.0; SHAPES]; SHAPES];
    for (row, weight) in basis.iter().zip(weights) {
        add(&mut sums, row, *weight);
    }
    sums
}

fn add(sums: &mut Square, row: &[f64; SHAPES], weight: f64) {
    for i in 0..SHAPES {
        for j in 0..SHAPES {
            sums[i][j] += weight * row[i] * row[j];
        }
    }
}

fn look(likelihoods: &[[f64; POINTS]], basis: &Basis, at: &[f64; SHAPES]) -> Look {
    let height = |row: &[f64; SHAPES]| row.iter().zip(at).map(|(x, a)| x * a).sum::<f64>();
    let heights: Vec<f64> = basis.iter().map(height).collect();
    let top = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut mass: Vec<f64> = heights.iter().map(|height| libm::exp(height - top)).collect();
    let all: f64 = mass.iter().sum();
    mass.iter_mut().for_each(|mass| *mass /= all);
    let mean = mean_of(basis, &mass);

    let n = likelihoods.len() as f64;
    let (mut value, mut gradient, mut outer) = (0.0, [0.0; SHAPES], [[0.0; SHAPES]; SHAPES]);
    // Posterior mass of all clusters at each point, and the squares of their posterior means.
    let (mut shares, mut means) = (vec![0.0; POINTS], [[0.0; SHAPES]; SHAPES]);
    let mut posterior = [0.0; POINTS];
    for likelihood in likelihoods {
        let mut marginal = 0.0;
        for ((share, l), g) in posterior.iter_mut().zip(likelihood).zip(&mass) {
            *share = l * g;
            marginal += *share;
        }
        value += libm::log(marginal);
        let mut own = [0.0; SHAPES];
        for ((share, sum), row) in posterior.iter().zip(&mut shares).zip(basis) {
            let share = share / marginal;
            *sum += share;
            own.iter_mut().zip(row).for_each(|(sum, x)| *sum += share * x);
        }
        add(&mut means, &own, 1.0);
        let apart: [f64; SHAPES] = std::array::from_fn(|k| own[k] - mean[k]);
        gradient.iter_mut().zip(&apart).for_each(|(sum, x)| *sum += x);
        add(&mut outer, &apart, 1.0);
    }
    let mut curvature = squares(basis, &mass.iter().zip(&shares).map(|(g, share)| n * g - share).collect::<Vec<_>>());
    add(&mut curvature, &mean, -n);
    for i in 0..SHAPES {
        for j in 0..SHAPES {
            curvature[i][j] += means[i][j];
        }
        let spread = if i < NORMAL { FREE } else { libm::sqrt(POINTS as f64) };
        let weight = 1.0 / (spread * spread);
        value -= 0.5 * weight * at[i] * at[i];
        gradient[i] -= weight * at[i];
        curvature[i][i] += weight;
        outer[i][i] += weight;
    }
    Look { mass, value, gradient, curvature, outer }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Gradient and curvature are the differences of the value and of the gradient.
    #[test]
    fn derivatives_are_those_of_the_likelihood() {
        let likelihood = |k: usize| std::array::from_fn(|i| libm::exp(-0.02 * (i as f64 - 7.0 * k as f64).powi(2)));
        let likelihoods: Vec<[f64; POINTS]> = (1..8).map(likelihood).collect();
        let basis = basis();
        let at = [1.0, -2.0, 0.5, 0.3, -0.7, 1.1];
        let here = look(&likelihoods, &basis, &at);
        let h = 1e-5;
        for k in 0..SHAPES {
            let moved = |by: f64| {
                let mut next = at;
                next[k] += by;
                look(&likelihoods, &basis, &next)
            };
            let (up, down) = (moved(h), moved(-h));
            assert!(((up.value - down.value) / (2.0 * h) - here.gradient[k]).abs() < 1e-6);
            for j in 0..SHAPES {
                let second = -(up.gradient[j] - down.gradient[j]) / (2.0 * h);
                assert!((second - here.curvature[k][j]).abs() < 1e-6, "{k} {j}");
            }
        }
    }
}

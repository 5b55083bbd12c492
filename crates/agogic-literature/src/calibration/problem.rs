//! The least-squares problem: weighted residuals of simulated moments, and their derivatives.

use std::cell::RefCell;

use agogic_typist::{Population, TRAITS, Typist};
use levenberg_marquardt::LeastSquaresProblem;
use nalgebra::storage::Owned;
use nalgebra::{DMatrix, DVector, Dyn};

use super::moment::Moment;
use super::parameter::{Parameter, with_values};
use crate::evaluate::Evaluator;
use crate::simulate::{CheckPlan, simulate_people};

/// How far a calibration has come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Simulations done.
    pub evaluations: usize,
    /// Smallest objective so far, the ridge included.
    pub objective: f64,
}

/// SD of the ridge on the free coordinate. A normal of this SD there is nearly flat between the bounds.
pub(crate) const RIDGE: f64 = 1.5;
/// Step of the finite differences on the free coordinate: a tenth of the ridge.
const STEP: f64 = 0.15;
/// Residual of a population that cannot be, or of a moment that is not defined: far worse than any other, so
/// that the step is taken back.
const IMPOSSIBLE: f64 = 1e3;

pub(crate) struct Problem<'a> {
    pub base: &'a Population,
    pub parameters: &'a [Parameter],
    pub moments: &'a [Moment],
    /// What a residual of each moment is divided by.
    pub scales: Vec<f64>,
    pub check: CheckPlan<'a>,
    pub progress: &'a dyn Fn(Progress),
    centre: DVector<f64>,
    at: DVector<f64>,
    seen: RefCell<Seen>,
    /// Iterations left.
    left: RefCell<usize>,
}

#[derive(Default)]
struct Seen {
    /// The latest point and its residuals.
    latest: Option<(DVector<f64>, DVector<f64>)>,
    evaluations: usize,
    best: f64,
}

impl<'a> Problem<'a> {
    pub fn new(
        base: &'a Population,
        parameters: &'a [Parameter],
        moments: &'a [Moment],
        check: CheckPlan<'a>,
        progress: &'a dyn Fn(Progress),
        iterations: usize,
    ) -> Self {
        let centre = DVector::from_iterator(parameters.len(), parameters.iter().map(|p| p.free(p.start)));
        let seen = RefCell::new(Seen { best: f64::INFINITY, ..Seen::default() });
        let scales = moments.iter().map(|m| m.tolerance).collect();
        let left = RefCell::new(iterations);
        Self { base, parameters, moments, scales, check, progress, at: centre.clone(), centre, seen, left }
    }

    pub fn evaluations(&self) -> usize {
        self.seen.borrow().evaluations
    }

    /// The parameters' values at free coordinates.
    pub fn values(&self, free: &DVector<f64>) -> Vec<f64> {
        self.parameters.iter().zip(free.iter()).map(|(p, &u)| p.value(u)).collect()
    }

    /// The simulated moments at free coordinates; `None` for a population that cannot be.
    pub fn simulated(&self, free: &DVector<f64>, seed: u64) -> Option<Vec<Option<f64>>> {
        let population = with_values(self.base, self.parameters, &self.values(free)).ok()?;
        self.seen.borrow_mut().evaluations += 1;
        moments_of(&population, self.moments, &CheckPlan { seed, ..self.check })
    }

    /// Residuals of the moments, then those of the ridge.
    pub fn residuals_at(&self, free: &DVector<f64>) -> DVector<f64> {
        let moments = self.moments.len();
        let simulated = self.simulated(free, self.check.seed).unwrap_or_else(|| vec![None; moments]);
        let mut residuals = DVector::zeros(moments + free.len());
        for (i, (m, value)) in self.moments.iter().zip(simulated).enumerate() {
            residuals[i] = value.map_or(IMPOSSIBLE, |value| (value - m.value) / self.scales[i]);
        }
        for j in 0..free.len() {
            residuals[moments + j] = (free[j] - self.centre[j]) / RIDGE;
        }
        let mut seen = self.seen.borrow_mut();
        seen.best = seen.best.min(residuals.norm_squared());
        (self.progress)(Progress { evaluations: seen.evaluations, objective: seen.best });
        residuals
    }

    /// Derivatives of the residuals by finite differences: upwards, or downwards where there is no population
    /// above.
    pub fn jacobian_at(&self, free: &DVector<f64>, base: &DVector<f64>) -> DMatrix<f64> {
        let mut jacobian = DMatrix::zeros(base.len(), free.len());
        let possible = |r: &DVector<f64>| r.rows(0, self.moments.len()).iter().all(|v| *v < IMPOSSIBLE);
        let moved = |j: usize, by: f64| {
            let mut point = free.clone();
            point[j] += by;
            let residuals = self.residuals_at(&point);
            possible(&residuals).then_some(residuals)
        };
        for j in 0..free.len() {
            let up = moved(j, STEP);
            let column = match up {
                Some(up) => (up - base) / STEP,
                None => match moved(j, -STEP) {
                    Some(down) => (base - down) / STEP,
                    None => continue,
                },
            };
            jacobian.set_column(j, &column);
        }
        jacobian
    }

    fn latest(&self) -> DVector<f64> {
        let known = match &self.seen.borrow().latest {
            Some((point, residuals)) if *point == self.at => Some(residuals.clone()),
            _ => None,
        };
        known.unwrap_or_else(|| {
            let residuals = self.residuals_at(&self.at);
            self.seen.borrow_mut().latest = Some((self.at.clone(), residuals.clone()));
            residuals
        })
    }
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, free: &DVector<f64>) {
        self.at.copy_from(free);
    }

    fn params(&self) -> DVector<f64> {
        self.at.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        Some(self.latest())
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let mut left = self.left.borrow_mut();
        *left = left.checked_sub(1)?;
        Some(self.jacobian_at(&self.at, &self.latest()))
    }
}

/// Coordinates of the plan's typists, moved and turned so that their means are zero and their covariance is the
/// identity: the sample has the traits' means, spreads and correlations of its population exactly. What is left
/// of the noise between samples is in the tails and within people.
///
/// # Source
/// Barraquand (1995), Management Science 41:1882 (quadratic resampling; from memory).
fn balanced(plan: &CheckPlan<'_>) -> Vec<[f64; TRAITS.len()]> {
    let drawn: Vec<_> = (0..plan.typists).map(|number| Typist::coordinates(plan.seed, number)).collect();
    let n = drawn.len();
    let mut table = DMatrix::from_fn(n, TRAITS.len(), |i, j| drawn[i][j]);
    let means = table.row_mean();
    for mut row in table.row_iter_mut() {
        row -= &means;
    }
    let covariance = table.transpose() * &table / n as f64;
    // With no more typists than traits there is nothing to turn.
    let Some(root) = covariance.cholesky() else { return drawn };
    let Some(turned) = root.l().solve_lower_triangular(&table.transpose()) else { return drawn };
    (0..n).map(|i| std::array::from_fn(|j| turned[(j, i)])).collect()
}

/// The simulated moments of a population; `None` where a plan cannot be carried out.
pub(crate) fn moments_of(
    population: &Population,
    moments: &[Moment],
    plan: &CheckPlan<'_>,
) -> Option<Vec<Option<f64>>> {
    let people = balanced(plan);
    let typist = |number: u64| Typist::at(population, number, &people[number as usize]);
    let sample = simulate_people(plan, population, typist).ok()?;
    let mut evaluator = Evaluator::new(&sample);
    Some(moments.iter().map(|m| evaluator.value(m.statistic)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn balanced_people_have_the_moments_of_their_population() {
        let plan = CheckPlan { typists: 80, seed: 9, ..CheckPlan::new("x") };
        let people = balanced(&plan);
        for j in 0..TRAITS.len() {
            let mean: f64 = people.iter().map(|z| z[j]).sum::<f64>() / 80.0;
            assert!(mean.abs() < 1e-12);
            for k in 0..=j {
                let product: f64 = people.iter().map(|z| z[j] * z[k]).sum::<f64>() / 80.0;
                assert!((product - f64::from(u8::from(j == k))).abs() < 1e-10, "{j} {k}: {product}");
            }
        }
        // Close to the people as drawn: nobody becomes another.
        let moved = (0..80).map(|i| (people[i][0] - Typist::coordinates(9, i as u64)[0]).abs()).fold(0.0, f64::max);
        assert!(moved < 1.0, "{moved}");
    }
}

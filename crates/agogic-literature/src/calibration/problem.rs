//! The least-squares problem: weighted residuals of simulated moments, and their derivatives.

use std::cell::RefCell;

use agogic_typist::Population;
use levenberg_marquardt::LeastSquaresProblem;
use nalgebra::storage::Owned;
use nalgebra::{DMatrix, DVector, Dyn};

use super::fit::Progress;
use super::moment::Moment;
use super::parameter::{Parameter, with_values};
use crate::evaluate::Evaluator;
use crate::simulate::{CheckPlan, simulate};

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

    /// Derivatives of the residuals by finite differences. Those of moments on one side of a discontinuity
    /// fall back to the other side.
    pub fn jacobian_at(&self, free: &DVector<f64>, base: &DVector<f64>, central: bool) -> DMatrix<f64> {
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
            let down = if central || up.is_none() { moved(j, -STEP) } else { None };
            let column = match (up, down) {
                (Some(up), Some(down)) => (up - down) / (2.0 * STEP),
                (Some(up), None) => (up - base) / STEP,
                (None, Some(down)) => (base - down) / STEP,
                (None, None) => continue,
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
        Some(self.jacobian_at(&self.at, &self.latest(), false))
    }
}

/// The simulated moments of a population; `None` where a plan cannot be carried out.
pub(crate) fn moments_of(
    population: &Population,
    moments: &[Moment],
    plan: &CheckPlan<'_>,
) -> Option<Vec<Option<f64>>> {
    let sample = simulate(population, plan).ok()?;
    let mut evaluator = Evaluator::new(&sample);
    Some(moments.iter().map(|m| evaluator.value(m.statistic)).collect())
}

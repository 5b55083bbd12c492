//! The population as a prior.

use agogic_typist::{Population, TRAITS};
use nalgebra::{DMatrix, DVector};

use crate::block::{Point, SIZE};

/// A normal distribution of all traits on their normal scales.
#[derive(Clone, Debug)]
pub(crate) struct Prior {
    pub mean: Point,
    pub sd: Point,
    pub precision: DMatrix<f64>,
}

/// The least spread of a trait for which it is fitted at all.
const LEAST_SPREAD: f64 = 1e-6;

impl Prior {
    /// # Definition
    /// Medians, spreads and correlations of the population. A trait in which people do not differ keeps the
    /// least spread: it stays where it is.
    pub fn of(population: &Population) -> Self {
        let mean = std::array::from_fn(|i| TRAITS[i].scale.to_normal(population.spread_of(TRAITS[i].id).median));
        let sd: Point = std::array::from_fn(|i| population.spread_of(TRAITS[i].id).spread.max(LEAST_SPREAD));
        let r = population.all_correlations();
        let covariance = DMatrix::from_fn(SIZE, SIZE, |i, j| sd[i] * sd[j] * r[i][j]);
        let precision = covariance.cholesky().expect("people can have the correlations of a population").inverse();
        Self { mean, sd, precision }
    }

    /// A prior that says next to nothing: what maximum likelihood is found with.
    pub fn flat(&self) -> Self {
        // A hundred spreads wide in each trait.
        let entry = |i: usize| 1e-4 / (self.sd[i] * self.sd[i]);
        Self { precision: DMatrix::from_fn(SIZE, SIZE, |i, j| if i == j { entry(i) } else { 0.0 }), ..self.clone() }
    }

    fn away(&self, at: &Point) -> DVector<f64> {
        DVector::from_fn(SIZE, |i, _| at[i] - self.mean[i])
    }

    /// Log density but for a constant.
    pub fn log(&self, at: &Point) -> f64 {
        let away = self.away(at);
        -0.5 * away.dot(&(&self.precision * &away))
    }

    /// Derivatives of it.
    pub fn slope(&self, at: &Point) -> DVector<f64> {
        -(&self.precision * self.away(at))
    }
}

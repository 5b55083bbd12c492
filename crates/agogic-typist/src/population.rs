//! Populations: the distribution of traits over people, and what all of them share.

use agogic_stats::timing::Family;
use nalgebra::DMatrix;
use serde::Serialize;

use crate::typist::{CONSTANTS, Constant, TRAITS, Trait};

/// Median and spread of one trait over people.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TraitSpread {
    /// Median, in the trait's unit.
    pub median: f64,
    /// SD between people on the trait's normal scale.
    pub spread: f64,
}

/// A correlation between two traits on their normal scales.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correlation {
    /// One trait.
    pub a: Trait,
    /// The other.
    pub b: Trait,
    /// Correlation between people, strictly between −1 and 1.
    pub r: f64,
}

/// Why a population was refused. The texts continue "failed to set up a population: …".
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PopulationError {
    /// A median or spread that cannot be.
    #[error("{name}: {what} must be {wanted}, not {value}")]
    Value {
        /// The trait or constant.
        name: &'static str,
        /// Which of its numbers.
        what: &'static str,
        /// What would be right.
        wanted: String,
        /// What was given.
        value: f64,
    },
    /// The correlations contradict each other.
    #[error(
        "no population can have these correlations: with {culprit} the matrix has the eigenvalue {eigenvalue:.3}, \
         which is not above zero. Bring the correlations of {culprit} closer to zero, or make them agree with \
         those between the traits it is correlated with"
    )]
    Impossible {
        /// The first trait at which it fails.
        culprit: &'static str,
        /// The smallest eigenvalue of the matrix up to that trait.
        eigenvalue: f64,
    },
}

/// A population of typists.
#[derive(Clone, Debug)]
pub struct Population {
    name: String,
    about: String,
    traits: [TraitSpread; TRAITS.len()],
    constants: [f64; CONSTANTS.len()],
    correlations: Vec<Correlation>,
    dwell_family: Family,
    /// Lower Cholesky factor of the correlation matrix, row by row.
    factor: Vec<f64>,
}

impl Population {
    /// The names [`Population::by_name`] accepts.
    pub const NAMES: &'static [&'static str] = &["volunteers"];

    /// A population from its parts.
    ///
    /// # Errors
    /// A median or spread out of range; correlations no population can have.
    pub fn new(
        name: &str,
        about: &str,
        traits: [TraitSpread; TRAITS.len()],
        constants: [f64; CONSTANTS.len()],
        correlations: Vec<Correlation>,
    ) -> Result<Self, PopulationError> {
        for (info, given) in TRAITS.iter().zip(&traits) {
            let z = info.scale.to_normal(given.median);
            if !z.is_finite() {
                let wanted = match info.scale {
                    crate::Scale::Log => "above zero",
                    crate::Scale::Logit => "between zero and one",
                    crate::Scale::Plain => "a number",
                };
                let value = given.median;
                return Err(PopulationError::Value { name: info.name, what: "median", wanted: wanted.into(), value });
            }
            if !(given.spread >= 0.0 && given.spread <= 5.0) {
                let (wanted, value) = ("between 0 and 5".into(), given.spread);
                return Err(PopulationError::Value { name: info.name, what: "spread", wanted, value });
            }
        }
        for (info, &value) in CONSTANTS.iter().zip(&constants) {
            if !(value >= info.min && value <= info.max) {
                let wanted = format!("between {} and {}", info.min, info.max);
                return Err(PopulationError::Value { name: info.name, what: "value", wanted, value });
            }
        }
        let kinds = [Constant::Substitution, Constant::Omission, Constant::Insertion];
        let kinds: f64 = kinds.iter().map(|id| constants[*id as usize]).sum();
        if kinds > 1.0 {
            let (name, what) = ("slip_substitution", "sum with slip_omission and slip_insertion");
            return Err(PopulationError::Value { name, what, wanted: "at most 1".into(), value: kinds });
        }
        let factor = cholesky(&correlations)?;
        let (name, about, dwell_family) = (name.to_owned(), about.to_owned(), Family::LogNormal);
        Ok(Self { name, about, traits, constants, correlations, dwell_family, factor })
    }

    /// The population of that name, if it is a built-in one.
    pub fn by_name(name: &str) -> Option<Self> {
        match name {
            "volunteers" => Some(Self::volunteers()),
            _ => None,
        }
    }

    /// Name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Who these people are, in a sentence.
    pub fn about(&self) -> &str {
        &self.about
    }

    /// Median and spread of a trait.
    pub fn spread_of(&self, id: Trait) -> TraitSpread {
        self.traits[id as usize]
    }

    /// The family of distributions of the dwell.
    pub fn dwell_family(&self) -> Family {
        self.dwell_family
    }

    /// The same population with another family of distributions of the dwell, at equal median and spread.
    pub fn with_dwell_family(mut self, family: Family) -> Self {
        self.dwell_family = family;
        self
    }

    /// All constants, in the order of [`CONSTANTS`].
    pub fn constants(&self) -> &[f64; CONSTANTS.len()] {
        &self.constants
    }

    /// One constant.
    pub fn constant(&self, id: Constant) -> f64 {
        self.constants[id as usize]
    }

    /// Correlations between traits that are not zero.
    pub fn correlations(&self) -> &[Correlation] {
        &self.correlations
    }

    /// The same population with another median and spread of one trait.
    ///
    /// # Errors
    /// As [`Population::new`].
    pub fn with_trait(mut self, id: Trait, to: TraitSpread) -> Result<Self, PopulationError> {
        self.traits[id as usize] = to;
        let family = self.dwell_family;
        Self::new(&self.name, &self.about, self.traits, self.constants, self.correlations)
            .map(|population| population.with_dwell_family(family))
    }

    /// The same population with other correlations, all of them; those not named are zero.
    ///
    /// # Errors
    /// As [`Population::new`].
    pub fn with_correlations(self, correlations: Vec<Correlation>) -> Result<Self, PopulationError> {
        Self::new(&self.name, &self.about, self.traits, self.constants, correlations)
            .map(|population| population.with_dwell_family(self.dwell_family))
    }

    /// The same population with another value of one constant.
    ///
    /// # Errors
    /// As [`Population::new`].
    pub fn with_constant(mut self, id: Constant, to: f64) -> Result<Self, PopulationError> {
        self.constants[id as usize] = to;
        let family = self.dwell_family;
        Self::new(&self.name, &self.about, self.traits, self.constants, self.correlations)
            .map(|population| population.with_dwell_family(family))
    }

    /// Traits at independent standard normal coordinates: correlated, scaled and on their natural scales.
    pub(crate) fn traits_at(&self, normal: &[f64; TRAITS.len()]) -> [f64; TRAITS.len()] {
        std::array::from_fn(|i| {
            let row = &self.factor[i * TRAITS.len()..][..=i];
            let z: f64 = row.iter().zip(normal).map(|(l, z)| l * z).sum();
            let TraitSpread { median, spread } = self.traits[i];
            let scale = TRAITS[i].scale;
            scale.to_natural(scale.to_normal(median) + spread * z)
        })
    }
}

/// Lower Cholesky factor of the correlation matrix of all traits, row by row.
fn cholesky(correlations: &[Correlation]) -> Result<Vec<f64>, PopulationError> {
    let n = TRAITS.len();
    let mut matrix = DMatrix::<f64>::identity(n, n);
    for &Correlation { a, b, r } in correlations {
        let name = TRAITS[a as usize].name;
        if !(r > -1.0 && r < 1.0) || a == b {
            let wanted = "between -1 and 1, and between two different traits".into();
            return Err(PopulationError::Value { name, what: "correlation", wanted, value: r });
        }
        matrix[(a as usize, b as usize)] = r;
        matrix[(b as usize, a as usize)] = r;
    }
    match matrix.clone().cholesky() {
        Some(done) => {
            let lower = done.l();
            Ok((0..n).flat_map(|i| (0..n).map(move |j| (i, j))).map(|at| lower[at]).collect())
        }
        None => {
            // The first leading block that fails names a trait the user can act on.
            let failing = (1..=n).find(|&k| matrix.view((0, 0), (k, k)).into_owned().cholesky().is_none()).unwrap_or(n);
            let block = matrix.view((0, 0), (failing, failing)).into_owned();
            let eigenvalue = block.symmetric_eigenvalues().min();
            Err(PopulationError::Impossible { culprit: TRAITS[failing - 1].name, eigenvalue })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Typist;

    #[test]
    fn draws_have_the_stated_spread_and_correlation() {
        let population = Population::volunteers();
        let n = 20_000;
        let mut logs = vec![[0.0; 2]; n];
        for (i, row) in logs.iter_mut().enumerate() {
            let typist = Typist::draw(&population, 11, i as u64);
            *row = [typist.get(Trait::Interval).ln(), typist.get(Trait::Dwell).ln()];
        }
        let mean = |k: usize| logs.iter().map(|row| row[k]).sum::<f64>() / n as f64;
        let (ma, mb) = (mean(0), mean(1));
        let cov = |j: usize, k: usize, mj: f64, mk: f64| {
            logs.iter().map(|row| (row[j] - mj) * (row[k] - mk)).sum::<f64>() / n as f64
        };
        let (va, vb, c) = (cov(0, 0, ma, ma), cov(1, 1, mb, mb), cov(0, 1, ma, mb));
        let spread = population.spread_of(Trait::Interval);
        // Standard errors of a mean and an SD at n = 20 000; 5 of them is alpha of about 6e-7.
        let se = spread.spread / (n as f64).sqrt();
        assert!((ma - spread.median.ln()).abs() < 5.0 * se);
        assert!((va.sqrt() - spread.spread).abs() < 5.0 * se / 2.0_f64.sqrt());
        let wanted = population
            .correlations()
            .iter()
            .find(|c| c.a == Trait::Interval && c.b == Trait::Dwell)
            .map_or(0.0, |c| c.r);
        let r = c / (va * vb).sqrt();
        assert!((r - wanted).abs() < 5.0 * (1.0 - wanted * wanted) / (n as f64).sqrt(), "{r}");
    }

    #[test]
    fn contradicting_correlations_are_refused_by_name() {
        let base = Population::volunteers();
        let c = |a, b, r| Correlation { a, b, r };
        let impossible = vec![
            c(Trait::Interval, Trait::IntervalSpread, 0.9),
            c(Trait::Interval, Trait::Dwell, 0.9),
            c(Trait::IntervalSpread, Trait::Dwell, -0.9),
        ];
        let traits = std::array::from_fn(|i| base.spread_of(TRAITS[i].id));
        let refused = Population::new("x", "", traits, *base.constants(), impossible).unwrap_err();
        assert!(matches!(refused, PopulationError::Impossible { culprit: "dwell_ms", eigenvalue } if eigenvalue < 0.0));
    }

    #[test]
    fn impossible_values_are_refused() {
        let base = Population::volunteers;
        for (median, spread) in [(-1.0, 0.1), (f64::NAN, 0.1), (150.0, -0.1), (150.0, f64::INFINITY)] {
            assert!(base().with_trait(Trait::Interval, TraitSpread { median, spread }).is_err());
        }
        assert!(base().with_constant(Constant::TempoPersistence, 1.0).is_err());
    }
}

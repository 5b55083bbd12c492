//! Populations: the distribution of traits over people, and what all of them share.

use agogic_stats::timing::Family;
use serde::Serialize;

use crate::constants::{CONSTANTS, Constant};
use crate::correlations::{Correlation, completed, matrix};
use crate::population_error::PopulationError;
use crate::traits::{TRAITS, Trait};
use crate::{slow, trained, volunteers};

/// Median and spread of one trait over people.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TraitSpread {
    /// Median, in the trait's unit.
    pub median: f64,
    /// SD between people on the trait's normal scale.
    pub spread: f64,
}

/// A population of typists.
#[derive(Clone, Debug, PartialEq)]
pub struct Population {
    name: String,
    about: String,
    /// The built-in population it was made from.
    base: &'static str,
    traits: [TraitSpread; TRAITS.len()],
    constants: [f64; CONSTANTS.len()],
    correlations: Vec<Correlation>,
    dwell_family: Family,
    matrix: agogic_stats::Correlation,
}

impl Population {
    /// The names [`Population::by_name`] accepts.
    pub const NAMES: &'static [&'static str] = &[volunteers::BUILT_IN.name, trained::CHANGES.name, slow::CHANGES.name];

    /// A population from its parts.
    ///
    /// # Errors
    /// The first of the [mistakes](Population::mistakes) in them.
    pub fn new(
        name: &str,
        about: &str,
        traits: [TraitSpread; TRAITS.len()],
        constants: [f64; CONSTANTS.len()],
        correlations: Vec<Correlation>,
    ) -> Result<Self, PopulationError> {
        let (name, about, dwell_family) = (name.to_owned(), about.to_owned(), Family::LogNormal);
        let base = volunteers::BUILT_IN.name;
        if let Some(mistake) = Self::mistakes(&traits, &constants, &correlations).into_iter().next() {
            return Err(mistake);
        }
        let matrix = matrix(&correlations)?;
        Ok(Self { name, about, base, traits, constants, correlations, dwell_family, matrix })
    }

    /// All that is wrong with the parts of a population: medians, spreads and constants out of range, and
    /// correlations no people can have.
    pub fn mistakes(
        traits: &[TraitSpread; TRAITS.len()],
        constants: &[f64; CONSTANTS.len()],
        correlations: &[Correlation],
    ) -> Vec<PopulationError> {
        let mut found = Vec::new();
        let mut wrong = |name, what, wanted: &str, value| {
            found.push(PopulationError::Value { name, what, wanted: wanted.to_owned(), value });
        };
        for (info, given) in TRAITS.iter().zip(traits) {
            if !info.scale.to_normal(given.median).is_finite() {
                wrong(info.name, "median", info.scale.range(), given.median);
            }
            if !(given.spread >= 0.0 && given.spread <= 5.0) {
                wrong(info.name, "spread", "between 0 and 5", given.spread);
            }
        }
        for (info, &value) in CONSTANTS.iter().zip(constants) {
            if !(value >= info.min && value <= info.max) {
                wrong(info.name, "value", &format!("between {} and {}", info.min, info.max), value);
            }
        }
        let kinds = [Constant::Substitution, Constant::Omission, Constant::Insertion];
        let kinds: f64 = kinds.iter().map(|id| constants[*id as usize]).sum();
        if kinds > 1.0 {
            wrong("slip_substitution", "sum with slip_omission and slip_insertion", "at most 1", kinds);
        }
        found.extend(matrix(correlations).err());
        found
    }

    /// The population of that name, if it is a built-in one.
    pub fn by_name(name: &str) -> Option<Self> {
        crate::register::built_in(name).map(|numbers| numbers.population())
    }

    /// Name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Who these people are, in a sentence.
    pub fn about(&self) -> &str {
        &self.about
    }

    /// The built-in population whose numbers it has unless it states its own.
    pub fn base(&self) -> &'static str {
        self.base
    }

    /// The same population under another name.
    pub fn named(mut self, name: &str, about: &str) -> Self {
        (self.name, self.about) = (name.to_owned(), about.to_owned());
        self
    }

    /// The same numbers as made from another built-in population.
    pub(crate) fn with_base(mut self, base: &'static str) -> Self {
        self.base = base;
        self
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

    /// Correlations between traits that are stated; [`Population::all_correlations`] knows the others too.
    pub fn correlations(&self) -> &[Correlation] {
        &self.correlations
    }

    /// The correlations of all traits over people, stated or not.
    ///
    /// # Shape
    /// One row and one column for each of [`TRAITS`](crate::TRAITS), in their order.
    ///
    /// # Definition
    /// Where none is stated, the product of both traits' correlations with the interval.
    pub fn all_correlations(&self) -> Vec<Vec<f64>> {
        completed(&self.correlations, 1.0)
    }

    /// The same population with another median and spread of one trait.
    ///
    /// # Errors
    /// As [`Population::new`].
    pub fn with_trait(mut self, id: Trait, to: TraitSpread) -> Result<Self, PopulationError> {
        self.traits[id as usize] = to;
        self.again()
    }

    /// The same population with other correlations; those not named are as if only the interval tied them.
    ///
    /// # Errors
    /// As [`Population::new`].
    pub fn with_correlations(mut self, correlations: Vec<Correlation>) -> Result<Self, PopulationError> {
        self.correlations = correlations;
        self.again()
    }

    /// The same population with another value of one constant.
    ///
    /// # Errors
    /// As [`Population::new`].
    pub fn with_constant(mut self, id: Constant, to: f64) -> Result<Self, PopulationError> {
        self.constants[id as usize] = to;
        self.again()
    }

    /// Checks changed numbers.
    fn again(self) -> Result<Self, PopulationError> {
        Self::new(&self.name, &self.about, self.traits, self.constants, self.correlations)
            .map(|population| population.with_base(self.base).with_dwell_family(self.dwell_family))
    }

    /// Traits at independent standard normal coordinates: correlated, scaled and on their natural scales.
    pub(crate) fn traits_at(&self, normal: &[f64; TRAITS.len()]) -> [f64; TRAITS.len()] {
        let scores = self.matrix.apply(normal);
        std::array::from_fn(|i| {
            let TraitSpread { median, spread } = self.traits[i];
            let scale = TRAITS[i].scale;
            scale.to_natural(scale.to_normal(median) + spread * scores[i])
        })
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
        let PopulationError::Impossible(found) = refused else { panic!("{refused}") };
        assert!(found.between.len() == 3 && found.eigenvalue < 0.0, "{found}");
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

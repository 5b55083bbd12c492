//! A typist: one value for each trait, and the constants all typists share.

use agogic_keys::{Purpose, stream};
use rand_distr::{Distribution, StandardNormal};

use agogic_stats::timing::Family;

use crate::constants::{CONSTANTS, Constant};
use crate::population::Population;
use crate::traits::{TRAITS, Trait};

/// One person.
#[derive(Clone, Debug, PartialEq)]
pub struct Typist {
    /// Number of the typist in the study; part of the address of all their streams.
    pub number: u64,
    values: [f64; TRAITS.len()],
    constants: [f64; CONSTANTS.len()],
    dwell_family: Family,
}

impl Typist {
    /// Draws typist `number` of a study with `seed` from `population`.
    pub fn draw(population: &Population, seed: u64, number: u64) -> Self {
        Self::at(population, number, &Self::coordinates(seed, number))
    }

    /// The standard normal coordinates at which [`Typist::draw`] finds typist `number` of a study with `seed`.
    pub fn coordinates(seed: u64, number: u64) -> [f64; TRAITS.len()] {
        let mut rng = stream(seed, Purpose::Typist, number, 0);
        std::array::from_fn(|_| StandardNormal.sample(&mut rng))
    }

    /// The typist whose traits lie at the given standard normal coordinates, before correlation.
    pub fn at(population: &Population, number: u64, normal: &[f64; TRAITS.len()]) -> Self {
        let values = population.traits_at(normal);
        Self { number, values, constants: *population.constants(), dwell_family: population.dwell_family() }
    }

    /// The typist in the middle of the population.
    pub fn median(population: &Population) -> Self {
        Self::at(population, 0, &[0.0; TRAITS.len()])
    }

    /// The value of a trait, in its unit.
    #[inline]
    pub fn get(&self, id: Trait) -> f64 {
        self.values[id as usize]
    }

    /// The family of distributions of the dwell.
    pub fn dwell_family(&self) -> Family {
        self.dwell_family
    }

    /// The value of a constant, in its unit.
    #[inline]
    pub fn constant(&self, id: Constant) -> f64 {
        self.constants[id as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_typist_is_the_same_whenever_drawn() {
        let population = Population::volunteers();
        assert_eq!(Typist::draw(&population, 5, 17), Typist::draw(&population, 5, 17));
        assert_ne!(Typist::draw(&population, 5, 17), Typist::draw(&population, 5, 18));
    }
}

//! The register: where every number of the model comes from.

use std::borrow::Cow;

use crate::constants::CONSTANTS;
use crate::correlations::Correlation;
use crate::population::{Population, TraitSpread};
use crate::population_error::PopulationError;
use crate::provenance::{BuiltIn, Changes, Entry, Provenance};
use crate::traits::TRAITS;
use crate::{slow, trained, volunteers};

/// A number with its provenance and whether it was taken over.
#[derive(Clone)]
struct Sourced {
    value: f64,
    provenance: Provenance,
    taken_from: Option<&'static str>,
}

/// All numbers of a built-in population.
pub(crate) struct Numbers {
    name: &'static str,
    about: &'static str,
    /// Median and spread of each trait.
    traits: [[Sourced; 2]; TRAITS.len()],
    constants: [Sourced; CONSTANTS.len()],
    correlations: Vec<(Correlation, Provenance, Option<&'static str>)>,
}

impl Numbers {
    fn of(built_in: &BuiltIn) -> Self {
        let own = |value, from: &Provenance| Sourced { value, provenance: from.clone(), taken_from: None };
        Self {
            name: built_in.name,
            about: built_in.about,
            traits: std::array::from_fn(|i| {
                let row = &built_in.traits[i];
                [own(row.median, &row.of_median), own(row.spread, &row.of_spread)]
            }),
            constants: std::array::from_fn(|i| own(built_in.constants[i].value, &built_in.constants[i].provenance)),
            correlations: built_in.correlations.iter().map(|(c, from)| (*c, from.clone(), None)).collect(),
        }
    }

    /// These numbers where the changes have none of their own.
    fn changed(mut self, changes: &Changes) -> Self {
        let from = Some(self.name);
        let own = |value, from: &Provenance| Sourced { value, provenance: from.clone(), taken_from: None };
        self.traits.as_flattened_mut().iter_mut().for_each(|number| number.taken_from = from);
        self.constants.iter_mut().for_each(|number| number.taken_from = from);
        self.correlations.iter_mut().for_each(|(.., taken_from)| *taken_from = from);
        for (id, row) in changes.traits {
            self.traits[*id as usize] = [own(row.median, &row.of_median), own(row.spread, &row.of_spread)];
        }
        for (id, row) in changes.constants {
            self.constants[*id as usize] = own(row.value, &row.provenance);
        }
        for (c, provenance) in changes.correlations {
            self.correlations.retain(|(old, ..)| !old.is_between(c.a, c.b));
            self.correlations.push((*c, provenance.clone(), None));
        }
        Self { name: changes.name, about: changes.about, ..self }
    }

    pub(crate) fn population(&self) -> Population {
        let traits = std::array::from_fn(|i| {
            let [median, spread] = &self.traits[i];
            TraitSpread { median: median.value, spread: spread.value }
        });
        let constants = std::array::from_fn(|i| self.constants[i].value);
        let correlations = self.correlations.iter().map(|(c, ..)| *c).collect();
        Population::new(self.name, self.about, traits, constants, correlations)
            .expect("the tests build every built-in population")
            .with_base(self.name)
    }

    /// The register of a population made from these numbers.
    fn entries(&self, population: &Population) -> Vec<Entry> {
        let mut entries = Vec::new();
        let mut push = |name: String, value: f64, unit: &'static str, doc: &'static str, here: Option<&Sourced>| {
            // A number unlike the base's is the maker's own.
            let same = here.filter(|number| number.value == value);
            let (provenance, mut taken_from) =
                same.map_or((Provenance::Stated, None), |number| (number.provenance.clone(), number.taken_from));
            if same.is_some() && population.name() != self.name {
                taken_from = taken_from.or(Some(self.name));
            }
            let population = population.name().to_owned();
            let taken_from = taken_from.map(Cow::Borrowed);
            entries.push(Entry { population, name, value, unit: unit.into(), doc: doc.into(), provenance, taken_from });
        };
        for (info, [median, spread]) in TRAITS.iter().zip(&self.traits) {
            let given = population.spread_of(info.id);
            push(format!("{}.median", info.name), given.median, info.unit, info.doc, Some(median));
            let unit = "SD between people, normal scale";
            push(format!("{}.spread", info.name), given.spread, unit, info.doc, Some(spread));
        }
        for (info, number) in CONSTANTS.iter().zip(&self.constants) {
            push(info.name.to_owned(), population.constant(info.id), info.unit, info.doc, Some(number));
        }
        for c in population.correlations() {
            let here = self.correlations.iter().find(|(old, ..)| old.is_between(c.a, c.b));
            let here = here.map(|(old, from, taken_from)| Sourced {
                value: old.r,
                provenance: from.clone(),
                taken_from: *taken_from,
            });
            let doc = "correlation between people on the normal scales";
            push(correlation_name(c), c.r, "", doc, here.as_ref());
        }
        entries
    }
}

/// The numbers of a built-in population.
pub(crate) fn built_in(name: &str) -> Option<Numbers> {
    let volunteers = Numbers::of(&volunteers::BUILT_IN);
    if name == volunteers.name {
        return Some(volunteers);
    }
    let changes = [&trained::CHANGES, &slow::CHANGES].into_iter().find(|changes| changes.name == name)?;
    Some(volunteers.changed(changes))
}

impl Population {
    /// Self-selected visitors of an online typing test: broad in age, training and speed.
    pub fn volunteers() -> Self {
        Numbers::of(&volunteers::BUILT_IN).population()
    }

    /// Present-day touch typists.
    pub fn trained() -> Self {
        Numbers::of(&volunteers::BUILT_IN).changed(&trained::CHANGES).population()
    }

    /// The slowest tenth of the visitors of an online typing test.
    pub fn slow() -> Self {
        Numbers::of(&volunteers::BUILT_IN).changed(&slow::CHANGES).population()
    }
}

/// Why a number of the register could not be changed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RegisterError {
    /// No number of that name.
    #[error("the population has no number `{0}`")]
    Unknown(String),
    /// The population refuses the value.
    #[error(transparent)]
    Refused(#[from] PopulationError),
}

impl Population {
    /// The same population with other values of some numbers of its [register](register_of), by name.
    ///
    /// # Definition
    /// Correlations that no people can have together are multiplied, all of them, by the largest factor that makes
    /// them possible; the second value is that factor, 1 where nothing had to give.
    ///
    /// # Errors
    /// No number of that name, or a value outside what is possible.
    pub fn with_numbers(mut self, numbers: &[(&str, f64)]) -> Result<(Self, f64), RegisterError> {
        let mut correlations = self.correlations().to_vec();
        for (name, value) in numbers {
            if let Some(at) = correlations.iter().position(|c| correlation_name(c) == *name) {
                correlations[at].r = *value;
            } else if let Some(info) = CONSTANTS.iter().find(|info| info.name == *name) {
                self = self.with_constant(info.id, *value)?;
            } else {
                let unknown = || RegisterError::Unknown((*name).to_owned());
                let (of, which) = name.rsplit_once('.').ok_or_else(unknown)?;
                let info = TRAITS.iter().find(|info| info.name == of).ok_or_else(unknown)?;
                let TraitSpread { median, spread } = self.spread_of(info.id);
                let to = match which {
                    "median" => TraitSpread { median: *value, spread },
                    "spread" => TraitSpread { median, spread: *value },
                    _ => return Err(unknown()),
                };
                self = self.with_trait(info.id, to)?;
            }
        }
        if correlations == self.correlations() {
            return Ok((self, 1.0));
        }
        match self.clone().with_correlations(correlations.clone()) {
            Ok(population) => Ok((population, 1.0)),
            Err(PopulationError::Impossible(why)) => {
                correlations.iter_mut().for_each(|c| c.r *= why.shrink);
                Ok((self.with_correlations(correlations)?, why.shrink))
            }
            Err(refused) => Err(refused.into()),
        }
    }
}

fn correlation_name(c: &Correlation) -> String {
    let [a, b] = c.names();
    format!("correlation({a}, {b})")
}

/// Every number of every built-in population with its provenance.
pub fn register() -> Vec<Entry> {
    let all = Population::NAMES.iter().filter_map(|name| Population::by_name(name));
    all.flat_map(|population| register_of(&population)).collect()
}

/// Every number of a population with its provenance.
///
/// # Definition
/// A number equal to that of the population's [base](Population::base) has the provenance it has there; any
/// other is [`Provenance::Stated`].
pub fn register_of(population: &Population) -> Vec<Entry> {
    built_in(population.base()).map_or_else(Vec::new, |numbers| numbers.entries(population))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Trait;

    #[test]
    fn every_entry_is_accounted_for() {
        for population in Population::NAMES.iter().map(|name| Population::by_name(name).unwrap()) {
            let entries = register_of(&population);
            assert_eq!(entries.len(), 2 * TRAITS.len() + CONSTANTS.len() + population.correlations().len());
            for entry in entries {
                let at = format!("{}: {}", entry.population, entry.name);
                match entry.provenance {
                    Provenance::Assumed { lo, hi, reason } => {
                        assert!(lo <= entry.value && entry.value <= hi, "{at}");
                        assert!(lo < hi && reason.len() > 10, "{at}");
                    }
                    Provenance::Published { source } => assert!(source.len() > 3, "{at}"),
                    Provenance::Derived { how } => assert!(how.len() > 10, "{at}"),
                    Provenance::Stated => panic!("{at}: nobody stated a number of a built-in population"),
                }
                let own = entry.taken_from.is_none();
                assert!(
                    own || (entry.taken_from.as_deref() == Some("volunteers") && entry.population != "volunteers"),
                    "{at}"
                );
            }
        }
        let all: usize = Population::NAMES.iter().map(|n| register_of(&Population::by_name(n).unwrap()).len()).sum();
        assert_eq!(register().len(), all);
    }

    #[test]
    fn every_number_can_be_changed_by_its_name() {
        for population in Population::NAMES.iter().map(|name| Population::by_name(name).unwrap()) {
            for entry in register_of(&population) {
                let Provenance::Assumed { lo, hi, .. } = entry.provenance else { continue };
                for value in [lo, hi] {
                    let (changed, factor) = population.clone().with_numbers(&[(&entry.name, value)]).unwrap();
                    let found = register_of(&changed).into_iter().find(|own| own.name == entry.name).unwrap();
                    assert!((found.value - value * factor).abs() < 1e-12 || factor == 1.0 && found.value == value);
                }
            }
        }
        let unknown = Population::slow().with_numbers(&[("nothing.median", 1.0)]);
        assert_eq!(unknown.unwrap_err(), RegisterError::Unknown("nothing.median".into()));
    }

    #[test]
    fn what_a_user_changes_is_stated_and_the_rest_taken_over() {
        let spread = TraitSpread { median: 90.0, ..Population::slow().spread_of(Trait::Dwell) };
        let own = Population::slow().with_trait(Trait::Dwell, spread).unwrap().named("mine", "x");
        let entries = register_of(&own);
        let at = |name: &str| entries.iter().find(|entry| entry.name == name).unwrap();
        assert_eq!(at("dwell_ms.median").provenance, Provenance::Stated);
        assert_eq!((at("dwell_ms.median").value, at("dwell_ms.median").taken_from.as_deref()), (90.0, None));
        assert_eq!(at("interval_ms.median").taken_from.as_deref(), Some("slow"));
        assert_eq!(at("lift_ms").taken_from.as_deref(), Some("volunteers"));
        assert!(entries.iter().all(|entry| entry.population == "mine"));
        assert_eq!(entries.iter().filter(|entry| entry.provenance == Provenance::Stated).count(), 1);
    }
}

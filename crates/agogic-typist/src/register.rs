//! The register: where every number of the model comes from.

use serde::Serialize;

use crate::population::{Correlation, Population, TraitSpread};
use crate::typist::{CONSTANTS, TRAITS};
use crate::volunteers;

/// Where a number comes from.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Provenance {
    /// Printed in a publication.
    Published {
        /// Citation key and place in the publication.
        source: &'static str,
    },
    /// Worked out from published values or open data.
    Derived {
        /// How, and from what.
        how: &'static str,
    },
    /// Not known. Studies re-run over the range.
    Assumed {
        /// Smallest value thought possible.
        lo: f64,
        /// Largest value thought possible.
        hi: f64,
        /// Why this value and this range.
        reason: &'static str,
    },
}

impl Provenance {
    /// The kind in one word.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Published { .. } => "published",
            Self::Derived { .. } => "derived",
            Self::Assumed { .. } => "assumed",
        }
    }
}

/// One number of a built-in population.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Entry {
    /// The population.
    pub population: &'static str,
    /// Name of the number, such as `dwell_ms.median`.
    pub name: String,
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
    /// What it means.
    pub doc: &'static str,
    /// Where it comes from.
    pub provenance: Provenance,
}

/// One trait of a built-in population with the provenance of its median and its spread.
pub(crate) struct TraitRow {
    pub median: f64,
    pub spread: f64,
    pub of_median: Provenance,
    pub of_spread: Provenance,
}

/// One constant with its provenance.
pub(crate) struct ConstantRow {
    pub value: f64,
    pub provenance: Provenance,
}

/// A built-in population as data.
pub(crate) struct BuiltIn {
    pub name: &'static str,
    pub about: &'static str,
    pub traits: [TraitRow; TRAITS.len()],
    pub constants: [ConstantRow; CONSTANTS.len()],
    pub correlations: &'static [(Correlation, Provenance)],
}

impl BuiltIn {
    pub(crate) fn population(&self) -> Population {
        let traits =
            std::array::from_fn(|i| TraitSpread { median: self.traits[i].median, spread: self.traits[i].spread });
        let constants = std::array::from_fn(|i| self.constants[i].value);
        let correlations = self.correlations.iter().map(|(c, _)| *c).collect();
        Population::new(self.name, self.about, traits, constants, correlations)
            .expect("the tests build every built-in population")
    }

    fn entries(&self) -> Vec<Entry> {
        let mut entries = Vec::new();
        let population = self.name;
        for (info, row) in TRAITS.iter().zip(&self.traits) {
            let (unit, doc) = (info.unit, info.doc);
            let name = format!("{}.median", info.name);
            entries.push(Entry { population, name, value: row.median, unit, doc, provenance: row.of_median });
            let (name, unit) = (format!("{}.spread", info.name), "SD between people, normal scale");
            entries.push(Entry { population, name, value: row.spread, unit, doc, provenance: row.of_spread });
        }
        for (info, row) in CONSTANTS.iter().zip(&self.constants) {
            let (name, value, provenance) = (info.name.to_owned(), row.value, row.provenance);
            entries.push(Entry { population, name, value, unit: info.unit, doc: info.doc, provenance });
        }
        for (c, provenance) in self.correlations {
            let name = format!("correlation({}, {})", TRAITS[c.a as usize].name, TRAITS[c.b as usize].name);
            let doc = "correlation between people on the normal scales";
            entries.push(Entry { population, name, value: c.r, unit: "", doc, provenance: *provenance });
        }
        entries
    }
}

impl Population {
    /// Self-selected visitors of an online typing test: broad in age, training and speed.
    pub fn volunteers() -> Self {
        volunteers::BUILT_IN.population()
    }
}

/// Every number of every built-in population with its provenance.
pub fn register() -> Vec<Entry> {
    volunteers::BUILT_IN.entries()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_entry_is_accounted_for() {
        let entries = register();
        assert_eq!(entries.len(), 2 * TRAITS.len() + CONSTANTS.len() + Population::volunteers().correlations().len());
        for entry in entries {
            match entry.provenance {
                Provenance::Assumed { lo, hi, reason } => {
                    assert!(lo <= entry.value && entry.value <= hi, "{}", entry.name);
                    assert!(lo < hi && reason.len() > 10, "{}", entry.name);
                }
                Provenance::Published { source } => assert!(source.len() > 3, "{}", entry.name),
                Provenance::Derived { how } => assert!(how.len() > 10, "{}", entry.name),
            }
        }
    }
}

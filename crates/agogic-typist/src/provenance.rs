//! Where a number comes from, and the numbers of a population as data.

use std::borrow::Cow;
use std::fmt;

use serde::{Deserialize, Serialize};

use crate::constants::{CONSTANTS, Constant};
use crate::correlations::Correlation;
use crate::traits::{TRAITS, Trait};

/// Where a number comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Provenance {
    /// Printed in a publication.
    Published {
        /// Citation key and place in the publication.
        source: Cow<'static, str>,
    },
    /// Worked out from published values or open data.
    Derived {
        /// How, and from what.
        how: Cow<'static, str>,
    },
    /// Not known. Studies re-run over the range.
    Assumed {
        /// Smallest value thought possible.
        lo: f64,
        /// Largest value thought possible.
        hi: f64,
        /// Why this value and this range.
        reason: Cow<'static, str>,
    },
    /// Stated by whoever made the population, in place of the number of the population it was made from.
    Stated,
}

impl Provenance {
    pub(crate) const fn assumed(lo: f64, hi: f64, reason: &'static str) -> Self {
        Self::Assumed { lo, hi, reason: Cow::Borrowed(reason) }
    }

    pub(crate) const fn derived(how: &'static str) -> Self {
        Self::Derived { how: Cow::Borrowed(how) }
    }

    /// The kind in one word.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Published { .. } => "published",
            Self::Derived { .. } => "derived",
            Self::Assumed { .. } => "assumed",
            Self::Stated => "stated",
        }
    }

    /// The rest in words: source, derivation, or range and reason.
    pub fn words(&self) -> String {
        match self {
            Self::Published { source } => source.clone().into_owned(),
            Self::Derived { how } => how.clone().into_owned(),
            Self::Assumed { lo, hi, reason } => format!("{lo} to {hi}: {reason}"),
            Self::Stated => "by the maker of the population".to_owned(),
        }
    }
}

impl fmt::Display for Provenance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Published { source } => write!(f, "published: {source}"),
            Self::Derived { how } => write!(f, "derived: {how}"),
            Self::Assumed { lo, hi, reason } => write!(f, "assumed, {lo} to {hi}: {reason}"),
            Self::Stated => f.write_str("stated by the maker of the population"),
        }
    }
}

/// One number of a population, as `register.json` of a result folder has it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// The population.
    pub population: String,
    /// Name of the number, such as `dwell_ms.median`.
    pub name: String,
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: Cow<'static, str>,
    /// What it means.
    pub doc: Cow<'static, str>,
    /// Where it comes from.
    pub provenance: Provenance,
    /// The population the number was taken over from, for want of a value of its own. The provenance is that
    /// of the number there; that it holds for these people too is assumed.
    pub taken_from: Option<Cow<'static, str>>,
}

/// One trait of a built-in population with the provenance of its median and its spread.
#[derive(Clone)]
pub(crate) struct TraitRow {
    pub median: f64,
    pub spread: f64,
    pub of_median: Provenance,
    pub of_spread: Provenance,
}

impl TraitRow {
    pub(crate) const fn new(median: f64, of_median: Provenance, spread: f64, of_spread: Provenance) -> Self {
        Self { median, spread, of_median, of_spread }
    }
}

/// One constant with its provenance.
#[derive(Clone)]
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

/// What a built-in population has otherwise than `volunteers`.
pub(crate) struct Changes {
    pub name: &'static str,
    pub about: &'static str,
    pub traits: &'static [(Trait, TraitRow)],
    pub constants: &'static [(Constant, ConstantRow)],
    pub correlations: &'static [(Correlation, Provenance)],
}

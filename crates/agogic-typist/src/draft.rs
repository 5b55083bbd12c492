//! A population as a user writes it: a base and what is otherwise.

use std::collections::BTreeMap;

use agogic_stats::timing::Family;
use serde::{Deserialize, Serialize};

use crate::constants::{CONSTANTS, Constant};
use crate::correlations::Correlation;
use crate::population::{Population, TraitSpread};
use crate::population_error::PopulationError;
use crate::traits::{TRAITS, Trait};

/// Median and spread of one trait; what is left out is the base's.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TraitDraft {
    /// Median, in the trait's unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub median: Option<f64>,
    /// SD between people on the trait's normal scale.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spread: Option<f64>,
}

/// A population not yet checked.
///
/// # Shape
/// In TOML: `name`, `about`, `base` and `dwell_family` are strings; `[traits.dwell_ms]` holds `median` and
/// `spread`; `[constants]` a number by name; `[correlations.interval_ms]` a correlation by the name of the
/// other trait. A pair is stated once, in either order, and replaces the base's.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PopulationDraft {
    /// Name: small letters, digits, `-` and `_`. That of a built-in population is refused for other numbers.
    pub name: String,
    /// Who these people are, in a sentence.
    #[serde(default)]
    pub about: String,
    /// The built-in population that has the numbers left out here.
    #[serde(default = "default_base")]
    pub base: String,
    /// Family of distributions of the dwell.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dwell_family: Option<String>,
    /// Medians and spreads by name of the trait.
    #[serde(default)]
    pub traits: BTreeMap<String, TraitDraft>,
    /// Values by name of the constant.
    #[serde(default)]
    pub constants: BTreeMap<String, f64>,
    /// Correlations by the names of two traits.
    #[serde(default)]
    pub correlations: BTreeMap<String, BTreeMap<String, f64>>,
}

fn default_base() -> String {
    Population::NAMES[0].to_owned()
}

/// One mistake in a draft, and the key it is about.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}: {problem}", .path.join("."))]
pub struct PopulationMistake {
    /// The keys from the outside in, such as `traits`, `dwell_ms`, `median`.
    pub path: Vec<String>,
    /// What is wrong there.
    pub problem: PopulationProblem,
}

/// What is wrong with a draft at a key.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PopulationProblem {
    /// A name nobody knows. The caller can look for the nearest of those known.
    #[error("there is no {what} `{given}`")]
    Unknown {
        /// What it should name.
        what: &'static str,
        /// What was given.
        given: String,
        /// Names it could be.
        known: Vec<&'static str>,
    },
    /// A name that cannot be given.
    #[error("`{given}` is no name for a population: use small letters, digits, `-` and `_`, at most 64")]
    Name {
        /// What was given.
        given: String,
    },
    /// Other numbers under the name of a built-in population.
    #[error("`{given}` is a built-in population and this one differs from it; give yours another name")]
    Taken {
        /// What was given.
        given: String,
    },
    /// A number out of range.
    #[error("{what} must be {wanted}, not {value}")]
    Value {
        /// Which number.
        what: &'static str,
        /// What would be right.
        wanted: String,
        /// What was given.
        value: f64,
    },
    /// Correlations that cannot be.
    #[error("{0}")]
    Correlation(PopulationError),
}

fn at<const N: usize>(path: [&str; N], problem: PopulationProblem) -> PopulationMistake {
    PopulationMistake { path: path.map(str::to_owned).to_vec(), problem }
}

fn unknown(what: &'static str, given: &str, known: Vec<&'static str>) -> PopulationProblem {
    PopulationProblem::Unknown { what, given: given.to_owned(), known }
}

fn trait_named(name: &str) -> Result<Trait, PopulationProblem> {
    let found = TRAITS.iter().find(|info| info.name == name).map(|info| info.id);
    found.ok_or_else(|| unknown("trait", name, TRAITS.iter().map(|info| info.name).collect()))
}

fn constant_named(name: &str) -> Result<Constant, PopulationProblem> {
    let found = CONSTANTS.iter().find(|info| info.name == name).map(|info| info.id);
    found.ok_or_else(|| unknown("constant", name, CONSTANTS.iter().map(|info| info.name).collect()))
}

impl PopulationDraft {
    /// A draft that changes nothing of `base`.
    pub fn new(name: &str, base: &str) -> Self {
        Self {
            name: name.to_owned(),
            about: String::new(),
            base: base.to_owned(),
            dwell_family: None,
            traits: BTreeMap::new(),
            constants: BTreeMap::new(),
            correlations: BTreeMap::new(),
        }
    }

    /// The population.
    ///
    /// # Errors
    /// All mistakes at once: names nobody knows, numbers out of range, correlations no people can have.
    pub fn build(&self) -> Result<Population, Vec<PopulationMistake>> {
        let mut mistakes = Vec::new();
        let letter = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-' || c == '_';
        if self.name.is_empty() || self.name.len() > 64 || !self.name.chars().all(letter) {
            mistakes.push(at(["name"], PopulationProblem::Name { given: self.name.clone() }));
        }
        let base = Population::by_name(&self.base).unwrap_or_else(|| {
            mistakes.push(at(["base"], unknown("population", &self.base, Population::NAMES.to_vec())));
            Population::volunteers()
        });
        let family = match self.dwell_family.as_deref().map(str::parse::<Family>) {
            Some(Ok(family)) => family,
            None => base.dwell_family(),
            Some(Err(refused)) => {
                let known = Family::ALL.map(Family::name).to_vec();
                mistakes.push(at(["dwell_family"], unknown("family of distributions", &refused.given, known)));
                base.dwell_family()
            }
        };
        let mut traits: [TraitSpread; TRAITS.len()] = std::array::from_fn(|i| base.spread_of(TRAITS[i].id));
        for (name, given) in &self.traits {
            match trait_named(name) {
                Ok(id) => {
                    let spread = &mut traits[id as usize];
                    spread.median = given.median.unwrap_or(spread.median);
                    spread.spread = given.spread.unwrap_or(spread.spread);
                }
                Err(problem) => mistakes.push(at(["traits", name], problem)),
            }
        }
        let mut constants = *base.constants();
        for (name, &given) in &self.constants {
            match constant_named(name) {
                Ok(id) => constants[id as usize] = given,
                Err(problem) => mistakes.push(at(["constants", name], problem)),
            }
        }
        let own = self.own_correlations(&mut mistakes);
        let mut correlations = base.correlations().to_vec();
        // In the place of the base's, so that a draft of a whole population gives the same population.
        correlations.retain_mut(|old| match own.iter().find(|c| c.is_between(old.a, old.b)) {
            Some(c) => {
                old.r = c.r;
                c.r != 0.0
            }
            None => true,
        });
        let new = own.iter().filter(|c| c.r != 0.0 && !base.correlations().iter().any(|old| old.is_between(c.a, c.b)));
        correlations.extend(new);
        mistakes.extend(Population::mistakes(&traits, &constants, &correlations).into_iter().map(|m| self.placed(m)));
        if !mistakes.is_empty() {
            return Err(mistakes);
        }
        let built = Population::new(&self.name, &self.about, traits, constants, correlations);
        let built = built.expect("parts without a mistake make a population").with_base(base.base());
        let built = built.with_dwell_family(family);
        match Population::by_name(&self.name) {
            Some(ref same) if *same != built.clone().with_base(same.base()).named(same.name(), same.about()) => {
                Err(vec![at(["name"], PopulationProblem::Taken { given: self.name.clone() })])
            }
            _ => Ok(built),
        }
    }

    /// The correlations stated here; those that cannot be read are mistakes.
    fn own_correlations(&self, mistakes: &mut Vec<PopulationMistake>) -> Vec<Correlation> {
        let mut own: Vec<Correlation> = Vec::new();
        for (first, others) in &self.correlations {
            let a = trait_named(first);
            if let Err(problem) = &a {
                mistakes.push(at(["correlations", first], problem.clone()));
            }
            for (second, &r) in others {
                match (&a, trait_named(second)) {
                    (_, Err(problem)) => mistakes.push(at(["correlations", first, second], problem)),
                    (Err(_), Ok(_)) => {}
                    (&Ok(a), Ok(b)) => {
                        let c = Correlation { a, b, r };
                        let [first_name, second_name] = c.names();
                        let problem = if !(r > -1.0 && r < 1.0) || a == b {
                            PopulationError::Correlation { a: first_name, b: second_name, value: r }
                        } else if own.iter().any(|other| other.is_between(a, b)) {
                            PopulationError::Twice { a: first_name, b: second_name }
                        } else {
                            own.push(c);
                            continue;
                        };
                        let problem = PopulationProblem::Correlation(problem);
                        mistakes.push(at(["correlations", first, second], problem));
                    }
                }
            }
        }
        own
    }

    /// A mistake of the numbers at the key it is about.
    fn placed(&self, mistake: PopulationError) -> PopulationMistake {
        match mistake {
            PopulationError::Value { name, what, wanted, value } => {
                let problem = PopulationProblem::Value { what, wanted, value };
                let kinds = ["slip_substitution", "slip_omission", "slip_insertion"];
                let given = kinds.into_iter().find(|kind| self.constants.contains_key(*kind)).unwrap_or(name);
                match what {
                    "median" | "spread" => at(["traits", name, what], problem),
                    "value" => at(["constants", name], problem),
                    _ => at(["constants", given], problem),
                }
            }
            other => at(["correlations"], PopulationProblem::Correlation(other)),
        }
    }
}

impl Population {
    /// Every number of the population as a user would write it.
    pub fn to_draft(&self) -> PopulationDraft {
        let traits = TRAITS.iter().map(|info| {
            let TraitSpread { median, spread } = self.spread_of(info.id);
            (info.name.to_owned(), TraitDraft { median: Some(median), spread: Some(spread) })
        });
        let constants = CONSTANTS.iter().map(|info| (info.name.to_owned(), self.constant(info.id)));
        let mut correlations: BTreeMap<String, BTreeMap<String, f64>> = BTreeMap::new();
        let base = Population::by_name(self.base());
        let dropped = base.iter().flat_map(|base| base.correlations()).filter(|old| {
            // A correlation of the base that these people do not have is stated as zero.
            !self.correlations().iter().any(|c| c.is_between(old.a, old.b))
        });
        let zero = dropped.map(|old| Correlation { r: 0.0, ..*old });
        for c in self.correlations().iter().copied().chain(zero) {
            let [a, b] = c.names();
            correlations.entry(a.to_owned()).or_default().insert(b.to_owned(), c.r);
        }
        PopulationDraft {
            name: self.name().to_owned(),
            about: self.about().to_owned(),
            base: self.base().to_owned(),
            dwell_family: Some(self.dwell_family().name().to_owned()),
            traits: traits.collect(),
            constants: constants.collect(),
            correlations,
        }
    }
}

//! The tables `[typists]` and `[[population]]`: who types, how many and how much.

use agogic_toml::{Found, Section, hint};
use agogic_typist::Population;

use crate::inputs::Inputs;

use super::population;

/// Bound that keeps a study finishable; more belongs into shards.
const MOST_TYPISTS: u64 = 10_000_000;

/// Typists at each end of what is assumed of holding, unless the spec says otherwise.
const AT_THE_ENDS: u64 = 100;

/// Presses of a typist, at most: two days and nights of typing. They are in memory at once, in each thread.
pub(super) const MOST_KEYS: u64 = 1_000_000;

/// Who types; a field is `None` only where a mistake was logged, but for `keys`.
pub(super) struct People {
    /// The populations, each an arm.
    pub populations: Option<Vec<Population>>,
    /// Typists of each.
    pub typists: Option<u64>,
    /// Typists at each end of what is assumed of holding.
    pub ends: Option<u64>,
    /// Presses of each typist; the longest text once through if absent.
    pub keys: Option<usize>,
    /// The populations written into the spec, by name.
    pub own: Vec<(String, Option<Population>)>,
}

pub(super) fn read(root: &Section<'_, '_>, inputs: &Inputs<'_>) -> People {
    let own = population::read_all(root);
    let Some(section) = root.section("typists") else {
        return People {
            populations: Some(vec![Population::volunteers()]),
            typists: Some(1000),
            ends: Some(AT_THE_ENDS),
            keys: None,
            own,
        };
    };
    let log = section.diagnostics();
    let (one, several) = (section.text("population"), section.texts("populations"));
    let names: Vec<Found<String>> = match (one, several) {
        (Some(one), Some(_)) => {
            log.at(&one, "stands beside `populations`; name the populations in one of the two");
            Vec::new()
        }
        (Some(one), None) => vec![one],
        (None, Some(list)) if list.value.is_empty() => {
            log.at(&list, "is empty; name at least one population");
            Vec::new()
        }
        (None, Some(list)) => {
            list.value.into_iter().map(|value| Found { value, line: list.line, key: list.key.clone() }).collect()
        }
        (None, None) => vec![Found { value: "volunteers".to_owned(), line: 1, key: String::new() }],
    };
    let mut populations: Vec<Population> = Vec::new();
    let mut sound = !names.is_empty();
    for found in names {
        let population = match named(&found.value, &own, inputs) {
            Ok(population) => population,
            Err(refused) => {
                log.at(&found, refused);
                None
            }
        };
        let Some(population) = population else {
            sound = false;
            continue;
        };
        if populations.iter().any(|known| known.name() == population.name()) {
            log.at(&found, format!("names the population `{}` twice", population.name()));
            sound = false;
        }
        populations.push(population);
    }
    let bounded = |found: Option<Found<u64>>, default: Option<u64>, lo: u64, hi: u64| match found {
        None => default,
        Some(found) if (lo..=hi).contains(&found.value) => Some(found.value),
        Some(found) => {
            log.at(&found, format!("must lie between {lo} and {hi}, not {}", found.value));
            None
        }
    };
    let typists = bounded(section.whole("number"), Some(1000), 2, MOST_TYPISTS);
    let ends = bounded(section.whole("at_the_ends"), Some(AT_THE_ENDS), 0, MOST_TYPISTS);
    let keys = bounded(section.whole("keys_each"), None, 1, MOST_KEYS).map(|keys| keys as usize);
    section.finish();
    People { populations: sound.then_some(populations), typists, ends, keys, own }
}

/// A population of the spec, of a file or of the program; `None` for one whose mistakes are logged already.
pub(super) fn named(
    name: &str,
    own: &[(String, Option<Population>)],
    inputs: &Inputs<'_>,
) -> Result<Option<Population>, String> {
    if let Some((_, population)) = own.iter().find(|(known, _)| known == name) {
        return Ok(population.clone());
    }
    if name.ends_with(".toml") {
        return population::read_file(name, inputs).map(Some);
    }
    if let Some(population) = Population::by_name(name) {
        return Ok(Some(population));
    }
    let known: Vec<&str> = Population::NAMES.iter().copied().chain(own.iter().map(|(name, _)| name.as_str())).collect();
    let hint = hint(name, &known);
    Err(format!("no population `{name}`{hint} (populations: {}; or a file ending in .toml)", known.join(", ")))
}

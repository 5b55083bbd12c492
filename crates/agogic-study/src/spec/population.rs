//! The tables `[[population]]`, and population files: people of the user's own.

use std::path::Path;

use agogic_keys::one_line;
use agogic_toml::{Section, nearest};
use agogic_typist::{Population, PopulationDraft, PopulationMistake, PopulationProblem, TraitDraft};

use crate::inputs::Inputs;

/// Largest population file accepted, in bytes.
const LARGEST: u64 = 1024 * 1024;

/// The populations written into the spec; `None` stands for one with mistakes, which are logged.
pub(super) fn read_all(root: &Section<'_, '_>) -> Vec<(String, Option<Population>)> {
    root.sections("population").into_iter().map(read).collect()
}

fn read(section: Section<'_, '_>) -> (String, Option<Population>) {
    let name = section.text("name").map(|found| found.value).unwrap_or_default();
    let population = population(&section);
    section.finish();
    (name, population)
}

/// `None` only where a mistake was logged.
fn population(section: &Section<'_, '_>) -> Option<Population> {
    let before = section.diagnostics().count();
    let built = draft(section).build();
    if let Err(mistakes) = &built {
        mistakes.iter().for_each(|mistake| section.refuse(&mistake.path, reason(mistake)));
    }
    built.ok().filter(|_| section.diagnostics().count() == before)
}

/// What can be read of a population; the rest is logged and left out.
fn draft(section: &Section<'_, '_>) -> PopulationDraft {
    if !section.contains("name") {
        section.missing("name", "is missing; give the population a name of small letters, digits, `-` and `_`");
    }
    // The name stands for one that is missing or no text, so that the numbers can be looked through.
    let name = section.text("name").map_or("nameless".to_owned(), |found| found.value);
    let text = |key| section.text(key).map(|found| found.value);
    let mut draft = PopulationDraft::new(&name, Population::NAMES[0]);
    draft.about = text("about").unwrap_or_default();
    draft.base = text("base").unwrap_or(draft.base);
    draft.dwell_family = text("dwell_family");
    for (place, table) in section.named_sections("traits") {
        let number = |key| table.number(key).map(|found| found.value);
        draft.traits.insert(place.value, TraitDraft { median: number("median"), spread: number("spread") });
        table.finish();
    }
    draft.constants = section.numbers("constants").into_iter().map(|found| found.value).collect();
    for (place, table) in section.named_sections("correlations") {
        draft.correlations.insert(place.value, table.all_numbers().into_iter().map(|found| found.value).collect());
    }
    draft
}

/// What is wrong, with the nearest name where one is unknown.
fn reason(mistake: &PopulationMistake) -> String {
    let hint = match &mistake.problem {
        PopulationProblem::Unknown { given, known, .. } => match nearest(given, known) {
            Some(near) => format!("; did you mean `{near}`?"),
            None => format!(" (known: {})", known.join(", ")),
        },
        _ => String::new(),
    };
    format!("{}{hint}", mistake.problem)
}

/// A built-in population by its name, or one from a file.
///
/// # Errors
/// Neither; or every mistake in the file.
pub fn population_of(name: &str) -> Result<Population, String> {
    let path = Path::new(name);
    match Population::by_name(name) {
        Some(population) => Ok(population),
        None if path.extension().is_none() && !path.exists() => {
            Err(format!("there is no population `{name}`, and no such file (known: {})", Population::NAMES.join(", ")))
        }
        None => {
            let read = read_file(name, &Inputs::in_folder(Path::new(".")));
            read.map_err(|refused| one_line(&refused).into_owned())
        }
    }
}

/// A population from a file of its own, or every mistake in it, line by line.
pub(super) fn read_file(named: &str, inputs: &Inputs<'_>) -> Result<Population, String> {
    let text = inputs.text(named, "population file", LARGEST)?;
    let path = inputs.path(named);
    let path = path.display();
    let read = agogic_toml::read(&text, population);
    read.map_err(|mistakes| format!("the population file {path} has mistakes: {}", mistakes.in_one_line()))
}

//! The tables `[[population]]`, and population files: people of the user's own.

use std::path::Path;

use agogic_keys::one_line;
use agogic_typist::{Population, PopulationDraft, PopulationMistake, PopulationProblem};
use serde::Deserialize;

use crate::inputs::Inputs;
use crate::reader::{Section, nearest, toml_refused};

/// Largest population file accepted, in bytes.
const LARGEST: u64 = 1024 * 1024;

/// The populations written into the spec; `None` stands for one with mistakes, which are logged.
pub(super) fn read_all(root: &Section<'_, '_>) -> Vec<(String, Option<Population>)> {
    root.sections("population").into_iter().map(read).collect()
}

fn read(section: Section<'_, '_>) -> (String, Option<Population>) {
    let log = section.diagnostics();
    let name = section.text("name").map(|found| found.value).unwrap_or_default();
    let (line, key) = section.place_of(&[]);
    let places = |mistake: &PopulationMistake| section.place_of(&mistake.path);
    let table = section.plain_copy();
    match PopulationDraft::deserialize(toml::Value::Table(table)) {
        Err(refused) => {
            // What has the wrong type or is no key at all carries no place of its own.
            log.add(line, key, format!("failed to read the population: {}", refused.message()));
            (name, None)
        }
        Ok(draft) => match draft.build() {
            Ok(population) => (name, Some(population)),
            Err(mistakes) => {
                for mistake in &mistakes {
                    let (line, key) = places(mistake);
                    log.add(line, key, said(mistake));
                }
                (name, None)
            }
        },
    }
}

/// What is wrong, with the nearest name where one is unknown.
fn said(mistake: &PopulationMistake) -> String {
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
    let shown = inputs.path(named);
    let shown = shown.display();
    let draft: PopulationDraft = toml::from_str(&text)
        .map_err(|e| format!("failed to read the population file {shown}: {}", toml_refused(&text, &e)))?;
    draft.build().map_err(|mistakes| {
        let said: Vec<String> = mistakes.iter().map(|m| format!("`{}`: {}", m.path.join("."), said(m))).collect();
        format!("the population file {shown} has mistakes: {}", said.join("; "))
    })
}

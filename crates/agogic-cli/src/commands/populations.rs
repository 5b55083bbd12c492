//! `agogic populations`: who types.

use std::io::Write;
use std::process::ExitCode;

use agogic_report::{Column, Sheet};
use agogic_typist::{Population, TRAITS, register, register_of};
use serde_json::json;

use crate::args::Populations;
use crate::failure::Failure;
use crate::screen::{screen, shown, shown_broken};

/// Lists populations, or every number of the model with its provenance, or one population as TOML.
pub fn populations(args: &Populations, as_json: bool) -> Result<ExitCode, Failure> {
    let mut screen = screen();
    let all: Vec<Population> = Population::NAMES.iter().filter_map(|name| Population::by_name(name)).collect();
    if let Some(name) = &args.write {
        let population = named(name)?;
        write!(screen, "{}", population.to_toml(&format!("my-{name}")))?;
        return Ok(ExitCode::SUCCESS);
    }
    let entries = match args.register.as_deref() {
        None => None,
        Some("") => Some(register()),
        Some(name) => Some(register_of(&named(name)?)),
    };
    if as_json {
        let value = match &entries {
            Some(entries) => json!(entries),
            None => json!(all.iter().map(|p| json!({ "name": p.name(), "about": p.about() })).collect::<Vec<_>>()),
        };
        serde_json::to_writer_pretty(&mut screen, &value).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    if let Some(entries) = entries {
        let titles = ["population", "number", "value", "unit", "provenance"];
        let mut table = Sheet::new(titles.map(Column::words).into());
        for entry in entries {
            let taken = entry.taken_from.map_or(String::new(), |from| format!("as {from}; "));
            let provenance = format!("{taken}{}", entry.provenance);
            table.push([entry.population, entry.name, entry.value.to_string(), entry.unit.to_string(), provenance]);
        }
        writeln!(screen, "{}", shown_broken(&table, 140))?;
        return Ok(ExitCode::SUCCESS);
    }
    for population in all {
        writeln!(screen, "{}: {}\n", population.name(), population.about())?;
        let mut table = Sheet::new(["trait", "median", "spread", "unit"].map(Column::words).into());
        for info in TRAITS {
            let spread = population.spread_of(info.id);
            table.push([
                info.name.to_owned(),
                spread.median.to_string(),
                spread.spread.to_string(),
                info.unit.to_owned(),
            ]);
        }
        writeln!(screen, "{}\n", shown(&table))?;
    }
    writeln!(screen, "Spread is the SD between people on the trait's normal scale. --register shows every source.")?;
    Ok(ExitCode::SUCCESS)
}

fn named(name: &str) -> Result<Population, Failure> {
    Population::by_name(name).ok_or_else(|| Failure::Name {
        what: "population",
        name: name.to_owned(),
        known: Population::NAMES.join(", "),
    })
}

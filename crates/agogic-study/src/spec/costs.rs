//! The table `[harm]`: what wrong outcomes cost.

use agogic_score::{CostLevel, CostSpec, CostTable};
use agogic_toml::Section;

use crate::inputs::Inputs;

/// Largest cost table accepted, in bytes.
const LARGEST: u64 = 1024 * 1024;

pub(super) fn read(section: Option<Section<'_, '_>>, inputs: &Inputs<'_>) -> Option<CostTable> {
    let Some(section) = section else { return Some(CostTable::default()) };
    let log = section.diagnostics();
    let level = match section.text("level") {
        None => CostLevel::Stated,
        Some(found) => match found.value.as_str() {
            "low" => CostLevel::Low,
            "stated" => CostLevel::Stated,
            "high" => CostLevel::High,
            _ => {
                log.at(&found, "must be \"low\", \"stated\" or \"high\": the end of the ranges in the cost table");
                CostLevel::Stated
            }
        },
    };
    let table = match section.text("costs") {
        None => Ok(CostSpec::assumed().table(level).expect("our own table has no mistakes")),
        Some(found) => read_file(&found.value, level, inputs).map_err(|refused| log.at(&found, refused)),
    };
    section.finish();
    table.ok()
}

fn read_file(named: &str, level: CostLevel, inputs: &Inputs<'_>) -> Result<CostTable, String> {
    let text = inputs.text(named, "cost table", LARGEST)?;
    let path = inputs.path(named);
    let path = path.display();
    let read = CostSpec::read(&text, level).map(|(_, table)| table);
    read.map_err(|mistakes| format!("the cost table {path} has mistakes: {}", mistakes.in_one_line()))
}

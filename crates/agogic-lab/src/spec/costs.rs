//! The table `[harm]`: what wrong outcomes cost.

use std::path::Path;

use agogic_score::{CostLevel, CostSpec, CostTable};

use crate::reader::Section;

/// Largest cost table accepted, in bytes.
const LARGEST: u64 = 1024 * 1024;

pub(super) fn read(section: Option<Section<'_, '_>>, folder: &Path) -> Option<CostTable> {
    let Some(section) = section else { return Some(CostTable::default()) };
    let log = section.log();
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
        Some(found) => {
            let table = read_file(&folder.join(&found.value), level, |bytes| log.input(&found.value, bytes));
            table.map_err(|refused| log.at(&found, refused))
        }
    };
    section.finish();
    table.ok()
}

fn read_file(path: &Path, level: CostLevel, seen: impl FnOnce(&[u8])) -> Result<CostTable, String> {
    let shown = path.display();
    let meta = std::fs::metadata(path).map_err(|e| format!("failed to open the cost table {shown}: {e}"))?;
    if meta.len() > LARGEST {
        return Err(format!("the cost table {shown} is larger than 1 MB"));
    }
    let text = std::fs::read_to_string(path).map_err(|e| format!("failed to read the cost table {shown}: {e}"))?;
    seen(text.as_bytes());
    let spec: CostSpec = toml::from_str(&text).map_err(|e| format!("failed to read the cost table {shown}: {e}"))?;
    spec.table(level).map_err(|mistakes| format!("the cost table {shown} has mistakes: {mistakes}"))
}

//! The folder of a sensitivity analysis: the indices, and every point they come from.

use std::path::Path;

use crate::csv_text::{ESTIMATE_COLUMNS, cell, csv_of, estimate_cells};
use crate::folder::{Files, FolderKind, RunInfo, registers, write_whole};
use agogic_lab::{OUTCOMES, SensitivityResult};
use agogic_sim::FileError;
use agogic_sim::disk::to_json;
use agogic_study::{SensitivityPlan, Study};

/// Writes the folder of a sensitivity analysis. An earlier result at `out` is replaced only once the new one is
/// complete.
///
/// # Errors
/// The place is taken by something else, or the disk refuses; nothing is left behind then.
pub fn write_sensitivity_folder(
    study: &Study,
    plan: &SensitivityPlan,
    result: &SensitivityResult,
    info: &RunInfo,
    out: &Path,
) -> Result<(), FileError> {
    write_whole(FolderKind::Sensitivity, study, &sensitivity_files(study, plan, result, out)?, info, out)
}

/// The files of a sensitivity analysis, without manifest.
///
/// # Errors
/// The dataframe library refuses.
pub fn sensitivity_files(
    study: &Study,
    plan: &SensitivityPlan,
    result: &SensitivityResult,
    out: &Path,
) -> Result<Files, FileError> {
    Ok(vec![
        ("indices.csv".to_owned(), indices_csv(result, out)?),
        ("indices.json".to_owned(), to_json(&result.indices)),
        ("points.csv".to_owned(), points_csv(plan, result, out)?),
        ("register.json".to_owned(), to_json(&registers(study))),
    ])
}

fn indices_csv(result: &SensitivityResult, path: &Path) -> Result<Vec<u8>, FileError> {
    let own = ["arm", "outcome", "input", "of", "from", "to", "index"];
    let head = own.into_iter().chain(ESTIMATE_COLUMNS).map(str::to_owned).collect();
    let lines = result.indices.iter().map(|row| {
        let mut cells: Vec<String> = [&row.arm, row.outcome, row.input, row.of].map(str::to_owned).into();
        cells.extend([row.range.0.to_string(), row.range.1.to_string(), row.index.to_owned()]);
        cells.extend(estimate_cells(&row.estimate));
        cells
    });
    csv_of(head, lines, path)
}

/// `points.csv`: the inputs and outcomes of every point, in the order of the design.
fn points_csv(plan: &SensitivityPlan, result: &SensitivityResult, path: &Path) -> Result<Vec<u8>, FileError> {
    let mut head = vec!["arm".to_owned(), "point".to_owned()];
    head.extend(plan.names().map(|name| format!("input_{name}")));
    head.extend(OUTCOMES.map(str::to_owned));
    let lines = result.points.iter().map(|row| {
        let mut cells = vec![row.arm.clone(), row.point.to_string()];
        cells.extend(row.inputs.iter().map(f64::to_string));
        cells.extend(row.outcomes.map(cell));
        cells
    });
    csv_of(head, lines, path)
}

//! The folder of a sensitivity analysis: the indices, and every point they come from.

use crate::csv_text::{ESTIMATE_COLUMNS, cell, csv_of, estimate_cells};
use crate::folder::registers;
use crate::manifest::FolderKind;
use crate::read::{FolderError, ResultFolder};
use agogic_lab::{IndexRow, OUTCOMES, SensitivityResult};
use agogic_sim::FileError;
use agogic_sim::disk::to_json;
use agogic_study::{SensitivityPlan, Study};

impl ResultFolder {
    /// The folder of the sensitivity analysis of a study, without page.
    ///
    /// # Errors
    /// The dataframe library refuses.
    pub fn of_sensitivity(study: &Study, result: &SensitivityResult) -> Result<Self, FileError> {
        let files = vec![
            ("indices.csv".to_owned(), indices_csv(result)?),
            (INDICES.to_owned(), to_json(&result.indices)),
            ("points.csv".to_owned(), points_csv(study, result)?),
            ("register.json".to_owned(), to_json(&registers(study))),
        ];
        Ok(Self::new(FolderKind::Sensitivity, study, files))
    }

    /// The indices of a folder of `agogic sensitivity`.
    ///
    /// # Errors
    /// The folder holds another kind of result; a file is missing or has another form.
    pub fn indices(&self) -> Result<Vec<IndexRow>, FolderError> {
        self.must_be(FolderKind::Sensitivity)?;
        self.json(INDICES)
    }
}

/// Name of the file with the indices.
const INDICES: &str = "indices.json";

fn indices_csv(result: &SensitivityResult) -> Result<Vec<u8>, FileError> {
    let own = ["arm", "outcome", "input", "of", "from", "to", "index"];
    let head = own.into_iter().chain(ESTIMATE_COLUMNS).map(str::to_owned).collect();
    let lines = result.indices.iter().map(|row| {
        let mut cells: Vec<String> = [&row.arm, &*row.outcome, &*row.input, &*row.of].map(str::to_owned).into();
        cells.extend([row.range.0.to_string(), row.range.1.to_string(), row.index.to_string()]);
        cells.extend(estimate_cells(&row.estimate));
        cells
    });
    csv_of(head, lines, "indices.csv")
}

/// `points.csv`: the inputs and outcomes of every point, in the order of the design.
fn points_csv(study: &Study, result: &SensitivityResult) -> Result<Vec<u8>, FileError> {
    let mut head = vec!["arm".to_owned(), "point".to_owned()];
    head.extend(study.sensitivity.iter().flat_map(SensitivityPlan::names).map(|name| format!("input_{name}")));
    head.extend(OUTCOMES.map(str::to_owned));
    let lines = result.points.iter().map(|row| {
        let mut cells = vec![row.arm.clone(), row.point.to_string()];
        cells.extend(row.inputs.iter().map(f64::to_string));
        cells.extend(row.outcomes.map(cell));
        cells
    });
    csv_of(head, lines, "points.csv")
}

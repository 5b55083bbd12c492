//! CSV files: how a number, an estimate and a whole table are written.

use agogic_sim::FileError;
use agogic_stats::Estimate;
use serde::Serialize;

/// The columns of an estimate, in the order of [`estimate_cells`].
pub(crate) const ESTIMATE_COLUMNS: [&str; 13] = [
    "estimate",
    "estimate_mcse",
    "ci_lo",
    "ci_hi",
    "ci_level",
    "ci_method",
    "resampling_unit",
    "n",
    "n_informative",
    "critical",
    "critical_mcse",
    "cautions",
    "reason",
];

/// The cautions of an estimate in one cell, sentence after sentence; `None` without any.
pub(crate) fn cautions_cell(e: &Estimate) -> Option<String> {
    let sentences: Vec<String> = e.cautions.iter().map(|caution| caution.sentence(&e.unit)).collect();
    (!sentences.is_empty()).then(|| sentences.join(" "))
}

/// A number; nothing for null.
pub(crate) fn cell(value: Option<f64>) -> String {
    value.map_or(String::new(), |v| v.to_string())
}

/// An estimate as cells: value, error, limits, level, method, unit, number of units, of units with events, the
/// critical value of a family with its error, cautions and reason.
pub(crate) fn estimate_cells(e: &Estimate) -> Vec<String> {
    let mut cells = Vec::from([e.value, e.mcse, e.lo, e.hi].map(cell));
    cells.extend([e.level.to_string(), e.method.clone(), e.unit.clone(), e.n.to_string()]);
    cells.push(e.informative.map_or(String::new(), |n| n.to_string()));
    cells.extend([e.critical, e.critical_mcse].map(cell));
    cells.extend([cautions_cell(e), e.reason.clone()].map(Option::unwrap_or_default));
    cells
}

/// A CSV file from its head and lines. `file` names it in messages.
pub(crate) fn csv_of(
    head: Vec<String>,
    lines: impl Iterator<Item = Vec<String>>,
    file: &str,
) -> Result<Vec<u8>, FileError> {
    let failed = |message: String| FileError::Table { path: file.into(), message };
    let mut out = csv::Writer::from_writer(Vec::new());
    for line in std::iter::once(head).chain(lines) {
        out.write_record(line).map_err(|e| failed(e.to_string()))?;
    }
    out.into_inner().map_err(|e| failed(e.to_string()))
}

/// A CSV file from records whose fields are `columns`, in their order. `file` names it in messages.
pub(crate) fn csv_records(
    columns: &[&str],
    records: impl Iterator<Item = impl Serialize>,
    file: &str,
) -> Result<Vec<u8>, FileError> {
    let failed = |message: String| FileError::Table { path: file.into(), message };
    // A head of our own: without records the library writes none.
    let mut out = csv::WriterBuilder::new().has_headers(false).from_writer(Vec::new());
    out.write_record(columns).map_err(|e| failed(e.to_string()))?;
    for record in records {
        out.serialize(record).map_err(|e| failed(e.to_string()))?;
    }
    out.into_inner().map_err(|e| failed(e.to_string()))
}

//! Result folders with their figures and page: from a result to what lies on the disk.

use agogic_figures::{FigureError, Width};
use agogic_files::{FolderError, ResultFolder, Results, SweepRecord};
use agogic_lab::{Recommendation, Robustness, SensitivityResult, StudyResult, SweepResult};
use agogic_sim::FileError;
use agogic_study::Study;

use crate::advice_page::{advice_page, robust_page};
use crate::figures::{FigureFileError, trade_off};
use crate::page::{PAGE, page};
use crate::sensitivity_page::sensitivity_page;
use crate::sweep_figures::sweep_figures;
use crate::sweep_page::sweep_page;
use crate::tables::slug;

/// Why a folder or a report could not be made. The texts continue "failed to show the result: ".
#[derive(Debug, thiserror::Error)]
pub enum ReportError {
    /// A table cannot be made.
    #[error(transparent)]
    Files(#[from] FileError),
    /// The folder lacks something, or has it in another form.
    #[error(transparent)]
    Folder(#[from] FolderError),
    /// A figure cannot be drawn.
    #[error(transparent)]
    Figure(#[from] FigureFileError),
}

impl From<FigureError> for ReportError {
    fn from(refused: FigureError) -> Self {
        Self::Figure(refused.into())
    }
}

/// The folder of a run, and the same as tables and figures are made from.
#[derive(Clone, Debug)]
pub struct RunFolder {
    /// The folder, to be written or looked into.
    pub folder: ResultFolder,
    /// What it says.
    pub results: Results,
}

/// The folder of a study that was run, with its figures and page.
///
/// # Errors
/// A table or figure cannot be made.
pub fn run_folder(study: &Study, result: &StudyResult) -> Result<RunFolder, ReportError> {
    let mut folder = ResultFolder::of_run(study, result)?;
    // Read back, so that the page shows what the files say.
    let results = Results::read(&folder)?;
    for arm in &study.arms {
        let figure = trade_off(&results, &arm.label).draw(Width::Screen)?;
        folder.add(format!("trade-off-{}.svg", slug(&arm.label)), figure.svg().into_bytes());
    }
    folder.add(PAGE.to_owned(), page(&results, &[])?.into_bytes());
    Ok(RunFolder { folder, results })
}

/// The folder of a sweep with its figures and page.
///
/// # Errors
/// A table or figure cannot be made.
pub fn sweep_folder(study: &Study, result: &SweepResult) -> Result<ResultFolder, ReportError> {
    let mut folder = ResultFolder::of_sweep(study, result)?;
    let swept = SweepRecord::of(result);
    for drawing in sweep_figures(study, &swept) {
        let figure = drawing.draw(Width::TwoColumn)?;
        folder.add(format!("{}.svg", drawing.name), figure.svg().into_bytes());
    }
    folder.add(PAGE.to_owned(), sweep_page(study, &swept)?.into_bytes());
    Ok(folder)
}

/// The folder of an advice with its page.
///
/// # Errors
/// A table or figure cannot be made.
///
/// # Panics
/// If the study has no table `advice`: then there is nothing to show.
pub fn advice_folder(study: &Study, advice: &[Recommendation]) -> Result<ResultFolder, ReportError> {
    let mut folder = ResultFolder::of_advice(study, advice)?;
    folder.add(PAGE.to_owned(), advice_page(study, advice, &[])?.into_bytes());
    Ok(folder)
}

/// The folder of a robustness analysis with its page: that of the advice, where the study asks for one.
///
/// # Errors
/// A table or figure cannot be made.
pub fn robust_folder(
    study: &Study,
    advice: &[Recommendation],
    found: &[Robustness],
) -> Result<ResultFolder, ReportError> {
    let mut folder = ResultFolder::of_robust(study, advice, found)?;
    folder.add(PAGE.to_owned(), page_of_robust(study, advice, found)?.into_bytes());
    Ok(folder)
}

/// The page of a robustness analysis.
pub(crate) fn page_of_robust(
    study: &Study,
    advice: &[Recommendation],
    found: &[Robustness],
) -> Result<String, FigureError> {
    if advice.is_empty() { robust_page(study, found) } else { advice_page(study, advice, found) }
}

/// The folder of a sensitivity analysis with its page.
///
/// # Errors
/// A table or figure cannot be made.
pub fn sensitivity_folder(study: &Study, result: &SensitivityResult) -> Result<ResultFolder, ReportError> {
    let mut folder = ResultFolder::of_sensitivity(study, result)?;
    folder.add(PAGE.to_owned(), sensitivity_page(study, &result.indices)?.into_bytes());
    Ok(folder)
}

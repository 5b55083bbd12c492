//! The folder of a robustness analysis: each conclusion with its fate.

use crate::csv_text::{ESTIMATE_COLUMNS, cell, csv_of, estimate_cells};
use crate::folder::registers;
use crate::manifest::FolderKind;
use crate::read::{FolderError, ResultFolder};
use crate::recommend::ADVICE;
use agogic_lab::{Recommendation, Robustness};
use agogic_sim::FileError;
use agogic_sim::disk::to_json;
use agogic_study::Study;

impl ResultFolder {
    /// The folder of a robustness analysis, without page; the advice that it holds against other assumptions lies in it.
    ///
    /// # Errors
    /// The table library refuses.
    pub fn of_robust(study: &Study, advice: &[Recommendation], found: &[Robustness]) -> Result<Self, FileError> {
        let mut files = vec![
            ("robust.json".to_owned(), to_json(&found)),
            ("conclusions.csv".to_owned(), conclusions_csv(found)?),
            ("against.csv".to_owned(), against_csv(found)?),
            ("register.json".to_owned(), to_json(&registers(study))),
        ];
        if study.advice.is_some() {
            files.push((ADVICE.to_owned(), to_json(&advice)));
        }
        Ok(Self::new(FolderKind::Robust, study, files))
    }
}

/// What the folder of a robustness analysis holds of its result.
#[derive(Clone, Debug, PartialEq)]
pub struct RobustRecord {
    /// The advice that was held against other assumptions; empty where the study asks for none, and in folders of
    /// versions that did not keep it.
    pub advice: Vec<Recommendation>,
    /// The conclusions, arm by arm.
    pub found: Vec<Robustness>,
}

impl RobustRecord {
    /// Reads a result folder of `agogic robust`.
    ///
    /// # Errors
    /// The folder holds another kind of result; a file is missing or has another form.
    pub fn read(folder: &ResultFolder) -> Result<Self, FolderError> {
        folder.must_be(FolderKind::Robust)?;
        let kept = folder.manifest.files_sha256.contains_key(ADVICE);
        let advice = if kept { folder.json(ADVICE)? } else { Vec::new() };
        Ok(Self { advice, found: folder.json("robust.json")? })
    }
}

/// One row for each conclusion: its margin as the study has it, and its fate.
fn conclusions_csv(found: &[Robustness]) -> Result<Vec<u8>, FileError> {
    let mut head: Vec<String> =
        ["arm", "conclusion", "verdict", "holds_percent", "holds_percent_ci_lo"].map(str::to_owned).into();
    head.extend(["holds_percent_ci_hi", "unit"].into_iter().chain(ESTIMATE_COLUMNS).map(str::to_owned));
    let lines = found.iter().flat_map(|arm| {
        arm.conclusions.iter().map(|own| {
            let verdict = serde_json::to_value(own.verdict).expect("a word");
            let share = &own.holds_percent;
            let mut cells = vec![arm.arm.clone(), own.claim.clone(), verdict.as_str().unwrap_or_default().to_owned()];
            cells.extend([share.value, share.lo, share.hi].map(cell));
            cells.push(own.unit.to_string());
            cells.extend(estimate_cells(&own.margin));
            cells
        })
    });
    csv_of(head, lines, "conclusions.csv")
}

/// One row for each assumption that breaks a conclusion or makes it doubtful, and for the weakest point of the others.
fn against_csv(found: &[Robustness]) -> Result<Vec<u8>, FileError> {
    let own = ["arm", "conclusion", "says", "assumption", "value", "unit"];
    let head = own.into_iter().chain(ESTIMATE_COLUMNS).map(str::to_owned).collect();
    let mut lines = Vec::new();
    for arm in found {
        for own in &arm.conclusions {
            let all = own.broken_by.iter().map(|against| ("breaks", against));
            let all = all.chain(own.doubted_by.iter().map(|against| ("doubts", against)));
            for (says, against) in all.chain(own.weakest.iter().map(|against| ("weakest", against))) {
                let mut cells = vec![arm.arm.clone(), own.claim.clone(), says.to_owned(), against.assumption.clone()];
                cells.extend([against.value.to_string(), own.unit.to_string()]);
                cells.extend(estimate_cells(&against.margin));
                lines.push(cells);
            }
        }
    }
    csv_of(head, lines.into_iter(), "against.csv")
}

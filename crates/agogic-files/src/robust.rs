//! The folder of a robustness analysis: each conclusion with its fate.

use std::path::Path;

use crate::csv_text::{ESTIMATE_COLUMNS, csv_of, estimate_cells};
use crate::folder::{Files, FolderKind, RunInfo, registers, write_whole};
use agogic_lab::Robustness;
use agogic_sim::FileError;
use agogic_sim::disk::to_json;
use agogic_study::Study;

/// Writes the folder of a robustness analysis, `more` files (names and contents) with it. An earlier result at `out` is replaced only once the new one is
/// complete.
///
/// # Errors
/// The place is taken by something else, or the disk refuses; nothing is left behind then.
pub fn write_robust_folder(
    study: &Study,
    found: &[Robustness],
    more: &[(String, Vec<u8>)],
    info: &RunInfo,
    out: &Path,
) -> Result<(), FileError> {
    let mut files = robust_files(study, found, out)?;
    files.extend_from_slice(more);
    write_whole(FolderKind::Robust, study, &files, info, out)
}

/// The files of a robustness analysis, without manifest.
///
/// # Errors
/// The table library refuses.
pub fn robust_files(study: &Study, found: &[Robustness], out: &Path) -> Result<Files, FileError> {
    Ok(vec![
        ("robust.json".to_owned(), to_json(&found)),
        ("conclusions.csv".to_owned(), conclusions_csv(found, out)?),
        ("against.csv".to_owned(), against_csv(found, out)?),
        ("register.json".to_owned(), to_json(&registers(study))),
    ])
}

/// One row for each conclusion: its margin as the study has it, and its fate.
fn conclusions_csv(found: &[Robustness], path: &Path) -> Result<Vec<u8>, FileError> {
    let mut head: Vec<String> =
        ["arm", "conclusion", "verdict", "holds_percent", "holds_percent_ci_lo"].map(str::to_owned).into();
    head.extend(["holds_percent_ci_hi", "unit"].into_iter().chain(ESTIMATE_COLUMNS).map(str::to_owned));
    let lines = found.iter().flat_map(|arm| {
        arm.conclusions.iter().map(|own| {
            let verdict = serde_json::to_value(own.verdict).expect("a word");
            let share = &own.holds_percent;
            let mut cells = vec![arm.arm.clone(), own.claim.clone(), verdict.as_str().unwrap_or_default().to_owned()];
            cells.extend([share.value, share.lo, share.hi].map(super::csv_text::cell));
            cells.push(own.unit.to_owned());
            cells.extend(estimate_cells(&own.margin));
            cells
        })
    });
    csv_of(head, lines, path)
}

/// One row for each assumption that breaks a conclusion or makes it doubtful, and for the weakest point of the others.
fn against_csv(found: &[Robustness], path: &Path) -> Result<Vec<u8>, FileError> {
    let own = ["arm", "conclusion", "says", "assumption", "value", "unit"];
    let head = own.into_iter().chain(ESTIMATE_COLUMNS).map(str::to_owned).collect();
    let mut lines = Vec::new();
    for arm in found {
        for own in &arm.conclusions {
            let all = own.broken_by.iter().map(|against| ("breaks", against));
            let all = all.chain(own.doubted_by.iter().map(|against| ("doubts", against)));
            for (says, against) in all.chain(own.weakest.iter().map(|against| ("weakest", against))) {
                let mut cells = vec![arm.arm.clone(), own.claim.clone(), says.to_owned(), against.assumption.clone()];
                cells.extend([against.value.to_string(), own.unit.to_owned()]);
                cells.extend(estimate_cells(&against.margin));
                lines.push(cells);
            }
        }
    }
    csv_of(head, lines.into_iter(), path)
}

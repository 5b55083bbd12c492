//! What the assignments of a study ask of the hands.

use agogic_keys::{HandLoad, MeanDwells, Reach};
use agogic_study::Study;

/// One assignment of a study.
#[derive(Clone, Debug, PartialEq)]
pub struct HandRow {
    /// Name of the assignment.
    pub assignment: String,
    /// Loads of the fingers for 1000 keys of the text.
    pub load: HandLoad,
    /// How the shortcuts lie under the hands; `None` without shortcuts.
    pub reach: Option<Reach>,
}

/// Loads and reach of each assignment, in the order of the study.
///
/// Both follow from text, workload and board alone; nothing is simulated.
pub fn hand_rows(study: &Study) -> Vec<HandRow> {
    let mut rows: Vec<HandRow> = Vec::new();
    for arm in &study.arms {
        if rows.iter().any(|row| row.assignment == arm.assignment_name) {
            continue;
        }
        rows.push(HandRow {
            assignment: arm.assignment_name.clone(),
            load: HandLoad::of(&arm.board, &arm.plan, &arm.workload, MeanDwells::ASSUMED),
            reach: Reach::of(&arm.board, &arm.assignment, &study.shortcuts),
        });
    }
    rows
}

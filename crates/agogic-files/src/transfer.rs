//! Rules that learn, trained on, judged on: `transfer.csv`.

use agogic_lab::{JudgedOn, Transfer, TransferRow};
use agogic_sim::FileError;

use crate::csv_text::{ESTIMATE_COLUMNS, csv_of, estimate_cells};

/// Name of the file with the matrix of each arm.
pub(crate) const TRANSFER: &str = "transfer.json";

/// One row for each arm, policy and world, and one for the worst of these.
pub(crate) fn transfer_csv(transfer: &[&Transfer]) -> Result<Vec<u8>, FileError> {
    let head = ["arm", "policy", "trained_on", "judged_on", "worst", "estimand", "unit"];
    let head = head.into_iter().chain(ESTIMATE_COLUMNS).map(str::to_owned).collect();
    let line = |of: &Transfer, row: &TransferRow, own: &JudgedOn, worst: bool| {
        let trained_on = row.trained_on.clone().unwrap_or_default();
        let mut cells = vec![of.arm.clone(), row.policy.clone(), trained_on, own.world.clone(), worst.to_string()];
        cells.extend([of.estimand.clone(), of.unit.clone()]);
        cells.extend(estimate_cells(&own.estimate));
        cells
    };
    let mut lines = Vec::new();
    for of in transfer {
        for row in &of.rows {
            lines.extend(row.on.iter().map(|own| line(of, row, own, false)));
            lines.extend(row.worst.iter().map(|own| line(of, row, own, true)));
        }
    }
    csv_of(head, lines.into_iter(), "transfer.csv")
}

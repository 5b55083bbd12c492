//! The folder of advice: what is advised, what was tried, whom it fails, what turning a value does.

use crate::csv_text::{ESTIMATE_COLUMNS, cell, csv_of, estimate_cells};
use crate::folder::registers;
use crate::manifest::FolderKind;
use crate::read::{FolderError, ResultFolder};
use crate::transfer::transfer_csv;
use agogic_lab::{Recommendation, Transfer};
use agogic_sim::FileError;
use agogic_sim::disk::to_json;
use agogic_study::Study;

impl ResultFolder {
    /// The folder of an advice, without page.
    ///
    /// # Errors
    /// The table library refuses.
    pub fn of_advice(study: &Study, advice: &[Recommendation]) -> Result<Self, FileError> {
        let transfer: Vec<&Transfer> = advice.iter().filter_map(|own| own.transfer.as_ref()).collect();
        let mut files = vec![
            (ADVICE.to_owned(), to_json(&advice)),
            ("searched.csv".to_owned(), searched_csv(advice)?),
            ("listed.csv".to_owned(), listed_csv(advice)?),
            ("rules.csv".to_owned(), rules_csv(advice)?),
            ("whom.csv".to_owned(), whom_csv(advice)?),
            ("knobs.csv".to_owned(), knobs_csv(advice)?),
            ("turns.csv".to_owned(), turns_csv(advice)?),
            ("register.json".to_owned(), to_json(&registers(study))),
        ];
        if !transfer.is_empty() {
            files.push(("transfer.csv".to_owned(), transfer_csv(&transfer)?));
        }
        Ok(Self::new(FolderKind::Advice, study, files))
    }

    /// The advice of a folder of `agogic advise`, arm by arm.
    ///
    /// # Errors
    /// The folder holds another kind of result; a file is missing or has another form.
    pub fn advice(&self) -> Result<Vec<Recommendation>, FolderError> {
        self.must_be(FolderKind::Advice)?;
        self.json(ADVICE)
    }
}

/// Name of the file with the whole advice.
pub(crate) const ADVICE: &str = "advice.json";

fn head(own: &[&str]) -> Vec<String> {
    own.iter().copied().chain(ESTIMATE_COLUMNS).map(str::to_owned).collect()
}

fn searched_csv(advice: &[Recommendation]) -> Result<Vec<u8>, FileError> {
    let head = ["arm", "setting", "from", "newcomer", "typists", "loss_in_search", "served_percent", "end"];
    let lines = advice.iter().flat_map(|arm| {
        arm.searched.iter().map(|own| {
            let mut cells = vec![arm.arm.clone(), own.setting.clone(), own.from.clone(), own.newcomer.to_string()];
            cells.extend([own.typists.to_string(), cell(own.loss), cell(own.served_percent), own.end.clone()]);
            cells
        })
    });
    csv_of(head.map(str::to_owned).into(), lines, "searched.csv")
}

/// `listed.csv`: one row for each setting and figure: its loss, its share of typists served, and its loss less that of
/// the advised setting.
fn listed_csv(advice: &[Recommendation]) -> Result<Vec<u8>, FileError> {
    let lines = advice.iter().flat_map(|arm| {
        arm.listed.iter().flat_map(move |own| {
            let figures =
                [("loss", Some(&own.loss)), ("served", own.served.as_ref()), ("more_loss", own.more_loss.as_ref())];
            figures.into_iter().filter_map(move |(figure, estimate)| {
                let advised = arm.setting.as_ref() == Some(&own.setting);
                let mut cells = vec![arm.arm.clone(), own.setting.clone(), advised.to_string(), own.meets.to_string()];
                cells.extend([own.alike.to_string(), figure.to_owned()]);
                cells.extend(estimate_cells(estimate?));
                Some(cells)
            })
        })
    });
    csv_of(head(&["arm", "setting", "advised", "meets", "alike", "figure"]), lines, "listed.csv")
}

/// `rules.csv`: the best setting of each rule, one row for each figure.
fn rules_csv(advice: &[Recommendation]) -> Result<Vec<u8>, FileError> {
    let lines = advice.iter().flat_map(|arm| {
        arm.rules.iter().flat_map(move |own| {
            let figures =
                [("loss", Some(&own.loss)), ("served", own.served.as_ref()), ("more_loss", Some(&own.more_loss))];
            figures.into_iter().filter_map(move |(figure, estimate)| {
                let mut cells = vec![arm.arm.clone(), own.rule.to_string(), own.setting.clone()];
                cells.extend([own.seems_to_meet.to_string(), figure.to_owned()]);
                cells.extend(estimate_cells(estimate?));
                Some(cells)
            })
        })
    });
    csv_of(head(&["arm", "rule", "setting", "seems_to_meet", "figure"]), lines, "rules.csv")
}

fn whom_csv(advice: &[Recommendation]) -> Result<Vec<u8>, FileError> {
    let lines = advice.iter().flat_map(|arm| {
        arm.subgroups.iter().map(|row| {
            let mut cells = vec![arm.arm.clone(), row.group.to_string(), row.figure.clone(), row.unit.to_string()];
            cells.extend(estimate_cells(&row.estimate));
            cells
        })
    });
    csv_of(head(&["arm", "group", "figure", "unit"]), lines, "whom.csv")
}

fn knobs_csv(advice: &[Recommendation]) -> Result<Vec<u8>, FileError> {
    let lines = advice.iter().flat_map(|arm| {
        arm.effects.iter().map(|row| {
            let mut cells = vec![arm.arm.clone(), row.action.clone()];
            cells.extend([&row.value, &row.group, &row.figure, &row.unit].map(|name| name.to_string()));
            cells.extend(estimate_cells(&row.change));
            cells
        })
    });
    csv_of(head(&["arm", "turn", "knob", "group", "figure", "unit"]), lines, "knobs.csv")
}

fn turns_csv(advice: &[Recommendation]) -> Result<Vec<u8>, FileError> {
    let lines = advice.iter().flat_map(|arm| {
        arm.what_ifs.iter().map(|turn| {
            let setting = turn.setting.clone().unwrap_or_default();
            vec![arm.arm.clone(), turn.asked.clone(), setting, turn.another.to_string()]
        })
    });
    csv_of(["arm", "asked_instead", "setting", "another"].map(str::to_owned).into(), lines, "turns.csv")
}

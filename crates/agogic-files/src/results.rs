//! The folder of a run: made from what a study found, and read back as rows and words.

use agogic_lab::{ALL, Advice, CautionNote, ResultRow, Statistic, StudyResult, Transfer, advise, cautions_of};
use agogic_sim::FileError;
use agogic_sim::disk::to_json;
use agogic_study::Study;
use agogic_typist::Entry;

use crate::folder::registers;
use crate::manifest::{FolderKind, Manifest};
use crate::read::{FolderError, ResultFolder};
use crate::records::{FloorRecord, HandRecord, KindRecord, floor_csv, hands_csv, kinds_csv};
use crate::tables;
use crate::transfer::{TRANSFER, transfer_csv};
use crate::typist_columns::TypistColumns;

impl ResultFolder {
    /// The folder of a study that was run, without figures and page.
    ///
    /// # Errors
    /// The dataframe library refuses.
    pub fn of_run(study: &Study, result: &StudyResult) -> Result<Self, FileError> {
        let advice: Vec<Advice> = result.arms.iter().filter_map(|arm| advise(study, arm)).collect();
        let floor = FloorRecord::all(result.arms.iter().map(|arm| (arm.label.as_str(), arm.floor.as_ref())));
        let transfer: Vec<&Transfer> = result.arms.iter().filter_map(|arm| arm.transfer.as_ref()).collect();
        let mut files = vec![
            ("results.parquet".to_owned(), tables::results_parquet(&result.rows)?),
            ("results.csv".to_owned(), tables::results_csv(&result.rows)?),
            ("results.json".to_owned(), to_json(&result.rows)),
            ("typists.parquet".to_owned(), tables::typists_parquet(study, &result.arms)?),
            ("kinds.csv".to_owned(), kinds_csv(study, &result.arms)?),
            ("hands.csv".to_owned(), hands_csv(study)?),
            ("floor.csv".to_owned(), floor_csv(&floor)?),
            ("advice.json".to_owned(), to_json(&advice)),
            ("cautions.json".to_owned(), to_json(&cautions_of(&result.rows))),
            ("register.json".to_owned(), to_json(&registers(study))),
        ];
        if !transfer.is_empty() {
            files.push((TRANSFER.to_owned(), to_json(&transfer)));
            files.push(("transfer.csv".to_owned(), transfer_csv(&transfer)?));
        }
        Ok(Self::new(FolderKind::Run, study, files))
    }
}

/// What a run of a study found, from its files.
#[derive(Clone, Debug)]
pub struct Results {
    /// What was run.
    pub manifest: Manifest,
    /// All estimates.
    pub rows: Vec<ResultRow>,
    /// What figures show of each typist.
    pub typists: TypistColumns,
    /// The ideal observer.
    pub floor: Vec<FloorRecord>,
    /// Wrong outcomes by modifier and key.
    pub kinds: Vec<KindRecord>,
    /// Load of the fingers.
    pub hands: Vec<HandRecord>,
    /// What to start from, arm by arm.
    pub advice: Vec<Advice>,
    /// Rules that learn, trained on, judged on; none of an arm where none learns, and of folders of earlier versions.
    pub transfer: Vec<Transfer>,
    /// What to mind when reading the estimates.
    pub cautions: Vec<CautionNote>,
    /// Every number of the typist model.
    pub register: Vec<Entry>,
}

/// The columns of `typists.parquet` that figures are drawn from.
const COLUMNS: [&str; 6] = ["false_holds", "taps", "missed_holds", "holds", "wpm", "rollover"];

impl Results {
    /// How many settings of how many rules it compares, in words: `18 settings of 7 rules`.
    pub fn settings_and_rules(&self) -> String {
        let counted = |number: usize, what: &str| format!("{number} {what}{}", if number == 1 { "" } else { "s" });
        let mut rules: Vec<&str> = self.manifest.policy_rules.iter().map(String::as_str).collect();
        rules.sort_unstable();
        rules.dedup();
        format!("{} of {}", counted(self.manifest.policies.len(), "setting"), counted(rules.len(), "rule"))
    }

    /// Reads a result folder of `agogic run`.
    ///
    /// # Errors
    /// The folder holds another kind of result; a file is missing or has another form.
    pub fn read(folder: &ResultFolder) -> Result<Self, FolderError> {
        folder.must_be(FolderKind::Run)?;
        Ok(Self {
            manifest: folder.manifest.clone(),
            rows: folder.json("results.json")?,
            typists: TypistColumns::read(folder.file("typists.parquet")?, &COLUMNS)?,
            floor: folder.lines("floor.csv")?,
            kinds: folder.lines("kinds.csv")?,
            hands: folder.lines("hands.csv")?,
            advice: folder.json("advice.json")?,
            transfer: folder.json_if_there(TRANSFER)?.unwrap_or_default(),
            cautions: folder.json("cautions.json")?,
            register: folder.json("register.json")?,
        })
    }

    /// One row about all typists.
    pub fn row(&self, arm: &str, policy: &str, estimand: &str, statistic: Statistic) -> Option<&ResultRow> {
        self.group_row(arm, policy, estimand, statistic, ALL)
    }

    /// One row about a group.
    pub fn group_row(
        &self,
        arm: &str,
        policy: &str,
        estimand: &str,
        statistic: Statistic,
        group: &str,
    ) -> Option<&ResultRow> {
        self.rows.iter().find(|row| {
            row.statistic == statistic
                && row.estimand == estimand
                && row.policy == policy
                && row.arm == arm
                && row.group == group
        })
    }

    /// The pooled value, where there is one.
    pub fn value(&self, arm: &str, policy: &str, estimand: &str) -> Option<f64> {
        self.row(arm, policy, estimand, Statistic::Pooled)?.estimate.value
    }

    /// The rules of an arm, trained on, judged on; `None` where none learns.
    pub fn transfer(&self, arm: &str) -> Option<&Transfer> {
        self.transfer.iter().find(|own| own.arm == arm)
    }

    /// Label of the setting to start from.
    pub fn best(&self, arm: &str) -> Option<&str> {
        self.advice.iter().find(|advice| advice.arm == arm).map(|advice| advice.best.as_str())
    }

    /// Typists that were judged in an arm.
    pub fn judged(&self, arm: &str) -> usize {
        self.typists.typists(arm)
    }

    /// Typists of an arm on whose presses policies were held against the ideal observer; 0 without a floor.
    pub fn watched(&self, arm: &str) -> u64 {
        let rows = self.rows.iter().filter(|row| row.arm == arm && row.statistic == Statistic::AboveFloor);
        rows.map(|row| row.estimate.n).max().unwrap_or_default()
    }

    /// Of each rule the setting with the fewest wrong keys, the fewest first; at most `most` of them.
    pub fn best_of_each_rule(&self, arm: &str, most: usize) -> Vec<&str> {
        let mut best: Vec<(&str, &str, f64)> = Vec::new();
        for (policy, rule) in self.manifest.policies.iter().zip(&self.manifest.policy_rules) {
            let Some(wrong) = self.value(arm, policy, "wrong_keys") else { continue };
            // Values fitted to each person make a rule of their own.
            let rule = if policy.starts_with("personal ") { "personal" } else { rule.as_str() };
            match best.iter_mut().find(|(known, ..)| *known == rule) {
                Some(found) if wrong < found.2 => *found = (rule, policy, wrong),
                Some(_) => {}
                None => best.push((rule, policy, wrong)),
            }
        }
        best.sort_by(|a, b| a.2.total_cmp(&b.2).then(a.1.cmp(b.1)));
        best.into_iter().take(most).map(|(_, policy, _)| policy).collect()
    }

    /// A column of `typists.parquet` for one arm and policy; empty where there is no such column.
    pub fn of_typists(&self, arm: &str, policy: &str, column: &str) -> &[f64] {
        debug_assert!(COLUMNS.contains(&column), "a column that is read");
        self.typists.get(arm, policy, column)
    }
}

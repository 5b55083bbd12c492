//! A result folder as rows and words.

use agogic_files::{FolderError, FolderKind, ResultFolder, TypistColumns};
use agogic_stats::Estimate;
use agogic_study::FloorPlan;
use serde::Deserialize;
use serde::de::DeserializeOwned;

/// What a run of a study found, from its files.
#[derive(Clone, Debug)]
pub struct Results {
    /// What was run.
    pub manifest: Manifest,
    /// All estimates.
    pub rows: Vec<Row>,
    /// What figures show of each typist.
    pub typists: TypistColumns,
    /// The ideal observer.
    pub floor: Vec<FloorCorner>,
    /// Wrong outcomes by modifier and key.
    pub kinds: Vec<KindLine>,
    /// Load of the fingers.
    pub hands: Vec<HandLine>,
    /// What to start from, arm by arm.
    pub advice: Vec<AdviceLine>,
    /// What to mind when reading the estimates.
    pub cautions: Vec<CautionLine>,
    /// Every number of the typist model.
    pub register: Vec<RegisterEntry>,
}

/// What was run.
#[derive(Clone, Debug, Deserialize)]
pub struct Manifest {
    /// Name of the study.
    pub study: String,
    /// What it asks; may be empty.
    pub question: String,
    /// The seed.
    pub seed: u64,
    /// Typists of each arm, at most.
    pub typists: u64,
    /// Populations on keyboards.
    pub arms: Vec<ArmInfo>,
    /// Labels of the policies.
    pub policies: Vec<String>,
    /// Name of the rule of each policy.
    pub policy_rules: Vec<String>,
    /// Label of the policy that each is compared with; its own for none.
    pub compared_with: Vec<String>,
    /// Confidence level of intervals.
    pub level: f64,
    /// Resamples, where a method resamples.
    pub resamples: u64,
    /// How the floor was taken.
    pub floor: FloorPlan,
    /// Where the text came from.
    pub text: String,
    /// Names of the texts; each typist types one of them.
    pub texts: Vec<String>,
    /// The estimand that the study is about.
    pub primary: String,
    /// Words of all texts.
    pub words: Option<u64>,
    /// Shortcuts among the keys.
    pub shortcuts_per_1000_keys: f64,
    /// What a reader should know about the input.
    pub notes: Vec<String>,
    /// The spec.
    pub spec: String,
    /// Its hash.
    pub spec_sha256: String,
    /// Version of the program.
    pub agogic: String,
    /// Hash of the versions of all libraries.
    pub cargo_lock_sha256: String,
}

/// One population on one keyboard.
#[derive(Clone, Debug, Deserialize)]
pub struct ArmInfo {
    /// Its label.
    pub label: String,
    /// The people.
    pub population: String,
    /// Name of the assignment.
    pub assignment: String,
    /// Keys with two meanings, each with its held role.
    pub dual_role_keys: Vec<(String, String)>,
    /// Presses of each typist.
    pub keys_each: u64,
}

/// One estimate: a line of `results.json`.
#[derive(Clone, Debug, Deserialize)]
pub struct Row {
    /// Label of the arm.
    pub arm: String,
    /// Label of the policy.
    pub policy: String,
    /// `all`, or a group of typists.
    pub group: String,
    /// Name of the estimand.
    pub estimand: String,
    /// `primary`, or `secondary`.
    pub role: String,
    /// What is said about it.
    pub statistic: String,
    /// Unit.
    pub unit: String,
    /// Label of the policy it is compared with.
    pub minus: Option<String>,
    /// Limit or margin.
    pub against: Option<f64>,
    /// The estimate.
    pub estimate: Estimate,
}

/// What to mind when reading the estimates of an arm.
#[derive(Clone, Debug, Deserialize)]
pub struct CautionLine {
    /// Label of the arm.
    pub arm: String,
    /// In plain words, with the estimates it is about.
    pub sentence: String,
}

/// One corner of a floor.
#[derive(Clone, Debug, Deserialize)]
pub struct FloorCorner {
    /// Label of the arm.
    pub arm: String,
    /// Latest decision; `None` for no limit.
    pub deadline_ms: Option<f64>,
    /// False holds.
    pub false_holds_per_1000_taps: f64,
    /// Missed holds.
    pub missed_holds_per_100_holds: f64,
}

/// How often one outcome happened with one key.
#[derive(Clone, Debug, Deserialize)]
pub struct KindLine {
    /// Label of the arm.
    pub arm: String,
    /// Label of the policy.
    pub policy: String,
    /// What went wrong.
    pub outcome: String,
    /// The modifier.
    pub modifier: String,
    /// The key.
    pub key: String,
    /// How often, over all typists.
    pub count: u64,
}

/// One number on the hands.
#[derive(Clone, Debug, Deserialize)]
pub struct HandLine {
    /// Name of the assignment.
    pub assignment: String,
    /// What is counted.
    pub what: String,
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: String,
}

/// What to start from in one arm.
#[derive(Clone, Debug, Deserialize)]
pub struct AdviceLine {
    /// Label of the arm.
    pub arm: String,
    /// Label of the setting with the fewest wrong keys.
    pub best: String,
    /// The policies at both ends of what is assumed of holding.
    #[serde(default)]
    pub ends: Vec<agogic_lab::End>,
    /// The whole in plain words.
    pub sentence: String,
}

/// One number of the typist model.
#[derive(Clone, Debug, Deserialize)]
pub struct RegisterEntry {
    /// The population.
    pub population: String,
    /// Its name.
    pub name: String,
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// What it means.
    pub doc: String,
    /// Where it comes from.
    pub provenance: Origin,
    /// The population it was taken over from.
    pub taken_from: Option<String>,
}

/// Where a number comes from.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Origin {
    /// Printed.
    Published {
        /// Where.
        source: String,
    },
    /// Worked out.
    Derived {
        /// How.
        how: String,
    },
    /// Not known.
    Assumed {
        /// Smallest value thought possible.
        lo: f64,
        /// Largest value thought possible.
        hi: f64,
        /// Why.
        reason: String,
    },
    /// Stated by whoever made the population.
    Stated,
}

impl Origin {
    /// The kind in one word.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Published { .. } => "published",
            Self::Derived { .. } => "derived",
            Self::Assumed { .. } => "assumed",
            Self::Stated => "stated",
        }
    }

    /// The rest in words.
    pub fn words(&self) -> String {
        match self {
            Self::Published { source } => source.clone(),
            Self::Derived { how } => how.clone(),
            Self::Assumed { lo, hi, reason } => format!("{lo} to {hi}: {reason}"),
            Self::Stated => "by the maker of the population".to_owned(),
        }
    }
}

/// The columns of `typists.parquet` that figures are drawn from.
const COLUMNS: [&str; 6] = ["false_holds", "taps", "missed_holds", "holds", "wpm", "rollover"];

/// The group of all typists.
pub(crate) const ALL: &str = agogic_lab::ALL;

impl Results {
    /// Reads a result folder of `agogic run`.
    ///
    /// # Errors
    /// The folder is of another command; a file is missing or has another form.
    pub fn read(folder: &ResultFolder) -> Result<Self, FolderError> {
        if folder.kind != FolderKind::Run {
            let message = format!("is of `agogic {}`; a report is made of `agogic run`", folder.kind.command());
            return Err(FolderError::File { file: "manifest.json".into(), message });
        }
        let refused = |e: serde_json::Error| FolderError::File {
            file: "manifest.json".into(),
            message: format!("was written by another version ({e}); run the study again"),
        };
        Ok(Self {
            manifest: Manifest::deserialize(&folder.manifest).map_err(refused)?,
            rows: json(folder, "results.json")?,
            typists: TypistColumns::read(folder.file("typists.parquet")?, &COLUMNS)?,
            floor: lines(folder, "floor.csv")?,
            kinds: lines(folder, "kinds.csv")?,
            hands: lines(folder, "hands.csv")?,
            advice: json(folder, "advice.json")?,
            cautions: json(folder, "cautions.json")?,
            register: json(folder, "register.json")?,
        })
    }

    /// One row about all typists.
    pub fn row(&self, arm: &str, policy: &str, estimand: &str, statistic: &str) -> Option<&Row> {
        self.group_row(arm, policy, estimand, statistic, ALL)
    }

    /// One row about a group.
    pub fn group_row(&self, arm: &str, policy: &str, estimand: &str, statistic: &str, group: &str) -> Option<&Row> {
        self.rows.iter().find(|row| {
            row.estimand == estimand
                && row.statistic == statistic
                && row.policy == policy
                && row.arm == arm
                && row.group == group
        })
    }

    /// The pooled value, where there is one.
    pub fn value(&self, arm: &str, policy: &str, estimand: &str) -> Option<f64> {
        self.row(arm, policy, estimand, "pooled")?.estimate.value
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
        let rows = self.rows.iter().filter(|row| row.arm == arm && row.statistic == "above_floor");
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

fn json<T: DeserializeOwned>(folder: &ResultFolder, name: &str) -> Result<T, FolderError> {
    serde_json::from_slice(folder.file(name)?)
        .map_err(|e| FolderError::File { file: name.into(), message: format!("has another form: {e}") })
}

fn lines<T: DeserializeOwned>(folder: &ResultFolder, name: &str) -> Result<Vec<T>, FolderError> {
    let refused = |e: csv::Error| FolderError::File { file: name.into(), message: format!("has another form: {e}") };
    csv::Reader::from_reader(folder.file(name)?).deserialize().map(|line| line.map_err(refused)).collect()
}

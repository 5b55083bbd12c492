//! `manifest.json`: what was run, by what, and the hashes of what came of it.

use std::collections::BTreeMap;

use agogic_sim::Fingerprint;
use agogic_sim::disk::hex;
use agogic_study::{Arm, FloorPlan, Study};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::folder::input_files;

/// What a result folder holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(into = "&'static str", try_from = "String")]
pub enum FolderKind {
    /// The estimates of a study: `agogic run`.
    Run,
    /// Swept values and their fronts: `agogic sweep`.
    Sweep,
    /// Sensitivity indices: `agogic sensitivity`.
    Sensitivity,
    /// The setting to choose: `agogic advise`.
    Advice,
    /// Conclusions under other assumptions: `agogic robust`.
    Robust,
}

impl FolderKind {
    /// All kinds.
    pub const ALL: [Self; 5] = [Self::Run, Self::Sweep, Self::Sensitivity, Self::Advice, Self::Robust];

    /// The `format` in the manifest.
    pub fn format(self) -> &'static str {
        match self {
            Self::Run => "agogic-results-1",
            Self::Sweep => "agogic-sweep-1",
            Self::Sensitivity => "agogic-sensitivity-1",
            Self::Advice => "agogic-advice-1",
            Self::Robust => "agogic-robust-1",
        }
    }

    /// The command that makes such a folder.
    pub fn command(self) -> &'static str {
        match self {
            Self::Run => "run",
            Self::Sweep => "sweep",
            Self::Sensitivity => "sensitivity",
            Self::Advice => "advise",
            Self::Robust => "robust",
        }
    }

    /// The kind of that `format`; `None` for one that this version does not know.
    pub fn of_format(format: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.format() == format)
    }
}

impl From<FolderKind> for &'static str {
    fn from(kind: FolderKind) -> Self {
        kind.format()
    }
}

impl TryFrom<String> for FolderKind {
    type Error = String;

    fn try_from(format: String) -> Result<Self, String> {
        Self::of_format(&format).ok_or_else(|| format!("unknown format `{format}`"))
    }
}

/// What was run. Its keys stand sorted in the file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Manifest {
    /// What the folder holds, with the version of its form.
    pub format: FolderKind,
    /// Name of the study.
    pub study: String,
    /// What it asks; may be empty.
    pub question: String,
    /// The seed.
    pub seed: u64,
    /// Typists of each arm, at most.
    pub typists: u64,
    /// Populations on keyboards.
    pub arms: Vec<ArmRecord>,
    /// Labels of the policies.
    pub policies: Vec<String>,
    /// Name of the rule of each policy.
    pub policy_rules: Vec<String>,
    /// Label of the policy that each is compared with; its own for none.
    pub compared_with: Vec<String>,
    /// Confidence level of intervals.
    pub level: f64,
    /// Resamples, where a method resamples.
    pub resamples: usize,
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
    /// Hash of the sources of the program.
    #[serde(default)]
    pub sources_sha256: String,
    /// Hash of the versions of all libraries.
    pub cargo_lock_sha256: String,
    /// The files that the spec names.
    #[serde(default)]
    pub inputs: Vec<InputRecord>,
    /// Hash of each file of the folder but this one.
    pub files_sha256: BTreeMap<String, String>,
    /// When, how long and on what it ran; `None` for a folder that was not written yet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run: Option<RunInfo>,
}

/// One population on one keyboard.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ArmRecord {
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
    /// What the keyboard does to times.
    pub clock_us: Option<ClockRecord>,
}

/// How a keyboard reports times, in µs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ClockRecord {
    /// Interval between scans of the keyboard.
    pub scan: u64,
    /// Time by which contact bounce delays the report of a press.
    pub debounce_press: u64,
    /// Time by which contact bounce delays the report of a release.
    pub debounce_release: u64,
    /// Interval between polls of the host.
    pub poll: u64,
    /// Resolution to which a browser rounds down.
    pub clamp: u64,
}

/// A file that the spec names, and its copy in the folder.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct InputRecord {
    /// As the spec names it.
    pub named: String,
    /// Name of the copy.
    pub file: String,
}

/// What differs between two runs of the same study.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RunInfo {
    /// When the run began, in seconds since 1970-01-01 UTC.
    pub started_unix_s: u64,
    /// How long it took, in seconds.
    pub seconds: f64,
    /// Threads used.
    pub threads: usize,
    /// The operating system.
    pub os: String,
    /// The processor.
    pub architecture: String,
}

impl RunInfo {
    /// A run on this machine: when it began, how long it took, and its threads.
    pub fn here(started_unix_s: u64, seconds: f64, threads: usize) -> Self {
        let (os, architecture) = (std::env::consts::OS.to_owned(), std::env::consts::ARCH.to_owned());
        Self { started_unix_s, seconds, threads, os, architecture }
    }
}

impl Manifest {
    /// The manifest but for what differs between two runs: the machine, the time, and the hashes of the files.
    pub fn of(format: FolderKind, study: &Study) -> Self {
        let inputs = study.inputs.iter().zip(input_files(study));
        let inputs = inputs.map(|(input, (file, _))| InputRecord { named: input.named.clone(), file });
        Self {
            format,
            study: study.name.clone(),
            question: study.question.clone(),
            seed: study.seed,
            typists: study.typists,
            arms: study.arms.iter().map(ArmRecord::of).collect(),
            policies: study.policies.clone(),
            policy_rules: study.plans.iter().map(|plan| plan.rule.entry.name.to_owned()).collect(),
            compared_with: study.inference.versus.iter().map(|at| study.policies[*at].clone()).collect(),
            level: study.inference.level.confidence(),
            resamples: study.inference.resamples,
            floor: study.floor,
            text: study.text_from.clone(),
            texts: study.texts.clone(),
            primary: study.primary.name.to_owned(),
            words: study.arms.first().map(|arm| arm.plan.words() as u64),
            shortcuts_per_1000_keys: study.rates.shortcuts,
            notes: study.notes.clone(),
            spec: study.spec.clone(),
            spec_sha256: hash(study.spec.as_bytes()),
            agogic: env!("CARGO_PKG_VERSION").to_owned(),
            sources_sha256: Fingerprint::SOURCES.to_owned(),
            cargo_lock_sha256: Fingerprint::DEPENDENCIES.to_owned(),
            inputs: inputs.collect(),
            files_sha256: BTreeMap::new(),
            run: None,
        }
    }
}

impl ArmRecord {
    fn of(arm: &Arm) -> Self {
        let clock = &arm.clock;
        Self {
            label: arm.label.clone(),
            population: arm.population.name().to_owned(),
            assignment: arm.assignment_name.clone(),
            dual_role_keys: arm
                .assignment
                .iter()
                .map(|(code, role)| (code.name().to_owned(), role.name().to_owned()))
                .collect(),
            keys_each: arm.keys as u64,
            clock_us: Some(ClockRecord {
                scan: clock.scan.0,
                debounce_press: clock.debounce_press.0,
                debounce_release: clock.debounce_release.0,
                poll: clock.poll.0,
                clamp: clock.clamp.0,
            }),
        }
    }
}

/// SHA-256 as hexadecimal digits.
pub(crate) fn hash(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

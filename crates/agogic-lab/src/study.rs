//! A validated study: the only thing the runner accepts.

use agogic_keys::{Assignment, Board, Rates, TextPlan, Workload};
use agogic_policy::Setting;
use agogic_stats::Level;
use agogic_typist::Population;

/// A policy setting with the label it carries through tables and files.
#[derive(Debug)]
pub struct Labelled {
    /// Unique in the study.
    pub label: String,
    /// The rule with its values and guards.
    pub setting: Setting,
}

/// A study without mistakes.
#[derive(Debug)]
pub struct Study {
    /// Name: letters, digits and hyphens; also the name of the result folder.
    pub name: String,
    /// What the study asks, in a sentence; may be empty.
    pub question: String,
    /// The seed from which all randomness flows.
    pub seed: u64,
    /// Where the text came from.
    pub text_from: String,
    /// The text as steps.
    pub plan: TextPlan,
    /// The keyboard.
    pub board: Board,
    /// The dual-role keys.
    pub assignment: Assignment,
    /// How often the text is interrupted, per 1000 keys.
    pub rates: Rates,
    /// The interruptions, resolved to keys.
    pub workload: Workload,
    /// The people.
    pub population: Population,
    /// How many typists.
    pub typists: u64,
    /// Presses per typist.
    pub keys: usize,
    /// Confidence level of intervals.
    pub level: Level,
    /// Index of the policy that the others are compared with.
    pub reference: usize,
    /// The policies, in the order of the spec.
    pub policies: Vec<Labelled>,
    /// The spec as it was read.
    pub spec: String,
    /// What a reader should know about the input, such as replaced characters.
    pub notes: Vec<String>,
}

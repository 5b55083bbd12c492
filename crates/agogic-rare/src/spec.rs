//! What is asked.

use agogic_keys::{Assignment, Board, TextPlan, Workload};
use agogic_policy::Setting;
use agogic_stats::Level;
use agogic_typist::Population;

/// The error whose rate is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ErrorKind {
    /// A press meant as a tap is decided as a hold; per press meant as a tap.
    FalseHold,
    /// A press meant as a hold is decided as a tap; per press meant as a hold.
    MissedHold,
}

impl ErrorKind {
    /// Whether presses meant as holds are the opportunities.
    pub(crate) fn among_holds(self) -> bool {
        self == Self::MissedHold
    }
}

/// A rate to be estimated.
///
/// Times are those of the fingers; a [`Clock`](agogic_typist::Clock) is not applied.
#[derive(Clone, Copy, Debug)]
pub struct RareSpec<'a> {
    /// The people.
    pub population: &'a Population,
    /// The text.
    pub plan: &'a TextPlan,
    /// What interrupts it.
    pub workload: &'a Workload,
    /// The keyboard.
    pub board: &'a Board,
    /// The dual-role keys.
    pub assignment: &'a Assignment,
    /// The policy.
    pub setting: &'a Setting,
    /// The error.
    pub error: ErrorKind,
    /// Presses per typist, as in the study whose rate is meant. Shorter sessions of more typists cost less.
    pub keys_per_typist: usize,
    /// Half-width of the interval wanted, over the estimate.
    pub precision: f64,
    /// Presses that may be simulated in all.
    pub budget_keys: u64,
    /// Seed.
    pub seed: u64,
    /// Level of the interval.
    pub level: Level,
}

//! Values for one person: drawn typists that could be this person choose them, others say what they gain.
//!
//! *In*: a person as a population of what a log leaves unknown ([`agogic_fit::Fit::as_population`]), a keyboard
//! with text and workload, the people whose best common setting is the default, and the person's log. *Out*: for
//! each rule a value with its range, what it gains over the default, and whether that is worth a change.

mod candidates;
mod drawn;
mod families;
mod on_log;

pub use candidates::{FAMILIES, Family};
pub use drawn::{CommonLosses, common_losses};
pub use families::{FamilyAdvice, PersonalAdvice, PersonalVerdict, ValueRange, personal_advice};
pub use on_log::OnLog;

use agogic_score::CostTable;
use agogic_stats::Level;
use agogic_study::{Arm, EstimandInfo};

/// What is asked.
#[derive(Debug)]
pub struct PersonalQuestion<'a> {
    /// The keyboard, its text, workload and clock, and the people whose best common setting is the default.
    pub arm: &'a Arm,
    /// What wrong outcomes cost, for harm.
    pub costs: &'a CostTable,
    /// What is made small.
    pub objective: &'static EstimandInfo,
    /// A gain that nobody would change anything for, in the unit of the objective.
    pub least_gain: f64,
    /// Level of the intervals.
    pub level: Level,
    /// Seed.
    pub seed: u64,
    /// Presses of each drawn typist, from the start of the text: gains are those on this part of it.
    pub keys: usize,
    /// People of the population whose best common setting is the default.
    pub common_people: u64,
    /// Draws of the person that choose.
    pub search_draws: u64,
    /// Draws of the person that say what is gained.
    pub confirm_draws: u64,
}

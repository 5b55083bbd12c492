//! What is fitted, and to what.

use agogic_keys::{Assignment, Board};
use agogic_stats::Level;
use agogic_typist::Population;

/// What is fitted, and to what.
#[derive(Clone, Copy, Debug)]
pub struct FitPlan<'a> {
    /// The people the person is thought to be one of: the prior.
    pub population: &'a Population,
    /// The keyboard.
    pub board: &'a Board,
    /// Its dual-role keys. A press of one counts only where the log states its intent.
    pub assignment: &'a Assignment,
    /// Level of the intervals.
    pub level: Level,
    /// Seed of what is drawn to judge the fit.
    pub seed: u64,
    /// How often times are drawn anew for the p-values of the fit; 0 leaves them out.
    pub redraws: u32,
}

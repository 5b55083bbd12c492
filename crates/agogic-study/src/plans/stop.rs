//! The table `stop` without mistakes.

use agogic_stats::confseq::Precision;

use crate::EstimandInfo;

/// What the limits at the stop guarantee.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Guarantee {
    /// They hold for any number of typists. For proportions.
    Exact,
    /// They hold when typists are many.
    Asymptotic,
}

/// When a run may stop before its last typist.
#[derive(Clone, Debug)]
pub struct StopPlan {
    /// What has to be precise.
    pub estimand: &'static EstimandInfo,
    /// How precise, in the unit of the estimand or as a share of it.
    pub precision: Precision,
    /// What the limits at the stop guarantee.
    pub guarantee: Guarantee,
    /// Indices of the policies for which it has to be.
    pub policies: Vec<usize>,
    /// Typists between looks.
    pub block: u64,
    /// Typists before the first stop.
    pub least: usize,
}

//! On how many typists rules learn.

/// How much a rule learns from. Training typists are never judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TrainingPlan {
    /// Typists from whom tables are learned.
    pub typists: u64,
    /// Presses of each.
    pub keys: usize,
    /// Typists that make up the prior of personal values.
    pub prior_typists: u64,
}

impl Default for TrainingPlan {
    /// 200 typists of 4000 presses; 60 typists behind personal values.
    fn default() -> Self {
        Self { typists: 200, keys: 4000, prior_typists: 60 }
    }
}

//! The table `robust` without mistakes.

use crate::EstimandInfo;

/// How conclusions are held against other assumptions.
#[derive(Clone, Debug)]
pub struct RobustPlan {
    /// Typists under each variant.
    pub typists: u64,
    /// Points at which all assumed numbers are moved together.
    pub points: usize,
    /// Figures in which policies are compared.
    pub figures: Vec<&'static EstimandInfo>,
}

impl Default for RobustPlan {
    /// 100 typists, 60 points, compared by wrong keys.
    fn default() -> Self {
        let figures = vec![EstimandInfo::by_name("wrong_keys").expect("a name of our own table")];
        Self { typists: 100, points: 60, figures }
    }
}

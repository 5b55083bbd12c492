//! What was counted under each setting of a sweep.

use agogic_stats::Clusters;
use agogic_study::EstimandInfo;

use crate::floor::Floor;

/// One setting as all typists of an arm met it.
#[derive(Clone, Debug)]
pub struct Swept {
    /// A label that says all there is to the setting.
    pub label: String,
    /// Its values, one for each axis of its sweep; empty for a policy of the study.
    pub values: Vec<f64>,
    /// What was counted, typist by typist.
    pub found: Vec<(&'static EstimandInfo, Clusters)>,
}

impl Swept {
    /// The counts behind an estimand; `None` where the sweep does not know it.
    pub fn clusters(&self, estimand: &str) -> Option<&Clusters> {
        self.found.iter().find(|(info, _)| info.name == estimand).map(|(_, clusters)| clusters)
    }
}

/// The sweeps of one arm.
#[derive(Clone, Debug)]
pub struct ArmSweep {
    /// Label of the arm.
    pub label: String,
    /// The policies of the study, on the same presses.
    pub policies: Vec<Swept>,
    /// The settings of each sweep, in the order of the study.
    pub sweeps: Vec<Vec<Swept>>,
    /// What the ideal observer made of the presses of the first typists; `None` where the study asks for none.
    pub floor: Option<Floor>,
}

//! The table `sensitivity` without mistakes.

use agogic_typist::TraitInfo;

use super::{Axis, RulePlan};

/// A trait whose median in the population is moved.
#[derive(Clone, Copy, Debug)]
pub struct TraitRange {
    /// The trait.
    pub info: &'static TraitInfo,
    /// Smallest median, in the unit of the trait.
    pub from: f64,
    /// Largest.
    pub to: f64,
}

/// A sensitivity analysis without mistakes.
#[derive(Clone, Debug)]
pub struct SensitivityPlan {
    /// The setting around which they vary.
    pub rule: RulePlan,
    /// Values of the rule and guards that vary.
    pub axes: Vec<Axis>,
    /// Traits that vary.
    pub traits: Vec<TraitRange>,
    /// Rows of the design; a power of two.
    pub rows: usize,
    /// Typists at each point.
    pub typists: u64,
}

impl SensitivityPlan {
    /// Number of inputs.
    pub fn inputs(&self) -> usize {
        self.axes.len() + self.traits.len()
    }

    /// Names of the inputs, in order: values of the rule, guards, traits.
    pub fn names(&self) -> impl Iterator<Item = &'static str> + '_ {
        self.axes.iter().map(|axis| axis.param.name).chain(self.traits.iter().map(|range| range.info.name))
    }

    /// Settings that are run in each arm.
    pub fn runs(&self) -> u64 {
        self.rows as u64 * (self.inputs() as u64 + 2)
    }
}

//! The registry: every rule, its parameters, and how to build it.

use std::fmt::Debug;

use crate::rules;
use crate::{Decision, Encounter};

/// A decision rule: a pure, causal function of an encounter.
pub trait Policy: Debug + Send + Sync {
    /// Decides one encounter. See [`Encounter`] for ties and causality.
    fn decide(&self, encounter: &Encounter<'_>) -> Decision;
}

/// One number of a rule or guard.
#[derive(Clone, Copy, Debug)]
pub struct Param {
    /// Name in the spec; ends in its unit.
    pub name: &'static str,
    /// Unit in words.
    pub unit: &'static str,
    /// Used when the spec is silent.
    pub default: f64,
    /// Smallest value accepted.
    pub min: f64,
    /// Largest value accepted.
    pub max: f64,
    /// What it does, in a sentence.
    pub doc: &'static str,
}

impl Param {
    /// Whether `value` may be used.
    pub fn accepts(&self, value: f64) -> bool {
        value >= self.min && value <= self.max
    }
}

/// A rule as the registry knows it.
#[derive(Clone, Copy, Debug)]
pub struct RuleEntry {
    /// Name in the spec.
    pub name: &'static str,
    /// The rule in a sentence.
    pub summary: &'static str,
    /// What a hold without a target key needs under this rule.
    pub bare_hold: &'static str,
    /// Source or reasoning.
    pub source: &'static str,
    /// Its numbers, in the order `build` takes them.
    pub params: &'static [Param],
    /// Builds the rule from accepted values, one per parameter.
    pub build: fn(&[f64]) -> Box<dyn Policy>,
}

/// Every rule, in the order shown to people.
pub const RULES: &[RuleEntry] =
    &[rules::dwell_cutoff::ENTRY, rules::first_contact::ENTRY, rules::enclosed::ENTRY, rules::overlap_share::ENTRY];

/// The rule of that name.
pub fn rule(name: &str) -> Option<&'static RuleEntry> {
    RULES.iter().find(|entry| entry.name == name)
}

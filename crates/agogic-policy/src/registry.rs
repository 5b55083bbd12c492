//! The registry: every rule, its parameters, and how to build it.

use std::fmt::Debug;
use std::sync::Arc;

use agogic_keys::Span;

use crate::cost::RuleCost;
use crate::learned::UNITS_PER_NAT;
use crate::rules;
use crate::{Asks, Decision, Encounter, Encounters, EvidenceTables, Guards, Piece, SettingError, Sight, Term};

/// A decision rule: a pure, causal function of an encounter.
pub trait Policy: Debug + Send + Sync {
    /// Decides one encounter. See [`Encounter`] for ties and causality.
    fn decide(&self, encounter: &Encounter<'_>) -> Decision;

    /// Decides every encounter of a session as [`decide`](Self::decide) does, within `guards`, and pushes the decisions
    /// on `decisions`. One call for a session, so that the rule itself is a plain call inside it.
    fn decide_all(&self, encounters: &Encounters, guards: &Guards, decisions: &mut Vec<Decision>) {
        decisions.extend(encounters.iter().map(|encounter| guards.around(&encounter, |seen| self.decide(seen))));
    }

    /// The value of the parameter at position `param` at which the decision flips, the others unchanged.
    ///
    /// # Definition
    /// The press is a hold exactly when threshold ≤ value, whatever the rule's own threshold is.
    ///
    /// # Units
    /// Those of the threshold.
    ///
    /// # Undefined
    /// `None` for a parameter whose raising does not make fewer holds; −∞ for a press that is never a hold.
    fn critical_value(&self, param: usize, encounter: &Encounter<'_>) -> Option<f64> {
        let _ = (param, encounter);
        None
    }

    /// For a parameter with a critical value: the largest threshold at which the press is a hold or still
    /// undecided after `at`, given that the key was down for at least that long.
    ///
    /// The guard `bare_hold` needs it. The default serves every rule that calls a tap at the own release.
    fn undecided_value(&self, param: usize, encounter: &Encounter<'_>, at: Span) -> f64 {
        let _ = param;
        if encounter.dwell > at { f64::INFINITY } else { f64::NEG_INFINITY }
    }

    /// How role *and* time of the decision hang on the parameter at position `param`, the others unchanged:
    /// [`Piece`]s in order of the threshold, the last without an end, pushed on `pieces`.
    ///
    /// # Undefined
    /// `false`, with nothing pushed, when the time is no step or straight line in the threshold.
    fn pieces(&self, param: usize, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) -> bool {
        let _ = (param, encounter, pieces);
        false
    }

    /// The addends of a decision in words, for a rule whose decision is a sum at one instant, and the threshold of the sum,
    /// both in 1/256 nat.
    ///
    /// # Undefined
    /// `None` for every other rule.
    fn terms(&self, encounter: &Encounter<'_>) -> Option<(Vec<Term>, i32)> {
        let _ = encounter;
        None
    }
}

/// What raising a parameter does to the roles, when it can do only one thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Monotone {
    /// Raising it never turns a tap into a hold.
    FewerHolds,
    /// Raising it never turns a hold into a tap.
    MoreHolds,
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
    /// What raising it can do to the roles; `None` when it can do both.
    pub monotone: Option<Monotone>,
    /// What it does, in a sentence.
    pub doc: &'static str,
}

impl Param {
    /// The name without its unit, as labels and sentences say it: `cutoff`, `hold`, `share`, `floor`, `bare hold`.
    pub fn word(&self) -> &'static str {
        match self.name {
            "dwell_floor_ms" => "floor",
            "bare_hold_ms" => "bare hold",
            name => ["_ms", "_nats"].iter().find_map(|unit| name.strip_suffix(unit)).unwrap_or(name),
        }
    }

    /// What is done to come from one value to another, in words: `raise the cutoff from 200 to 240 ms`; `None` is a guard
    /// that is not set.
    ///
    /// # Undefined
    /// `None` where nothing is done.
    pub fn turned(&self, before: Option<f64>, after: Option<f64>) -> Option<String> {
        let unit = match self.unit {
            "ms" | "byte" => format!(" {}", self.unit),
            "nat" => " nats".to_owned(),
            _ => String::new(),
        };
        let word = self.word();
        match (before, after) {
            (Some(a), Some(b)) if b > a => Some(format!("raise the {word} from {a} to {b}{unit}")),
            (Some(a), Some(b)) if b < a => Some(format!("lower the {word} from {a} to {b}{unit}")),
            (None, Some(b)) => Some(format!("add a {word} of {b}{unit}")),
            (Some(a), None) => Some(format!("take the {word} of {a}{unit} away")),
            _ => None,
        }
    }

    /// How many of the whole numbers a threshold is kept in make one unit: times are kept in µs, evidence in
    /// 1/256 nat, shares in millionths.
    pub fn steps_per_unit(&self) -> f64 {
        match self.unit {
            "ms" => 1e3,
            "nat" => UNITS_PER_NAT,
            "byte" => 1.0,
            _ => 1e6,
        }
    }

    /// A threshold as it is kept: the nearest whole number of steps.
    pub fn to_steps(&self, value: f64) -> i64 {
        libm::round(value * self.steps_per_unit()) as i64
    }

    /// The threshold that is kept as this many steps.
    pub fn from_steps(&self, steps: i64) -> f64 {
        steps as f64 / self.steps_per_unit()
    }

    /// The nearest threshold that a person would write down: whole milliseconds, quarters of a nat, hundredths of a share,
    /// tenths of all else. What is advised is one of these, and was judged as one.
    ///
    /// # Source
    /// Our choice: fine enough that no step between two of them shows in a study of a few thousand typists.
    pub fn written(&self, value: f64) -> f64 {
        let per_unit = match self.unit {
            "ms" | "byte" => 1.0,
            "nat" => 4.0,
            _ if self.max <= 1.0 => 100.0,
            _ => 10.0,
        };
        let near = libm::round(value * per_unit) / per_unit;
        self.from_steps(self.to_steps(near.clamp(self.min, self.max)))
    }

    /// Whether `value` may be used.
    pub fn accepts(&self, value: f64) -> bool {
        value >= self.min && value <= self.max
    }
}

/// How a rule is built: from accepted values, one per parameter, and from tables if it learns.
pub type Build = fn(&[f64], Option<&Arc<EvidenceTables>>) -> Result<Box<dyn Policy>, SettingError>;

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
    /// What it needs of a microcontroller.
    pub cost: RuleCost,
    /// Whether it decides from tables that have to be trained first.
    pub needs_training: bool,
    /// What it asks of those who hold.
    pub asks: Asks,
    /// What it sees of the keys beside their times.
    pub sight: Sight,
    /// Builds the rule.
    pub build: Build,
}

impl RuleEntry {
    /// Where in [`RuleEntry::params`] the parameter of that name stands.
    pub fn position(&self, name: &str) -> Option<usize> {
        self.params.iter().position(|param| param.name == name)
    }

    /// One value per parameter: those given, and defaults for the others.
    ///
    /// # Errors
    /// An unknown name or a value out of range.
    pub fn values(&self, given: &[(&str, f64)]) -> Result<Vec<f64>, SettingError> {
        let mut values: Vec<f64> = self.params.iter().map(|param| param.default).collect();
        for (name, value) in given {
            let at = self
                .position(name)
                .ok_or_else(|| SettingError::UnknownValue { rule: self.name, name: (*name).to_owned() })?;
            let Param { name, min, max, .. } = self.params[at];
            if !self.params[at].accepts(*value) {
                return Err(SettingError::OutOfRange { name, value: *value, min, max });
            }
            values[at] = *value;
        }
        Ok(values)
    }
}

/// Every rule, in the order shown to people.
pub const RULES: &[RuleEntry] = &[
    rules::dwell_cutoff::ENTRY,
    rules::first_contact::ENTRY,
    rules::enclosed::ENTRY,
    rules::overlap_share::ENTRY,
    rules::overlap_span::ENTRY,
    rules::evidence::ENTRY,
    rules::sequential_evidence::ENTRY,
    rules::key_evidence::ENTRY,
    rules::sequential_key_evidence::ENTRY,
];

/// The rule of that name.
pub fn rule(name: &str) -> Option<&'static RuleEntry> {
    RULES.iter().find(|entry| entry.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_written_threshold_is_one_that_a_person_can_write_down() {
        let written = |of: &str, at: usize, value: f64| rule(of).unwrap().params[at].written(value);
        assert_eq!(written("evidence", 0, 1.121_093_75), 1.0);
        assert_eq!(written("evidence", 0, -0.4), -0.5);
        assert_eq!(written("dwell-cutoff", 0, 187.4), 187.0);
        assert_eq!(written("overlap-share", 0, 0.826), 0.83);
        for entry in RULES {
            for param in entry.params {
                for value in [param.min, param.default, param.max] {
                    assert!(param.accepts(param.written(value)), "{} {value}", param.name);
                }
                assert_eq!(param.written(param.default), param.default, "{}", param.name);
            }
        }
    }
}

//! A rule with its values and guards: one column of a comparison.

use std::sync::Arc;

use agogic_keys::Span;

use crate::registry::{Policy, RuleEntry, rule};
use crate::{Decision, Encounter, EvidenceTables, Guards};

/// Why a setting was refused. The texts continue "failed to set up a policy: …".
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SettingError {
    /// No rule of that name.
    #[error("there is no rule `{0}`; `agogic policies` lists them")]
    UnknownRule(String),
    /// The rule has no such parameter.
    #[error("the rule {rule} has no value `{name}`")]
    UnknownValue {
        /// The rule.
        rule: &'static str,
        /// The name given.
        name: String,
    },
    /// The value lies outside its range.
    #[error("{name} must lie between {min} and {max}, not {value}")]
    OutOfRange {
        /// The parameter.
        name: &'static str,
        /// The value given.
        value: f64,
        /// Smallest accepted.
        min: f64,
        /// Largest accepted.
        max: f64,
    },
    /// The rule learns, and no tables were given.
    #[error("the rule {rule} decides from tables that are learned; train it on a population first")]
    Untrained {
        /// The rule.
        rule: &'static str,
    },
}

/// A rule with values for its parameters, and guards around it.
#[derive(Debug)]
pub struct Setting {
    entry: &'static RuleEntry,
    values: Vec<f64>,
    policy: Box<dyn Policy>,
    guards: Guards,
}

impl Setting {
    /// The rule `name` with the given values; the others take their defaults.
    ///
    /// # Errors
    /// An unknown rule or value name, a value out of range, or a rule that has to be trained first.
    pub fn rule(name: &str, values: &[(&str, f64)]) -> Result<Self, SettingError> {
        Self::build(name, values, None)
    }

    /// The rule `name` with the given values, deciding from `tables` if it is one that learns.
    ///
    /// # Errors
    /// An unknown rule or value name, or a value out of range.
    pub fn trained(name: &str, values: &[(&str, f64)], tables: &Arc<EvidenceTables>) -> Result<Self, SettingError> {
        Self::build(name, values, Some(tables))
    }

    fn build(name: &str, values: &[(&str, f64)], tables: Option<&Arc<EvidenceTables>>) -> Result<Self, SettingError> {
        let entry = rule(name).ok_or_else(|| SettingError::UnknownRule(name.to_owned()))?;
        let values = entry.values(values)?;
        let policy = (entry.build)(&values, tables)?;
        Ok(Self { entry, values, policy, guards: Guards::default() })
    }

    /// The same setting with guards.
    pub fn with_guards(mut self, guards: Guards) -> Self {
        self.guards = guards;
        self
    }

    /// Decides one encounter.
    #[inline]
    pub fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        self.guards.around(encounter, |seen| self.policy.decide(seen))
    }

    /// The value of a threshold at which the decision flips, the rest of the setting unchanged.
    ///
    /// `name` is the one threshold of the rule, or a guard with a number, whether that guard is set or not.
    /// Sorting these values over many encounters gives the role of each at every threshold in one pass.
    ///
    /// # Definition
    /// The press is a hold exactly when threshold ≤ value.
    ///
    /// # Units
    /// Those of the threshold. Thresholds are taken as kept: times in whole µs, shares in millionths,
    /// evidence in 1/256 nat.
    ///
    /// # Undefined
    /// `None` when the rule has no such threshold or more than one; −∞ for a tap and ∞ for a hold at every
    /// threshold.
    pub fn critical_value(&self, name: &str, encounter: &Encounter<'_>) -> Option<f64> {
        match self.entry.params {
            [only] if only.name == name => self.critical_value_of_rule(encounter),
            _ => self.critical_value_of_guard(name, encounter),
        }
    }

    fn critical_value_of_rule(&self, encounter: &Encounter<'_>) -> Option<f64> {
        let guards = &self.guards;
        let seen = if guards.other_hand { &encounter.other_hand_only() } else { encounter };
        let mut value = self.policy.critical_value(seen)?;
        if let Some(late) = guards.bare_hold
            && encounter.dwell >= late
        {
            value = value.max(self.policy.undecided_value(seen, late));
        }
        let barred = guards.taps_at_once(encounter) || guards.dwell_floor.is_some_and(|floor| encounter.dwell < floor);
        Some(if barred { f64::NEG_INFINITY } else { value })
    }

    fn critical_value_of_guard(&self, name: &str, encounter: &Encounter<'_>) -> Option<f64> {
        let without = |guards: Guards| guards.around(encounter, |seen| self.policy.decide(seen));
        let time = |span: Option<Span>| span.map_or(f64::INFINITY, Span::ms);
        let (decision, value) = match name {
            "retap_ms" => (without(Guards { retap: None, ..self.guards }), time(encounter.since_same_key)),
            "lull_ms" => (without(Guards { lull: None, ..self.guards }), time(encounter.lull)),
            "dwell_floor_ms" => (without(Guards { dwell_floor: None, ..self.guards }), encounter.dwell.ms()),
            "bare_hold_ms" => {
                let decision = without(Guards { bare_hold: None, ..self.guards });
                if decision.is_hold() {
                    return Some(f64::INFINITY);
                }
                if self.guards.taps_at_once(encounter)
                    || self.guards.dwell_floor.is_some_and(|floor| encounter.dwell < floor)
                {
                    return Some(f64::NEG_INFINITY);
                }
                // The guard must come before the decision and no later than the own release.
                let Some(before) = decision.after.0.checked_sub(1) else { return Some(f64::NEG_INFINITY) };
                return Some(Span(before).min(encounter.dwell).ms());
            }
            _ => return None,
        };
        Some(if decision.is_hold() { value } else { f64::NEG_INFINITY })
    }

    /// The rule.
    pub fn entry(&self) -> &'static RuleEntry {
        self.entry
    }

    /// The values, one per parameter of the rule.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// The guards.
    pub fn guards(&self) -> &Guards {
        &self.guards
    }

    /// A label that says all there is to the setting, such as `overlap-share 0.8, lull 120`.
    pub fn label(&self) -> String {
        let mut label = self.entry.name.to_owned();
        for value in &self.values {
            label.push_str(&format!(" {value}"));
        }
        let ms = |name: &str, span: Option<Span>| span.map(|s| format!(", {name} {}", s.ms())).unwrap_or_default();
        label.push_str(&ms("retap", self.guards.retap));
        label.push_str(&ms("lull", self.guards.lull));
        label.push_str(&ms("floor", self.guards.dwell_floor));
        if self.guards.other_hand {
            label.push_str(", other hand");
        }
        label.push_str(&ms("bare hold", self.guards.bare_hold));
        label
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_tell_all() {
        let guards = Guards {
            retap: Some(Span::from_ms(90.0)),
            lull: Some(Span::from_ms(120.0)),
            other_hand: true,
            ..Guards::default()
        };
        let setting = Setting::rule("overlap-share", &[("share", 0.75)]).unwrap().with_guards(guards);
        assert_eq!(setting.label(), "overlap-share 0.75, retap 90, lull 120, other hand");
    }

    #[test]
    fn a_rule_that_learns_asks_for_tables() {
        for entry in crate::RULES {
            let refused = Setting::rule(entry.name, &[]).err();
            let expected = entry.needs_training.then_some(SettingError::Untrained { rule: entry.name });
            assert_eq!(refused, expected);
        }
        // What is wrong with the values is said first.
        let refused = Setting::rule("evidence", &[("threshold_nats", 99.0)]);
        assert!(matches!(refused, Err(SettingError::OutOfRange { .. })));
    }

    #[test]
    fn wrong_names_and_values_are_refused() {
        assert!(matches!(Setting::rule("guesswork", &[]), Err(SettingError::UnknownRule(_))));
        assert!(matches!(Setting::rule("enclosed", &[("share", 1.0)]), Err(SettingError::UnknownValue { .. })));
        for bad in [-1.0, 0.0, f64::NAN, f64::INFINITY] {
            let refused = Setting::rule("dwell-cutoff", &[("cutoff_ms", bad)]);
            assert!(matches!(refused, Err(SettingError::OutOfRange { .. })), "{bad}");
        }
    }
}

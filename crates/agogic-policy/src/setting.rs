//! A rule with its values and guards: one column of a comparison.

use agogic_keys::Span;

use crate::registry::{Policy, RuleEntry, rule};
use crate::{Decision, Encounter, Guards};

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
    /// A rule by name with some of its values; the others take their defaults.
    ///
    /// # Errors
    /// An unknown rule or value name, or a value out of range.
    pub fn rule(name: &str, values: &[(&str, f64)]) -> Result<Self, SettingError> {
        let entry = rule(name).ok_or_else(|| SettingError::UnknownRule(name.to_owned()))?;
        let mut chosen: Vec<f64> = entry.params.iter().map(|param| param.default).collect();
        for (name, value) in values {
            let at = entry
                .params
                .iter()
                .position(|param| param.name == *name)
                .ok_or_else(|| SettingError::UnknownValue { rule: entry.name, name: (*name).to_owned() })?;
            let param = &entry.params[at];
            if !param.accepts(*value) {
                let (min, max) = (param.min, param.max);
                return Err(SettingError::OutOfRange { name: param.name, value: *value, min, max });
            }
            chosen[at] = *value;
        }
        let policy = (entry.build)(&chosen);
        Ok(Self { entry, values: chosen, policy, guards: Guards::default() })
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
        let guards = Guards { lull: Some(Span::from_ms(120.0)), other_hand: true, dwell_floor: None, bare_hold: None };
        let setting = Setting::rule("overlap-share", &[("share", 0.75)]).unwrap().with_guards(guards);
        assert_eq!(setting.label(), "overlap-share 0.75, lull 120, other hand");
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

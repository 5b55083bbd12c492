//! What is compared: rules with values and guards, some of them to be trained or fitted first.

use std::sync::Arc;

use agogic_policy::{ErrorCosts, EvidenceTables, Guards, Personal, PersonalError, RuleEntry, Setting, SettingError};

/// A rule with its values and guards. One that learns has no tables yet: these are made by the engine.
#[derive(Clone, Debug)]
pub struct RulePlan {
    /// The rule.
    pub entry: RuleEntry,
    /// A setting that is given whole, of a rule of one's own.
    pub own: Option<Setting>,
    /// Values that are stated, by name; the others take their defaults.
    pub values: Vec<(String, f64)>,
    /// The guards around it.
    pub guards: Guards,
}

impl RulePlan {
    /// A setting as it is: of a rule of the registry or of one's own.
    pub fn of(setting: Setting) -> Self {
        Self { entry: *setting.entry(), values: Vec::new(), guards: *setting.guards(), own: Some(setting) }
    }

    /// The setting, deciding from `tables` if the rule is one that learns.
    ///
    /// # Errors
    /// A value that the rule does not take, or a rule that learns without tables.
    pub fn setting(&self, tables: Option<&Arc<EvidenceTables>>) -> Result<Setting, SettingError> {
        let given: Vec<(&str, f64)> = self.values.iter().map(|(name, value)| (name.as_str(), *value)).collect();
        if let Some(own) = &self.own {
            return Ok(own.clone());
        }
        let tables = tables.filter(|_| self.entry.needs_training);
        Ok(Setting::of_entry(&self.entry, &given, tables)?.with_guards(self.guards))
    }

    /// The setting as far as it is known before any training: labels, values and guards are right, and a rule that
    /// learns decides from tables of zeros. Nobody is to be judged by it.
    ///
    /// # Errors
    /// As [`setting`](Self::setting).
    pub fn blank(&self) -> Result<Setting, SettingError> {
        let tables = self.entry.needs_training.then(|| Arc::new(EvidenceTables::blank()));
        self.setting(tables.as_ref())
    }

    /// Whether `values` or `guards` states this number.
    pub fn states(&self, name: &str) -> bool {
        let Guards { lull, retap, dwell_floor, bare_hold, other_hand: _ } = self.guards;
        let guards =
            [("lull_ms", lull), ("retap_ms", retap), ("dwell_floor_ms", dwell_floor), ("bare_hold_ms", bare_hold)];
        self.values.iter().any(|(known, _)| known == name)
            || guards.iter().any(|(known, span)| *known == name && span.is_some())
    }
}

/// Which values of a setting are fitted to each typist, and on what.
#[derive(Clone, Debug)]
pub struct PersonalPlan {
    /// Name of the value.
    pub fits: String,
    /// A guard that is fitted with it, and the values to choose from.
    pub guard: Option<(String, Vec<f64>)>,
    /// What the errors cost.
    pub costs: ErrorCosts,
    /// Dual-role presses of the initial sample.
    pub first_presses: usize,
    /// Weight of the population in presses; learned from training typists if absent.
    pub prior_presses: Option<f64>,
}

impl PersonalPlan {
    /// What is fitted around `base`, with a weight of the population in presses.
    ///
    /// # Errors
    /// The setting has no such threshold, or the two values cannot be fitted together.
    pub fn personal(&self, base: Setting, prior_presses: f64) -> Result<Personal, PersonalError> {
        let personal = Personal::new(base, &self.fits, self.costs, prior_presses)?;
        match &self.guard {
            None => Ok(personal),
            Some((guard, values)) => personal.with_guard(guard, values),
        }
    }
}

/// Tables of keys that are made each typist's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OwnTablesPlan {
    /// Dual-role presses of the initial sample.
    pub first_presses: usize,
}

impl OwnTablesPlan {
    /// What a spec says of it: `fits = "tables"`.
    pub const NAME: &'static str = "tables";

    /// Name of the rule whose tables they are.
    pub const RULE: &'static str = "key-evidence";

    /// The label of such a policy around a setting.
    pub fn label(base: &Setting) -> String {
        format!("personal {} of {}", Self::NAME, base.label())
    }
}

/// A policy of a study.
#[derive(Clone, Debug)]
pub struct PolicyPlan {
    /// The rule.
    pub rule: RulePlan,
    /// Whether and how its tables are made each typist's own.
    pub own_tables: Option<OwnTablesPlan>,
    /// Values that are fitted to each typist; `None` where one setting is for everybody.
    pub personal: Option<PersonalPlan>,
}

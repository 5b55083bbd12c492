//! A rule with its values and guards: one column of a comparison.

use std::sync::Arc;

use agogic_keys::Span;

use crate::registry::{Param, Policy, RuleEntry, rule};
use crate::setting_error::SettingError;
use crate::{Asks, Decision, Encounter, Encounters, EvidenceTables, GUARDS, Guards, RuleCost, Sight, Term};

/// A rule with values for its parameters, and guards around it.
///
/// A rule of the registry comes by its name from [`Setting::rule`] or [`Setting::trained`]. One of your own comes as a value
/// from [`Setting::own`], or with a [`RuleEntry`], and so with numbers that can be set and swept, from
/// [`Setting::of_entry`]. All are used alike; [`conformance`](crate::conformance) says whether it keeps what a rule must.
#[derive(Clone, Debug)]
pub struct Setting {
    entry: Arc<RuleEntry>,
    values: Vec<f64>,
    tables: Option<Arc<EvidenceTables>>,
    pub(crate) policy: Arc<dyn Policy>,
    guards: Guards,
}

impl Setting {
    /// The rule `name` with the given values; the others take their defaults.
    ///
    /// # Errors
    /// An unknown rule or value name, a value out of range, or a rule that has to be trained first.
    pub fn rule(name: &str, values: &[(&str, f64)]) -> Result<Self, SettingError> {
        Self::of_entry(named(name)?, values, None)
    }

    /// The rule `name` with the given values, deciding from `tables` if it is one that learns.
    ///
    /// # Errors
    /// An unknown rule or value name, or a value out of range.
    pub fn trained(name: &str, values: &[(&str, f64)], tables: &Arc<EvidenceTables>) -> Result<Self, SettingError> {
        Self::of_entry(named(name)?, values, Some(tables))
    }

    /// The rule of an entry, of the registry or your own, with the given values; the others take their defaults.
    ///
    /// # Errors
    /// An unknown value name, a value out of range, or a rule that learns and was given no tables.
    pub fn of_entry(
        entry: &RuleEntry,
        values: &[(&str, f64)],
        tables: Option<&Arc<EvidenceTables>>,
    ) -> Result<Self, SettingError> {
        let values = entry.values(values)?;
        let policy = (entry.build)(&values, tables)?.into();
        Ok(Self { entry: Arc::new(*entry), values, tables: tables.cloned(), policy, guards: Guards::default() })
    }

    /// A rule of your own, as a value: it has a name and a sight, and no numbers that can be set.
    ///
    /// ```
    /// use agogic_policy::{Decision, Encounter, Policy, Setting, Sight};
    ///
    /// /// A hold as soon as two other keys went down.
    /// #[derive(Debug)]
    /// struct TwoKeys;
    ///
    /// impl Policy for TwoKeys {
    ///     fn decide(&self, encounter: &Encounter<'_>) -> Decision {
    ///         match encounter.contacts().nth(1) {
    ///             Some(second) => Decision::hold(agogic_keys::Span(second.down as u64)),
    ///             None => Decision::tap(encounter.dwell),
    ///         }
    ///     }
    /// }
    ///
    /// let setting = Setting::own("two-keys", Sight::Timing, TwoKeys);
    /// assert_eq!(setting.label(), "two-keys");
    /// agogic_policy::conformance::check(&setting, 1000)?;
    /// # Ok::<(), agogic_policy::conformance::Breach>(())
    /// ```
    pub fn own(name: &'static str, sight: Sight, policy: impl Policy + 'static) -> Self {
        let entry = Arc::new(RuleEntry {
            name,
            summary: "a rule of your own",
            bare_hold: "not told",
            source: "your own",
            params: &[],
            cost: RuleCost::NONE,
            needs_training: false,
            asks: Asks::BOTH,
            sight,
            build: |_, _| Err(SettingError::GivenWhole("of your own")),
        });
        Self { entry, values: Vec::new(), tables: None, policy: Arc::new(policy), guards: Guards::default() }
    }

    /// The same setting with guards.
    pub fn with_guards(mut self, guards: Guards) -> Self {
        self.guards = guards;
        self
    }

    /// The same setting with another value of one of its thresholds: a value of the rule, or a guard with a
    /// number, which is thereby set.
    ///
    /// # Errors
    /// No such threshold, or a value out of its range.
    pub fn with_value(&self, name: &str, value: f64) -> Result<Self, SettingError> {
        let param = self.threshold(name)?;
        if let Some(at) = self.entry.position(name) {
            let mut values: Vec<(&str, f64)> =
                self.entry.params.iter().zip(&self.values).map(|(param, value)| (param.name, *value)).collect();
            values[at].1 = value;
            return Ok(Self::of_entry(&self.entry, &values, self.tables.as_ref())?.with_guards(self.guards));
        }
        let Param { name, min, max, .. } = param;
        if !param.accepts(value) {
            return Err(SettingError::OutOfRange { name, value, min, max });
        }
        let mut setting = self.clone();
        *setting.guards.slot(name).expect("the registry names the guards") = Some(Span::from_ms(value));
        Ok(setting)
    }

    /// The same setting without a guard that has a number; as it is where there is no such guard.
    pub fn without_guard(&self, name: &str) -> Self {
        let mut setting = self.clone();
        if let Some(slot) = setting.guards.slot(name) {
            *slot = None;
        }
        setting
    }

    /// The threshold of that name: a value of the rule, or a guard with a number.
    ///
    /// # Errors
    /// There is none.
    pub fn threshold(&self, name: &str) -> Result<Param, SettingError> {
        let guard = || GUARDS.iter().filter_map(|guard| guard.param).find(|param| param.name == name);
        let own = self.entry.position(name).map(|at| self.entry.params[at]);
        own.or_else(guard).ok_or_else(|| SettingError::UnknownValue { rule: self.entry.name, name: name.to_owned() })
    }

    /// The value a threshold has; `None` for a guard that is not set.
    ///
    /// # Errors
    /// There is no such threshold.
    pub fn value(&self, name: &str) -> Result<Option<f64>, SettingError> {
        let param = self.threshold(name)?;
        Ok(match self.entry.position(name) {
            Some(at) => Some(self.values[at]),
            None => self.guards.clone().slot(param.name).and_then(|slot| *slot).map(Span::ms),
        })
    }

    /// Decides one encounter.
    #[inline]
    pub fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        self.guards.around(encounter, |seen| self.policy.decide(seen))
    }

    /// The tables it decides from; `None` for a rule that does not learn.
    pub fn tables(&self) -> Option<&Arc<EvidenceTables>> {
        self.tables.as_ref()
    }

    /// The addends of the rule's decision of an encounter, guards left out, and the threshold of their sum; see
    /// [`Policy::terms`].
    pub fn terms(&self, encounter: &Encounter<'_>) -> Option<(Vec<Term>, i32)> {
        let seen = if self.guards.other_hand { &encounter.other_hand_only() } else { encounter };
        self.policy.terms(seen)
    }

    /// Decides every encounter of a session; the decisions replace what `decisions` held.
    pub fn decide_all(&self, encounters: &Encounters, decisions: &mut Vec<Decision>) {
        decisions.clear();
        self.policy.decide_all(encounters, &self.guards, decisions);
    }

    /// The value of a threshold at which the decision flips, the rest of the setting unchanged.
    ///
    /// `name` is a threshold of the rule, or a guard with a number, whether that guard is set or not. Sorting these values over many encounters gives the role of each at every threshold in one pass.
    ///
    /// # Definition
    /// The press is a hold exactly when threshold ≤ value.
    ///
    /// # Units
    /// Those of the threshold. Thresholds are taken as kept: times in whole µs, shares in millionths,
    /// evidence in 1/256 nat.
    ///
    /// # Undefined
    /// `None` when the setting has no such threshold, or one whose raising makes more holds; −∞ for a tap and
    /// ∞ for a hold at every threshold.
    pub fn critical_value(&self, name: &str, encounter: &Encounter<'_>) -> Option<f64> {
        match self.entry.position(name) {
            Some(param) => self.critical_value_of_rule(param, &self.guards, encounter),
            None => self.critical_value_of_guard(name, encounter),
        }
    }

    fn critical_value_of_rule(&self, param: usize, guards: &Guards, encounter: &Encounter<'_>) -> Option<f64> {
        let seen = if guards.other_hand { &encounter.other_hand_only() } else { encounter };
        let mut value = self.policy.critical_value(param, seen)?;
        if let Some(late) = guards.bare_hold
            && encounter.dwell >= late
        {
            value = value.max(self.policy.undecided_value(param, seen, late));
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

    /// For a threshold of the rule and a guard that bars a hold by a time known beforehand: the two values
    /// that give the role at every pair of thresholds. The press is a hold exactly when threshold ≤ first and
    /// guard ≤ second.
    ///
    /// # Undefined
    /// `None` unless `name` has a critical value and `guard` is `retap_ms`, `lull_ms` or `dwell_floor_ms`.
    pub fn critical_pair(&self, name: &str, guard: &str, encounter: &Encounter<'_>) -> Option<(f64, f64)> {
        let mut others = self.guards;
        let time = match guard {
            "retap_ms" => encounter.since_same_key,
            "lull_ms" => encounter.lull,
            "dwell_floor_ms" => Some(encounter.dwell),
            _ => return None,
        };
        *others.slot(guard)? = None;
        let value = self.critical_value_of_rule(self.entry.position(name)?, &others, encounter)?;
        Some((value, time.map_or(f64::INFINITY, Span::ms)))
    }

    /// The rule.
    pub fn entry(&self) -> &RuleEntry {
        &self.entry
    }

    /// The values, one per parameter of the rule.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// The guards.
    pub fn guards(&self) -> &Guards {
        &self.guards
    }

    /// A label that says all there is to the setting, such as `overlap-share 0.8, lull 120`. Where a rule has several values
    /// each has its word: `sequential-evidence hold 3.5, tap 4, end 2`. A lull, retap or floor of 0 bars nothing and is not said.
    pub fn label(&self) -> String {
        let mut label = self.entry.name.to_owned();
        let spelled = self.values.len() > 1;
        for (at, (param, value)) in self.entry.params.iter().zip(&self.values).enumerate() {
            let comma = if at > 0 { "," } else { "" };
            let word = if spelled { format!("{} ", param.word()) } else { String::new() };
            label.push_str(&format!("{comma} {word}{value}"));
        }
        let ms = |name: &str, span: Option<Span>| span.map(|s| format!(", {name} {}", s.ms())).unwrap_or_default();
        let barring = |name: &str, span: Option<Span>| ms(name, span.filter(|span| *span > Span(0)));
        label.push_str(&barring("retap", self.guards.retap));
        label.push_str(&barring("lull", self.guards.lull));
        label.push_str(&barring("floor", self.guards.dwell_floor));
        if self.guards.other_hand {
            label.push_str(", other hand");
        }
        label.push_str(&ms("bare hold", self.guards.bare_hold));
        label
    }
}

/// The rule of that name.
fn named(name: &str) -> Result<&'static RuleEntry, SettingError> {
    rule(name).ok_or_else(|| SettingError::UnknownRule(name.to_owned()))
}

impl AsRef<Self> for Setting {
    fn as_ref(&self) -> &Self {
        self
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
        let tables = Arc::new(tables());
        let setting = Setting::trained("sequential-evidence", &[("tap_nats", 4.0)], &tables).unwrap();
        assert_eq!(setting.label(), "sequential-evidence hold 3, tap 4, end 2");
        // What bars nothing is not said; a bare hold of 0 makes holds.
        let zero = Guards {
            retap: Some(Span(0)),
            lull: Some(Span(0)),
            dwell_floor: Some(Span(0)),
            bare_hold: Some(Span(0)),
            ..Guards::default()
        };
        assert_eq!(Setting::rule("enclosed", &[]).unwrap().with_guards(zero).label(), "enclosed, bare hold 0");
    }

    fn tables() -> EvidenceTables {
        let code = "KeyF".parse().unwrap();
        let press = || Encounter::new(code, agogic_keys::Hand::Left, agogic_keys::Instant(0), Span(9));
        EvidenceTables::train([(press(), true), (press(), false)]).unwrap()
    }

    #[test]
    fn a_rule_of_ones_own_has_guards_and_no_values() {
        let own = Setting::own("own", Sight::Timing, crate::Enclosed);
        assert_eq!(own.with_value("lull_ms", 150.0).unwrap().label(), "own, lull 150");
        assert_eq!(own.value("lull_ms"), Ok(None));
        assert!(matches!(own.with_value("cutoff_ms", 1.0), Err(SettingError::UnknownValue { rule: "own", .. })));
        assert!(matches!(Setting::of_entry(own.entry(), &[], None), Err(SettingError::GivenWhole(_))));
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

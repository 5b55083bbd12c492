//! The tables `[[policy]]`: what is compared.

use std::sync::Arc;

use agogic_keys::Span;
use agogic_policy::{EvidenceTables, GUARDS, Guards, Personal, RULES, RuleEntry, Setting, rule};

use crate::reader::{Found, Log, Section, nearest};

use super::personal;

/// A policy as it stands in the spec: checked, but not built, since some rules have to be trained first.
pub(super) struct Draft {
    label: Option<Found<String>>,
    /// Label of the policy it is compared with; the reference if absent.
    pub versus: Option<Found<String>>,
    line: usize,
    pub rule: RuleDraft,
    /// Values fitted to each typist.
    pub personal: Option<personal::Draft>,
}

/// A rule with its values and guards, checked one by one.
pub(super) struct RuleDraft {
    pub entry: &'static RuleEntry,
    values: Vec<(String, f64)>,
    guards: Guards,
}

pub(super) fn read(root: &Section<'_, '_>) -> Vec<Draft> {
    let sections = root.sections("policy");
    if sections.is_empty() {
        root.missing("policy", "is missing; add at least one [[policy]] with a rule (see `agogic policies`)");
    }
    sections.into_iter().filter_map(read_policy).collect()
}

fn read_policy(section: Section<'_, '_>) -> Option<Draft> {
    let (label, versus) = (section.text("label"), section.text("versus"));
    let rule = read_rule(&section);
    let personal = match section.section("personal") {
        None => None,
        Some(table) => Some(personal::read(table)?),
    };
    let line = section.line();
    section.finish();
    Some(Draft { label, versus, line, rule: rule?, personal })
}

/// The keys `rule`, `values` and `guards` of a section; `None` only where a mistake was logged.
pub(super) fn read_rule(section: &Section<'_, '_>) -> Option<RuleDraft> {
    let log = section.log();
    let name = section.text("rule");
    let values = section.numbers("values");
    let guards = section.section("guards").map_or(Some(Guards::default()), read_guards);
    if name.is_none() {
        section.missing("rule", "is missing; `agogic policies` lists the rules");
    }
    let name = name?;
    let Some(entry) = rule(&name.value) else {
        let names: Vec<&str> = RULES.iter().map(|entry| entry.name).collect();
        let hint = nearest(&name.value, &names).map_or(String::new(), |near| format!("; did you mean `{near}`?"));
        log.at(&name, format!("no rule `{}`{hint} (rules: {})", name.value, names.join(", ")));
        return None;
    };
    let mut sound = true;
    for found in &values {
        // One at a time, so that each mistake gets its own line.
        if let Err(refused) = entry.values(&[(found.value.0.as_str(), found.value.1)]) {
            log.at(found, refused.to_string());
            sound = false;
        }
    }
    let (guards, values) = (guards?, values.into_iter().map(|found| found.value).collect());
    sound.then_some(RuleDraft { entry, values, guards })
}

impl RuleDraft {
    /// Whether `values` or `guards` states this number.
    pub fn states(&self, name: &str) -> bool {
        let Guards { lull, retap, dwell_floor, bare_hold, other_hand: _ } = self.guards;
        let guards =
            [("lull_ms", lull), ("retap_ms", retap), ("dwell_floor_ms", dwell_floor), ("bare_hold_ms", bare_hold)];
        self.values.iter().any(|(known, _)| known == name)
            || guards.iter().any(|(known, span)| *known == name && span.is_some())
    }

    /// The setting, before anything is fitted to a typist; `None` for a rule that learns where no tables are
    /// given.
    pub fn setting(&self, tables: Option<&Arc<EvidenceTables>>) -> Option<Setting> {
        let given: Vec<(&str, f64)> = self.values.iter().map(|(name, value)| (name.as_str(), *value)).collect();
        let built = match (tables, self.entry.needs_training) {
            (Some(tables), true) => Setting::trained(self.entry.name, &given, tables),
            (None, true) => return None,
            (_, false) => Setting::rule(self.entry.name, &given),
        };
        Some(built.expect("each value was accepted").with_guards(self.guards))
    }
}

impl Draft {
    /// What is fitted to each typist, with a stated weight of the population; `None` where a mistake was
    /// logged.
    pub fn personal(&self, log: &Log, draft: &personal::Draft, base: Setting, weight: f64) -> Option<Personal> {
        draft.join(base, weight).map_err(|(found, refused)| log.at(found, refused)).ok()
    }
}

/// The labels of the policies, which have to differ. `own` are those they have by themselves.
pub(super) fn labels(log: &Log, drafts: &[Draft], own: impl Iterator<Item = Option<String>>) -> Vec<String> {
    let mut labels: Vec<String> = Vec::new();
    for (draft, own) in drafts.iter().zip(own) {
        let Some(own) = own else { continue };
        let label = draft.label.as_ref().map_or(own, |found| found.value.clone());
        let place =
            draft.label.clone().unwrap_or(Found { value: String::new(), line: draft.line, key: "policy".into() });
        if label.trim().is_empty() || label.len() > 80 {
            log.at(&place, "must be a label of 1-80 characters");
        } else if labels.contains(&label) {
            log.at(&place, format!("two policies have the label `{label}`; give one another `label`"));
        }
        labels.push(label);
    }
    labels
}

fn read_guards(section: Section<'_, '_>) -> Option<Guards> {
    let log = section.log();
    let mut sound = true;
    let mut span = |name: &'static str| -> Option<Span> {
        let found = section.number(name)?;
        let param = GUARDS.iter().find(|guard| guard.name == name)?.param?;
        if !param.accepts(found.value) {
            log.at(&found, format!("must lie between {} and {} ms, not {}", param.min, param.max, found.value));
            sound = false;
            return None;
        }
        Some(Span::from_ms(found.value))
    };
    let guards = Guards {
        retap: span("retap_ms"),
        lull: span("lull_ms"),
        dwell_floor: span("dwell_floor_ms"),
        bare_hold: span("bare_hold_ms"),
        other_hand: section.flag("other_hand").is_some_and(|found| found.value),
    };
    section.finish();
    sound.then_some(guards)
}

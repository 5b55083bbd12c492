//! The tables `[[policy]]`: what is compared.

use agogic_keys::Span;
use agogic_policy::{GUARDS, Guards, RULES, rule};
use agogic_toml::{Diagnostics, Found, Section, hint};

use crate::plans::{PolicyPlan, RulePlan};

use super::personal;

/// A policy as it stands in the spec, with the places of what may still be refused.
pub(super) struct Draft {
    label: Option<Found<String>>,
    /// Label of the policy it is compared with; the reference if absent.
    pub versus: Option<Found<String>>,
    line: usize,
    pub rule: RulePlan,
    /// Values fitted to each typist.
    pub personal: Option<personal::Draft>,
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
pub(super) fn read_rule(section: &Section<'_, '_>) -> Option<RulePlan> {
    let log = section.diagnostics();
    let name = section.text("rule");
    let values = section.numbers("values");
    let guards = section.section("guards").map_or(Some(Guards::default()), read_guards);
    if name.is_none() {
        section.missing("rule", "is missing; `agogic policies` lists the rules");
    }
    let name = name?;
    let Some(entry) = rule(&name.value).copied() else {
        let names: Vec<&str> = RULES.iter().map(|entry| entry.name).collect();
        let hint = hint(&name.value, &names);
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
    sound.then_some(RulePlan { entry, own: None, values, guards })
}

impl Draft {
    /// The policy without the places where its parts stand.
    pub fn plan(&self) -> PolicyPlan {
        let own_tables = self.personal.as_ref().and_then(personal::Draft::own_tables);
        let personal = self.personal.as_ref().filter(|own| own.own_tables().is_none()).map(personal::Draft::plan);
        PolicyPlan { rule: self.rule.clone(), own_tables, personal }
    }

    /// The label that says all there is to the policy; `None` where a mistake was logged.
    pub fn own_label(&self, log: &Diagnostics) -> Option<String> {
        let base = self.rule.blank().expect("each value was accepted");
        match &self.personal {
            None => Some(base.label()),
            Some(own) if own.own_tables().is_some() => own.label_of_tables(log, &base),
            Some(own) => {
                let joined = own.join(base).map_err(|(found, refused)| log.at(found, refused));
                joined.ok().map(|personal| personal.label())
            }
        }
    }
}

/// The labels of the policies, which have to differ. `own` are those they have by themselves.
pub(super) fn labels(log: &Diagnostics, drafts: &[Draft], own: impl Iterator<Item = Option<String>>) -> Vec<String> {
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
    let log = section.diagnostics();
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

//! The table `personal` of a policy: which values are fitted to each typist.

use agogic_policy::{ErrorCosts, PERSONAL, Personal, Setting};
use agogic_toml::{Diagnostics, Found, Section};

use crate::plans::{OwnTablesPlan, PersonalPlan};

/// The table as it stands: checked, but not yet joined with a setting.
#[derive(Debug)]
pub(super) struct Draft {
    fits: Found<String>,
    guard: Option<(Found<String>, Vec<f64>)>,
    costs: ErrorCosts,
    first_presses: usize,
    prior_presses: Option<f64>,
}

/// `None` only where a mistake was logged.
pub(super) fn read(section: Section<'_, '_>) -> Option<Draft> {
    let log = section.diagnostics();
    let mut sound = true;
    let mut number = |name: &'static str| -> Option<f64> {
        let param = PERSONAL.params.iter().find(|param| param.name == name)?;
        let found = section.number(name)?;
        if param.accepts(found.value) {
            return Some(found.value);
        }
        log.at(&found, format!("must lie between {} and {}, not {}", param.min, param.max, found.value));
        sound = false;
        None
    };
    let default = |name: &str| PERSONAL.params.iter().find(|p| p.name == name).map_or(1.0, |p| p.default);
    let first = number("first_presses").unwrap_or_else(|| default("first_presses"));
    let prior_presses = number("prior_presses");
    let false_hold = number("false_hold_cost").unwrap_or_else(|| default("false_hold_cost"));
    let missed_hold = number("missed_hold_cost").unwrap_or_else(|| default("missed_hold_cost"));
    let fits = section.text("fits");
    if fits.is_none() {
        section.missing("fits", "is missing; name the value to fit, such as fits = \"cutoff_ms\"");
    }
    let (guard, values) = (section.text("guard"), section.number_list("guard_values"));
    let guard = match (guard, values) {
        (None, None) => None,
        (Some(guard), Some(values)) => Some((guard, values.value)),
        (Some(guard), None) => {
            log.at(&guard, "needs `guard_values`, the values of the guard to choose from, such as [0, 100, 150]");
            sound = false;
            None
        }
        (None, Some(values)) => {
            log.at(&values, "needs `guard`, the name of the guard that takes these values");
            sound = false;
            None
        }
    };
    let costs =
        ErrorCosts::new(false_hold, missed_hold).map_err(|refused| section.missing("", refused.to_string())).ok();
    section.finish();
    sound.then_some(Draft { fits: fits?, guard, costs: costs?, first_presses: first as usize, prior_presses })
}

impl Draft {
    /// The table where it asks for tables of each typist's own.
    pub fn own_tables(&self) -> Option<OwnTablesPlan> {
        (self.fits.value == OwnTablesPlan::NAME).then_some(OwnTablesPlan { first_presses: self.first_presses })
    }

    /// The label of such a policy; `None` where a mistake was logged.
    pub fn label_of_tables(&self, log: &Diagnostics, base: &Setting) -> Option<String> {
        let at = |message: String| log.at(&self.fits, message);
        if base.entry().name != OwnTablesPlan::RULE {
            at(format!("is for the rule {}, whose tables tell keys", OwnTablesPlan::RULE));
            return None;
        }
        if self.guard.is_some() || self.prior_presses.is_some() {
            at("stands beside `guard` or `prior_presses`; tables are drawn to everybody's by a prior of their own"
                .into());
            return None;
        }
        Some(OwnTablesPlan::label(base))
    }

    /// The table without the places where its parts stand.
    pub fn plan(&self) -> PersonalPlan {
        PersonalPlan {
            fits: self.fits.value.clone(),
            guard: self.guard.as_ref().map(|(guard, values)| (guard.value.clone(), values.clone())),
            costs: self.costs,
            first_presses: self.first_presses,
            prior_presses: self.prior_presses,
        }
    }

    /// Joins the table with the setting it belongs to; the place and text of the mistake otherwise.
    pub fn join(&self, base: Setting) -> Result<Personal, (&Found<String>, String)> {
        let weight = self.prior_presses.unwrap_or_default();
        let personal = Personal::new(base, &self.fits.value, self.costs, weight)
            .map_err(|refused| (&self.fits, refused.to_string()))?;
        match &self.guard {
            None => Ok(personal),
            Some((guard, values)) => {
                personal.with_guard(&guard.value, values).map_err(|refused| (guard, refused.to_string()))
            }
        }
    }
}

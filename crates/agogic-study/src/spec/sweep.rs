//! The tables `[[sweep]]` and `[front]`: over which values a rule is swept, and what the front is held against.

use agogic_policy::{CurveError, GRID_MOST, GUARDS, GridCurve, Param, RuleEntry};
use agogic_toml::{Diagnostics, Found, Section, hint};

use super::policies;
use crate::plans::{Axis, FrontPlan, GOALS, RulePlan, SweepDesign, SweepPlan};

/// Points of a sweep times typists, at most: counts of each are kept until the end.
const MOST_COUNTS: u64 = 5_000_000;

/// A sweep as it stands in the spec, its rule not built yet.
pub(super) struct Draft {
    label: Option<Found<String>>,
    place: Found<()>,
    pub rule: RulePlan,
    axes: Vec<Axis>,
    design: Option<Found<SweepDesign>>,
    points: Option<Found<u64>>,
}

pub(super) fn read(root: &Section<'_, '_>) -> Vec<Draft> {
    root.sections("sweep").into_iter().filter_map(read_one).collect()
}

fn read_one(section: Section<'_, '_>) -> Option<Draft> {
    let log = section.diagnostics();
    let label = section.text("label");
    let rule = policies::read_rule(&section);
    let axes = rule.as_ref().and_then(|rule| read_axes(&section, rule, true));
    if rule.is_none() {
        // Asked for, so that it does not count as an unknown key as well.
        section.named_sections("over");
    }
    let mut sound = true;
    let design = section.text("design").and_then(|found| {
        let design = SweepDesign::by_name(&found.value);
        if design.is_none() {
            let names = SweepDesign::NAMES.map(|(name, _)| name).join(", ");
            log.at(&found, format!("no design `{}`; designs: {names}", found.value));
            sound = false;
        }
        design.map(|value| Found { value, line: found.line, key: found.key })
    });
    let points = section.whole("points");
    let place = Found { value: (), line: section.line(), key: "sweep".to_owned() };
    section.finish();
    sound.then_some(Draft { label, place, rule: rule?, axes: axes?, design, points })
}

/// The table `over`, in the order of the registry; `None` only where a mistake was logged. Only ranges that are
/// `stepped` have `steps`, and only they have to be there.
pub(super) fn read_axes(section: &Section<'_, '_>, rule: &RulePlan, stepped: bool) -> Option<Vec<Axis>> {
    let log = section.diagnostics();
    let tables = section.named_sections("over");
    if tables.is_empty() && stepped {
        section.missing(
            "over",
            "is missing or empty; name what is swept: over = { cutoff_ms = { from = 100, to = 300, steps = 201 } }",
        );
        return None;
    }
    let mut sound = true;
    let mut axes: Vec<(usize, Axis)> = Vec::new();
    for (name, table) in tables {
        let Some((place, param)) = param_of(rule.entry, &name.value) else {
            let known: Vec<&str> = params(rule.entry).map(|param| param.name).collect();
            let hint = hint(&name.value, &known);
            log.at(&name, format!("is no number of {}{hint} (numbers: {})", rule.entry.name, known.join(", ")));
            sound = false;
            continue;
        };
        if rule.states(param.name) {
            log.at(&name, "is swept over, so take it out of `values` and `guards`");
            sound = false;
        }
        match read_axis(table, param, stepped) {
            Some(axis) => axes.push((place, axis)),
            None => sound = false,
        }
    }
    // The order of a table means nothing; that of the registry does.
    axes.sort_by_key(|(place, _)| *place);
    sound.then(|| axes.into_iter().map(|(_, axis)| axis).collect())
}

/// The numbers of a rule, then those of the guards.
fn params(entry: RuleEntry) -> impl Iterator<Item = Param> {
    entry.params.iter().copied().chain(GUARDS.iter().filter_map(|guard| guard.param))
}

fn param_of(entry: RuleEntry, name: &str) -> Option<(usize, Param)> {
    params(entry).enumerate().find(|(_, param)| param.name == name)
}

fn read_axis(table: Section<'_, '_>, param: Param, stepped: bool) -> Option<Axis> {
    let log = table.diagnostics();
    let Param { min, max, unit, .. } = param;
    let outside = || format!("lie between {min} and {max} {unit}");
    let ends = table.range(unit, |end| (!param.accepts(end)).then(outside), |end| param.to_steps(end));
    let mut sound = true;
    let steps = if stepped { table.whole("steps") } else { None };
    if let Some(found) = &steps
        && !(2..=GRID_MOST as u64).contains(&found.value)
    {
        log.at(found, format!("must lie between 2 and {GRID_MOST}: the number of values, both ends among them"));
        sound = false;
    }
    table.finish();
    let (from, to) = ends?;
    let axis = Axis { param, from, to, steps: steps.as_ref().map(|found| found.value as usize) };
    if let (true, Some(found)) = (sound, &steps)
        && axis.values().windows(2).any(|pair| pair[0] >= pair[1])
    {
        log.at(found, "makes steps that are the same once rounded as they are kept; take fewer");
        return None;
    }
    sound.then_some(axis)
}

impl Draft {
    /// The sweep with its points; `None` only where a mistake was logged.
    fn resolve(&self, log: &Diagnostics, seed: u64, typists: u64, index: usize) -> Option<SweepPlan> {
        let at = |mistake: String| log.at(&self.place, mistake);
        let curve = || -> Result<(), CurveError> {
            // Whether a curve can be had is a matter of the rule, not of what it learns.
            let base = self.rule.blank().expect("each value was accepted");
            GridCurve::new(&base, self.axes[0].param.name, &self.axes[0].values()).map(|_| ())
        };
        let design = match (&self.design, self.axes.as_slice()) {
            (Some(found), [_]) if found.value == SweepDesign::Curve => {
                if let Err(refused) = curve() {
                    log.at(found, format!("cannot be had: {refused}; take design = \"grid\""));
                    return None;
                }
                found.value
            }
            (Some(found), axes) if found.value == SweepDesign::Curve => {
                log.at(found, format!("is for one value, not {}; take \"grid\" or \"sobol\"", axes.len()));
                return None;
            }
            (Some(found), _) => found.value,
            (None, [axis]) if axis.steps.is_some() && curve().is_ok() => SweepDesign::Curve,
            (None, _) => SweepDesign::Grid,
        };
        let mut number = 1_u64;
        if design.has_steps() {
            if let Some(found) = &self.points {
                log.at(found, format!("is for the designs sobol and latin-hypercube; {} has `steps`", design.name()));
                return None;
            }
            for axis in &self.axes {
                let Some(steps) = axis.steps else {
                    at(format!("needs `steps` for {}: how many values, both ends among them", axis.param.name));
                    return None;
                };
                number = number.saturating_mul(steps as u64);
            }
        } else {
            if let Some(axis) = self.axes.iter().find(|axis| axis.steps.is_some()) {
                at(format!("has `steps` for {}, but {} takes `points`", axis.param.name, design.name()));
                return None;
            }
            let Some(found) = &self.points else {
                at(format!("needs `points`, the number of settings of the design {}", design.name()));
                return None;
            };
            number = found.value;
        }
        if !(2..=GRID_MOST as u64).contains(&number) {
            at(format!("has {number} points; it may have 2 to {GRID_MOST}"));
            return None;
        }
        if number.saturating_mul(typists) > MOST_COUNTS {
            at(format!("asks for {number} points × {typists} typists; their product may be {MOST_COUNTS} at most"));
            return None;
        }
        let points = SweepPlan::points(&self.axes, design, number as usize, seed, index as u64)
            .map_err(|refused| at(format!("failed to choose the points: {refused}")))
            .ok()?;
        let names: Vec<&str> = self.axes.iter().map(|axis| axis.param.name).collect();
        let own = format!("{} over {}", self.rule.entry.name, names.join(", "));
        let label = self.label.as_ref().map_or(own, |found| found.value.clone());
        Some(SweepPlan { label, rule: self.rule.clone(), design, axes: self.axes.clone(), points })
    }
}

/// All sweeps; `None` only where a mistake was logged.
pub(super) fn resolve(log: &Diagnostics, drafts: &[Draft], seed: u64, typists: u64) -> Option<Vec<SweepPlan>> {
    let mut plans: Vec<SweepPlan> = Vec::new();
    let mut sound = true;
    for (index, draft) in drafts.iter().enumerate() {
        let Some(plan) = draft.resolve(log, seed, typists, index) else {
            sound = false;
            continue;
        };
        if plan.label.trim().is_empty() || plan.label.len() > 80 {
            log.at(&draft.place, "must have a label of 1-80 characters");
            sound = false;
        } else if plans.iter().any(|known| known.label == plan.label) {
            log.at(&draft.place, format!("two sweeps have the label `{}`; give one another `label`", plan.label));
            sound = false;
        }
        plans.push(plan);
    }
    sound.then_some(plans)
}

/// The default without the table.
pub(super) fn read_front(section: Option<Section<'_, '_>>) -> FrontPlan {
    let mut plan = FrontPlan::default();
    let Some(section) = section else { return plan };
    let log = section.diagnostics();
    for (slot, goal) in plan.reference.iter_mut().zip(GOALS) {
        let Some(found) = section.number(goal) else { continue };
        if found.value > 0.0 && found.value.is_finite() {
            *slot = found.value;
        } else {
            log.at(&found, format!("must lie above zero, not {}", found.value));
        }
    }
    section.finish();
    plan
}

//! The table `[sensitivity]`: which values and traits vary, and how often they are tried.

use agogic_stats::sobol::MAX_DIMENSIONS;
use agogic_toml::{Section, hint};
use agogic_typist::{TRAITS, TraitInfo};

use super::policies;
use super::sweep::read_axes;
use crate::plans::{SensitivityPlan, TraitRange};

/// Rows accepted: fewer say nothing, more only take time.
const ROWS: std::ops::RangeInclusive<u64> = 8..=65_536;

/// Rows if the spec is silent.
const DEFAULT_ROWS: u64 = 128;

/// Typists at each point if the spec is silent.
const DEFAULT_TYPISTS: u64 = 40;

/// `None` only where a mistake was logged.
pub(super) fn read(section: Section<'_, '_>) -> Option<SensitivityPlan> {
    let log = section.diagnostics();
    let rule = policies::read_rule(&section);
    let axes = match &rule {
        Some(rule) => read_axes(&section, rule, false),
        // Asked for, so that it does not count as an unknown key as well.
        None => {
            section.named_sections("over");
            None
        }
    };
    let traits = read_traits(&section);
    let whole = |key: &'static str, default: u64, good: &dyn Fn(u64) -> bool, wanted: &str| {
        let Some(found) = section.whole(key) else { return Some(default) };
        if good(found.value) {
            return Some(found.value);
        }
        log.at(&found, format!("must be {wanted}, not {}", found.value));
        None
    };
    let (least, most) = (ROWS.start(), ROWS.end());
    let wanted = format!("a power of two between {least} and {most}");
    let rows = whole("rows", DEFAULT_ROWS, &|n| n.is_power_of_two() && ROWS.contains(&n), &wanted);
    let typists = whole("typists", DEFAULT_TYPISTS, &|n| (2..=100_000).contains(&n), "between 2 and 100000");
    let inputs = axes.as_ref().zip(traits.as_ref()).map(|(axes, traits)| axes.len() + traits.len());
    let mut sound = true;
    if let Some(inputs) = inputs
        && !(1..=MAX_DIMENSIONS / 2).contains(&inputs)
    {
        let most = MAX_DIMENSIONS / 2;
        section.missing(
            "",
            format!(
                "has {inputs} inputs; name 1 to {most}: over = {{ lull_ms = {{ from = 0, to = 200 }} }}, traits = {{ \
                 dwell_ms = {{ from = 80, to = 130 }} }}"
            ),
        );
        sound = false;
    }
    section.finish();
    let plan = SensitivityPlan { rule: rule?, axes: axes?, traits: traits?, rows: rows? as usize, typists: typists? };
    sound.then_some(plan)
}

/// The table `traits`, in the order of the model; `None` only where a mistake was logged.
fn read_traits(section: &Section<'_, '_>) -> Option<Vec<TraitRange>> {
    let log = section.diagnostics();
    let mut sound = true;
    let mut traits: Vec<TraitRange> = Vec::new();
    for (name, table) in section.named_sections("traits") {
        let Some(info) = TRAITS.iter().find(|info| info.name == name.value) else {
            let known: Vec<&str> = TRAITS.iter().map(|info| info.name).collect();
            let hint = hint(&name.value, &known);
            log.at(&name, format!("is no trait{hint} (traits: {})", known.join(", ")));
            sound = false;
            continue;
        };
        match read_range(table, info) {
            Some(range) => traits.push(range),
            None => sound = false,
        }
    }
    traits.sort_by_key(|range| range.info.id as usize);
    sound.then_some(traits)
}

fn read_range(table: Section<'_, '_>, info: &'static TraitInfo) -> Option<TraitRange> {
    let outside = |end: f64| (!info.scale.to_normal(end).is_finite()).then(|| format!("be {}", info.scale.range()));
    let ends = table.range(info.unit, outside, |end| end);
    table.finish();
    let (from, to) = ends?;
    Some(TraitRange { info, from, to })
}

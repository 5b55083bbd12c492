//! The table `[advice]`: what is asked of a setting, and how long it is looked for.

use super::inference::{lines, named};
use crate::EstimandInfo;
use crate::plans::AdvicePlan;
use agogic_toml::Section;

/// `None` only where a mistake was logged.
pub(super) fn read(section: Section<'_, '_>) -> Option<AdvicePlan> {
    let log = section.diagnostics();
    let mut sound = true;
    let objective = match section.text("objective") {
        None => EstimandInfo::by_name("wrong_keys"),
        Some(found) => named(&found.value).map_err(|refused| log.at(&found, refused)).ok(),
    };
    let mut number = |key: &'static str, default: f64, good: &dyn Fn(f64) -> bool, wanted: &str| {
        let Some(found) = section.number(key) else { return default };
        if good(found.value) {
            return found.value;
        }
        log.at(&found, format!("must {wanted}, not {}", found.value));
        sound = false;
        default
    };
    let served = number(
        "served",
        0.9,
        &|share| share > 0.0 && share < 1.0,
        "lie between 0 and 1, such as 0.9 for nine in ten typists",
    );
    let least_gain = number("least_gain", 0.0, &|gain| gain >= 0.0 && gain.is_finite(), "be zero or above");
    let search_typists = section.whole_within("search_typists", 400, 20..=100_000);
    let confirm_typists = section.whole_within("confirm_typists", 1000, 50..=1_000_000);
    let refinements = section.whole_within("refinements", 2, 0..=6) as usize;
    let shortlist = section.whole_within("shortlist", 8, 2..=50) as usize;
    let limits = lines(&section, "limits");
    let limits_of_all = lines(&section, "limits_of_all");
    section.finish();
    let plan = AdvicePlan {
        objective: objective?,
        least_gain,
        served,
        limits,
        limits_of_all,
        search_typists,
        confirm_typists,
        refinements,
        shortlist,
    };
    sound.then_some(plan)
}

//! The table `[robust]`: how conclusions are held against other assumptions.

use super::inference::named;
use crate::plans::RobustPlan;
use agogic_toml::Section;

/// The default without the table.
pub(super) fn read(section: Option<Section<'_, '_>>) -> RobustPlan {
    let mut plan = RobustPlan::default();
    let Some(section) = section else { return plan };
    let log = section.diagnostics();
    plan.typists = section.whole_within("typists", plan.typists, 20..=100_000);
    if let Some(found) = section.whole("points") {
        if found.value == 0 || (5..=10_000).contains(&found.value) {
            plan.points = found.value as usize;
        } else {
            log.at(&found, format!("must be 0, or lie between 5 and 10000, not {}", found.value));
        }
    }
    if let Some(found) = section.texts("figures") {
        let named = found.value.iter().map(|name| named(name)).collect::<Result<Vec<_>, _>>();
        match named {
            Ok(figures) if !figures.is_empty() => plan.figures = figures,
            Ok(_) => log.at(&found, "names no figure; leave it out for wrong_keys"),
            Err(refused) => log.at(&found, refused),
        }
    }
    section.finish();
    plan
}

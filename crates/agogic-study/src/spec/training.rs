//! The table `[training]`: on whom rules learn.

use agogic_typist::Population;

use super::typists::named;
use crate::inputs::Inputs;
use crate::plans::{TrainedOn, TrainingPlan};
use agogic_toml::Section;

/// What `on` may say.
const OWN: &str = "own";
const MIXTURE: &str = "mixture";

/// Training typists at most: they are drawn before anything is judged.
const MOST: u64 = 10_000;

/// The default without the table. `own` are the populations written into the spec.
pub(super) fn read(
    section: Option<Section<'_, '_>>,
    own: &[(String, Option<Population>)],
    inputs: &Inputs<'_>,
) -> TrainingPlan {
    let mut plan = TrainingPlan::default();
    let Some(section) = section else { return plan };
    let log = section.diagnostics();
    plan.typists = section.whole_within("typists", plan.typists, 20..=MOST);
    let on = section.text("on");
    let mixed = match on.as_ref().map(|found| found.value.as_str()) {
        None | Some(OWN) => false,
        Some(MIXTURE) => true,
        Some(other) => {
            let found = on.as_ref().expect("it has a value");
            log.at(found, format!("must be \"{OWN}\", the people of each arm, or \"{MIXTURE}\", not \"{other}\""));
            false
        }
    };
    let weights = section.numbers("weights");
    if mixed {
        let mut all: Vec<(Population, f64)> = Vec::new();
        for found in &weights {
            let (name, weight) = &found.value;
            if !(weight.is_finite() && *weight > 0.0) {
                log.at(
                    found,
                    format!("must be above zero, not {weight}; leave out people who are not to be learned from"),
                );
                continue;
            }
            match named(name, own, inputs) {
                Ok(Some(population)) => all.push((population, *weight)),
                // Its mistakes are logged where it is written.
                Ok(None) => {}
                Err(refused) => log.at(found, refused),
            }
        }
        if weights.is_empty() {
            let built_in = Population::NAMES.iter().filter_map(|name| Population::by_name(name));
            all.extend(built_in.map(|population| (population, 1.0)));
        }
        plan.on = TrainedOn::Mixture(all);
    } else if let Some(found) = weights.first() {
        log.at(found, "is the weight of people in a mixture; add on = \"mixture\"");
    }
    plan.over_ranges = section.flag("over_ranges").map_or(mixed, |found| found.value);
    section.finish();
    plan
}

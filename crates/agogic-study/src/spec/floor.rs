//! The table `[floor]`: how the ideal observer is asked.

use agogic_policy::{ErrorCosts, PERSONAL, Sight};
use agogic_toml::{Diagnostics, Found, Section, hint};

use super::typists::MOST_KEYS;
use crate::plans::FloorPlan;

/// The table before it is known what the rules of the study see.
pub(super) struct Draft {
    plan: FloorPlan,
    rehearsal: Option<usize>,
    sight: Option<Found<Sight>>,
}

/// The default without the table.
pub(super) fn read(section: Option<Section<'_, '_>>) -> Draft {
    let mut plan = FloorPlan::default();
    let Some(section) = section else { return Draft { plan, rehearsal: None, sight: None } };
    let log = section.diagnostics();
    if let Some(found) = section.whole("typists") {
        plan.typists = found.value;
    }
    let rehearsal = section.whole_within("rehearsal_keys", 0, 2000..=MOST_KEYS);
    let sight = section.text("sight").and_then(|found| named(log, found));
    // The same costs, in the same range, as personal values are fitted with.
    let cost = |name: &'static str, default: f64| {
        let param = PERSONAL.params.iter().find(|param| param.name == name).expect("it has both costs");
        match section.number(name) {
            Some(found) if !param.accepts(found.value) => {
                log.at(&found, format!("must lie between {} and {}, not {}", param.min, param.max, found.value));
                default
            }
            found => found.map_or(default, |found| found.value),
        }
    };
    let (of_false, of_missed) = (plan.costs.false_hold, plan.costs.missed_hold);
    match ErrorCosts::new(cost("false_hold_cost", of_false), cost("missed_hold_cost", of_missed)) {
        Ok(costs) => plan.costs = costs,
        Err(refused) => section.missing("", refused.to_string()),
    }
    section.finish();
    Draft { plan, rehearsal: (rehearsal > 0).then_some(rehearsal as usize), sight }
}

fn named(log: &Diagnostics, found: Found<String>) -> Option<Found<Sight>> {
    let Found { value, line, key } = found;
    match Sight::by_name(&value) {
        Some(sight) => Some(Found { value: sight, line, key }),
        None => {
            let names = Sight::ALL.map(Sight::name);
            let hint = hint(&value, &names);
            let message = format!("is no sight of the observer{hint} (sights: {})", names.join(", "));
            log.at(&Found { value, line, key }, message);
            None
        }
    }
}

impl Draft {
    /// The plan beside rules, each with its name and what it sees: the observer sees what any of them does.
    pub fn resolve(self, log: &Diagnostics, rules: impl Iterator<Item = (&'static str, Sight)>) -> FloorPlan {
        let Self { mut plan, rehearsal, sight } = self;
        let widest = rules.max_by_key(|(_, sight)| *sight);
        match (sight, widest) {
            (Some(stated), Some((rule, seen))) if stated.value < seen => {
                let message = format!(
                    "is less than the rule `{rule}` sees, so that this could come below the floor; use \"{}\", or leave \
                     it out",
                    seen.name()
                );
                log.at(&stated, message);
            }
            (Some(stated), _) => plan.sight = stated.value,
            (None, Some((_, seen))) => plan.sight = seen,
            (None, None) => {}
        }
        plan.rehearsal = rehearsal.unwrap_or_else(|| FloorPlan::rehearsal_for(plan.sight));
        plan
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn resolved(stated: Option<Sight>, rules: &[(&'static str, Sight)]) -> Result<FloorPlan, String> {
        let log = Diagnostics::new("[floor]\nsight = \"timing\"\n");
        let sight = stated.map(|value| Found { value, line: 2, key: "floor.sight".into() });
        let plan = Draft { plan: FloorPlan::default(), rehearsal: None, sight }.resolve(&log, rules.iter().copied());
        log.finish().map(|()| plan).map_err(|mistakes| mistakes.to_string())
    }

    #[test]
    fn an_observer_sees_what_any_rule_sees() {
        use Sight::{Keys, OwnKey, Timing};
        let (narrow, wide) = ([("a", Timing), ("b", Timing)], [("a", Timing), ("b", OwnKey), ("c", Timing)]);
        assert_eq!(resolved(None, &[]).unwrap().sight, Timing);
        assert_eq!(resolved(None, &narrow).unwrap().sight, Timing);
        assert_eq!(resolved(None, &wide).unwrap().sight, OwnKey);
        assert_eq!(resolved(None, &[wide[1], ("d", Keys)]).unwrap().sight, Keys);
        let stated = resolved(Some(OwnKey), &narrow).unwrap();
        assert_eq!((stated.sight, stated.rehearsal), (OwnKey, FloorPlan::rehearsal_for(OwnKey)));
        let refused = resolved(Some(Timing), &wide).unwrap_err();
        assert!(refused.contains("line 2: `floor.sight`") && refused.contains("the rule `b`"), "{refused}");
    }
}

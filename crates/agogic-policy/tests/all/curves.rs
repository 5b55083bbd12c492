//! Whole curves from one pass equal runs of the setting at every threshold.

use crate::common::{Pick, Story, guards, pick, story, value_at};
use agogic_policy::{
    CriticalValues, CurveError, Errors, GUARDS, GridCurve, GridPoint, Monotone, Param, RULES, Setting, ThresholdCurve,
};
use proptest::prelude::*;

/// Every threshold of a rule, and every guard with a number.
fn all_params(rule: usize) -> Vec<Param> {
    // Memory has no curve: another set of tables is another rule.
    let own = RULES[rule].params.iter().copied().filter(|param| param.unit != "byte");
    own.chain(GUARDS.iter().filter_map(|guard| guard.param)).collect()
}

/// Rising thresholds at which events fall, and their neighbours a step of rounding away.
fn grid(param: &Param, step: i64) -> Vec<f64> {
    let around = |value: f64| [-1, 0, 1].map(|by| param.from_steps(param.to_steps(value) + by));
    let mut grid: Vec<f64> = (0..=50).flat_map(|position| around(value_at(param, position, step))).collect();
    grid.retain(|value| param.accepts(*value));
    grid.sort_by(f64::total_cmp);
    grid.dedup();
    grid
}

/// One run per threshold.
fn brute_force(setting: &Setting, param: &Param, grid: &[f64], stories: &[(Story, bool)]) -> Vec<GridPoint> {
    let run = |&threshold: &f64| {
        let setting = setting.with_value(param.name, threshold).unwrap();
        let mut errors = Errors::default();
        let (mut taps_us, mut holds_us) = (0, 0);
        for (story, is_hold) in stories {
            let decision = story.decide(&setting);
            if *is_hold {
                errors.holds += 1;
                errors.missed_holds += u64::from(!decision.is_hold());
                holds_us += decision.after.0;
            } else {
                errors.taps += 1;
                errors.false_holds += u64::from(decision.is_hold());
                taps_us += decision.after.0;
            }
        }
        let threshold = param.from_steps(param.to_steps(threshold));
        GridPoint { threshold, errors, tap_delay_us: Some(taps_us), hold_delay_us: Some(holds_us) }
    };
    grid.iter().map(run).collect()
}

fn curve_of(setting: &Setting, param: &Param, grid: &[f64], stories: &[(Story, bool)]) -> GridCurve {
    let mut curve = GridCurve::new(setting, param.name, grid).unwrap();
    for (story, is_hold) in stories {
        story.show(|encounter| curve.add(setting, encounter, *is_hold));
    }
    curve
}

fn stories() -> impl Strategy<Value = Vec<(Story, bool)>> {
    prop::collection::vec((story(), any::<bool>()), 1..12)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_500))]

    #[test]
    fn a_grid_curve_is_a_run_at_every_threshold(pick in pick(), guards in guards(), stories in stories()) {
        let setting = pick.setting(&stories[0].0, guards);
        for param in all_params(pick.rule) {
            let grid = grid(&param, stories[0].0.step);
            let points: Vec<GridPoint> = curve_of(&setting, &param, &grid, &stories).points().collect();
            for (point, run) in points.iter().zip(brute_force(&setting, &param, &grid, &stories)) {
                let context = format!("{} at {} of {}", param.name, run.threshold, setting.label());
                prop_assert_eq!((point.threshold, point.errors), (run.threshold, run.errors), "{}", context);
                if param.name == "share" {
                    prop_assert_eq!((point.tap_delay_us, point.hold_delay_us), (None, None));
                } else {
                    let delays = (point.tap_delay_us, point.hold_delay_us);
                    prop_assert_eq!(delays, (run.tap_delay_us, run.hold_delay_us), "{}", context);
                }
            }
            prop_assert_eq!(points.len(), grid.len());
        }
    }

    #[test]
    fn a_curve_of_critical_values_is_a_run_at_every_threshold(
        pick in pick(), guards in guards(), stories in stories(), cut in 0..12_usize,
    ) {
        let setting = pick.setting(&stories[0].0, guards);
        for param in all_params(pick.rule) {
            if param.monotone != Some(Monotone::FewerHolds) {
                continue;
            }
            // As if of two typists.
            let curve = |stories: &[(Story, bool)]| -> ThresholdCurve {
                let mut values = CriticalValues::new();
                for (story, is_hold) in stories {
                    let value = story.show(|encounter| setting.critical_value(param.name, encounter)).unwrap();
                    values.add(value, *is_hold);
                }
                values.curve()
            };
            let (one, other) = stories.split_at(cut.min(stories.len()));
            let curve = curve(one).merged(&curve(other));
            let mut grid = grid(&param, stories[0].0.step);
            grid.extend(curve.values().filter(|value| param.accepts(*value)).collect::<Vec<_>>());
            for run in brute_force(&setting, &param, &grid, &stories) {
                prop_assert_eq!(curve.at(run.threshold), run.errors, "{} of {}", param.name, setting.label());
            }
        }
    }

    #[test]
    fn curves_of_typists_add_up(pick in pick(), guards in guards(), stories in stories(), cut in 0..12_usize) {
        let setting = pick.setting(&stories[0].0, guards);
        for param in all_params(pick.rule) {
            let grid = grid(&param, stories[0].0.step);
            let (one, other) = stories.split_at(cut.min(stories.len()));
            let mut merged = curve_of(&setting, &param, &grid, one);
            merged.merge(&curve_of(&setting, &param, &grid, other));
            let whole = curve_of(&setting, &param, &grid, &stories);
            prop_assert_eq!(merged.points().collect::<Vec<_>>(), whole.points().collect::<Vec<_>>());
        }
    }

    #[test]
    fn a_pair_of_thresholds_gives_the_role(
        pick in pick(), guards in guards(), story in story(), positions in [0..=50_u32, 0..=50_u32],
    ) {
        let setting = pick.setting(&story, guards);
        for own in RULES[pick.rule].params {
            for guard in GUARDS.iter().filter_map(|guard| guard.param) {
                let pair = story.show(|encounter| setting.critical_pair(own.name, guard.name, encounter));
                let expected = own.monotone == Some(Monotone::FewerHolds) && guard.name != "bare_hold_ms";
                prop_assert_eq!(pair.is_some(), expected);
                let Some((value, time)) = pair else { continue };
                let (threshold, bar) =
                    (value_at(own, positions[0], story.step), value_at(&guard, positions[1], story.step));
                let both = setting.with_value(own.name, threshold).unwrap().with_value(guard.name, bar).unwrap();
                prop_assert_eq!(story.decide(&both).is_hold(), threshold <= value && bar <= time, "{}", both.label());
            }
        }
    }
}

/// The comparison has teeth: an error of one step in one critical value is seen.
#[test]
fn a_curve_that_is_off_by_a_step_would_be_caught() {
    let story = Story {
        step: 10_000,
        dwell: 20,
        lull: None,
        since_same_key: None,
        carried: vec![],
        contacts: vec![],
        previous: 0,
    };
    let setting = Pick { rule: 0, positions: [20; 3], seed: 0 }.setting(&story, crate::common::GuardSteps::OFF);
    let param = RULES[0].params[0];
    let stories = [(story, false)];
    let mut off = CriticalValues::new();
    off.add(200.001, false);
    let grid = grid(&param, 10_000);
    let runs = brute_force(&setting, &param, &grid, &stories);
    assert!(runs.iter().any(|run| off.curve().at(run.threshold) != run.errors));
    let refused = GridCurve::new(&setting, "share", &grid).unwrap_err();
    assert!(matches!(refused, CurveError::Setting(_)));
}

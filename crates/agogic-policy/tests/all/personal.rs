//! Personal values: the fit against brute force, and a typist whose best value is known.

use crate::common::{Story, guards, pick, story, value_at};
use agogic_policy::{
    Encounter, ErrorCosts, Errors, GUARDS, Monotone, PairCurves, Param, Personal, PersonalSample, RULES, Setting,
};
use proptest::prelude::*;

fn stories() -> impl Strategy<Value = Vec<(Story, bool)>> {
    prop::collection::vec((story(), any::<bool>()), 0..10)
}

fn costs() -> impl Strategy<Value = ErrorCosts> {
    prop::sample::select(vec![(1.0, 1.0), (3.0, 1.0), (1.0, 4.0), (1.0, 0.0)])
        .prop_map(|(false_hold, missed_hold)| ErrorCosts::new(false_hold, missed_hold).unwrap())
}

fn curves(personal: &Personal, stories: &[(Story, bool)]) -> PairCurves {
    let mut sample = PersonalSample::default();
    for (story, is_hold) in stories {
        story.show(|encounter| personal.observe(&mut sample, encounter, *is_hold));
    }
    assert_eq!(sample.presses(), stories.len());
    personal.curves(&sample)
}

/// What the setting costs on stories, by running it.
fn run(setting: &Setting, stories: &[(Story, bool)]) -> Errors {
    let mut errors = Errors::default();
    for (story, is_hold) in stories {
        let held = story.decide(setting).is_hold();
        errors.taps += u64::from(!is_hold);
        errors.holds += u64::from(*is_hold);
        errors.false_holds += u64::from(held && !is_hold);
        errors.missed_holds += u64::from(!held && *is_hold);
    }
    errors
}

/// A grid over the range of a threshold.
fn grid(param: &Param, step: i64) -> Vec<f64> {
    let around = |value: f64| [-1, 0, 1].map(|by| param.from_steps(param.to_steps(value) + by));
    let grid = (0..=50).flat_map(|position| around(value_at(param, position, step)));
    grid.filter(|value| param.accepts(*value)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_000))]

    #[test]
    fn no_value_of_a_grid_costs_less_and_the_default_never_costs_less(
        pick in pick(), guards in guards(), first in stories(), others in stories(), costs in costs(),
        prior_presses in prop::sample::select(vec![0.0, 3.0, 100.0]), default in 0..=50_u32,
    ) {
        let step = 10_000;
        let any_story = Story { step, dwell: 9, lull: None, since_same_key: None, carried: vec![], contacts: vec![], previous: 0 };
        let params = RULES[pick.rule].params.iter().copied().chain(GUARDS.iter().filter_map(|guard| guard.param));
        for param in params.filter(|param| param.monotone == Some(Monotone::FewerHolds)) {
            let base = pick.setting(&any_story, guards).with_value(param.name, value_at(&param, default, step)).unwrap();
            let personal = Personal::new(base, param.name, costs, prior_presses).unwrap();
            let (sample, population) = (curves(&personal, &first), curves(&personal, &others));
            let fitted = personal.fit(&sample, Some(&population));
            let expected = |setting: &Setting| {
                let prior = costs.of(&run(setting, &others)) / others.len().max(1) as f64 * prior_presses;
                costs.of(&run(setting, &first)) + if others.is_empty() { 0.0 } else { prior }
            };
            // What it says of itself is what a run of its setting finds.
            let setting = personal.setting(&fitted);
            prop_assert_eq!(fitted.errors, run(&setting, &first));
            prop_assert_eq!(fitted.errors_of_default, run(personal.base(), &first));
            prop_assert_eq!(fitted.expected_cost, expected(&setting));
            // Never worse than no fit on what was seen, and the best of all that are not.
            let no_fit = costs.of(&fitted.errors_of_default);
            prop_assert!(costs.of(&fitted.errors) <= no_fit);
            prop_assert!(fitted.expected_cost <= fitted.expected_cost_of_default);
            for value in grid(&param, step) {
                let other = personal.base().with_value(param.name, value).unwrap();
                if costs.of(&run(&other, &first)) <= no_fit {
                    prop_assert!(fitted.expected_cost <= expected(&other), "{} {}", other.label(), fitted.value);
                }
            }
            // Nothing nearer to the default costs as little.
            let default = personal.how().default;
            prop_assert!(fitted.flat.0 <= fitted.value && fitted.value <= fitted.flat.1);
            prop_assert_eq!(fitted.value, param.from_steps(param.to_steps(default)).clamp(fitted.flat.0, fitted.flat.1));
        }
    }

    #[test]
    fn a_joint_fit_is_the_best_of_its_grid(
        pick in pick(), guards in guards(), first in stories(), others in stories(), costs in costs(),
        bars in prop::collection::vec(0..=50_u32, 1..4),
    ) {
        let step = 10_000;
        let any_story = Story { step, dwell: 9, lull: None, since_same_key: None, carried: vec![], contacts: vec![], previous: 0 };
        let own = RULES[pick.rule].params.iter().filter(|param| param.monotone == Some(Monotone::FewerHolds));
        for (param, guard) in own.flat_map(|own| ["lull_ms", "dwell_floor_ms", "retap_ms"].map(|guard| (own, guard))) {
            let guard = GUARDS.iter().filter_map(|entry| entry.param).find(|param| param.name == guard).unwrap();
            let bars: Vec<f64> = bars.iter().map(|&position| value_at(&guard, position, step)).collect();
            let base = pick.setting(&any_story, guards);
            let personal = Personal::new(base, param.name, costs, 2.0).unwrap().with_guard(guard.name, &bars).unwrap();
            let fitted = personal.fit(&curves(&personal, &first), Some(&curves(&personal, &others)));
            let expected = |setting: &Setting| {
                let prior = costs.of(&run(setting, &others)) / others.len().max(1) as f64 * 2.0;
                costs.of(&run(setting, &first)) + prior
            };
            let setting = personal.setting(&fitted);
            prop_assert_eq!(fitted.expected_cost, expected(&setting), "{}", setting.label());
            let no_fit = costs.of(&run(personal.base(), &first));
            prop_assert!(costs.of(&run(&setting, &first)) <= no_fit);
            for value in grid(param, step).into_iter().step_by(3) {
                let with_value = personal.base().with_value(param.name, value).unwrap();
                for &bar in &personal.how().guard_grid {
                    let other = with_value.with_value(guard.name, bar).unwrap();
                    if costs.of(&run(&other, &first)) <= no_fit {
                        prop_assert!(fitted.expected_cost <= expected(&other), "{}", other.label());
                    }
                }
            }
        }
    }
}

/// A person whose best cutoff is known: dwells of taps are normal around 150 ms, of holds around 330 ms,
/// both with a standard deviation of 30 ms. With equal costs and as many holds as taps the densities cross
/// half way, at 240 ms; with k taps for one hold the crossing moves by σ² ln k ÷ (distance of the means).
#[test]
fn the_known_optimum_of_a_constructed_person_is_found() {
    // Quantiles of the standard normal at (i − ½)/n, by bisection of its distribution.
    fn quantile(p: f64) -> f64 {
        let below = |z: f64| 0.5 * libm::erfc(-z / std::f64::consts::SQRT_2);
        let (mut low, mut high) = (-8.0, 8.0);
        for _ in 0..80 {
            let middle = (low + high) / 2.0;
            if below(middle) < p { low = middle } else { high = middle }
        }
        low
    }
    fn lone(ms: f64) -> Encounter<'static> {
        use agogic_keys::{Hand, Instant, Span};
        Encounter::new(crate::common::own_key(), Hand::Left, Instant(0), Span::from_ms(ms))
    }
    let costs = ErrorCosts::new(1.0, 1.0).unwrap();
    let fit = |taps: u32, holds: u32| {
        let personal = Personal::new(Setting::rule("dwell-cutoff", &[]).unwrap(), "cutoff_ms", costs, 0.0).unwrap();
        let mut sample = PersonalSample::default();
        for (n, mean, is_hold) in [(taps, 150.0, false), (holds, 330.0, true)] {
            for i in 0..n {
                let z = quantile((f64::from(i) + 0.5) / f64::from(n));
                personal.observe(&mut sample, &lone(mean + 30.0 * z), is_hold);
            }
        }
        personal.fit(&personal.curves(&sample), None).value
    };
    // Without randomness; what is left is the spacing of the quantiles, about a tenth of a ms here.
    let even = fit(40_000, 40_000);
    assert!((even - 240.0).abs() < 1.0, "{even}");
    let eight = fit(80_000, 10_000);
    let expected = 240.0 + 900.0 * 8_f64.ln() / 180.0;
    assert!((eight - expected).abs() < 1.5, "{eight}, not {expected}");
}

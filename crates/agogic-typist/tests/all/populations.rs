//! The built-in populations against what they say of themselves, and against each other.
//!
//! Statistical gates: seed 1 and alpha 1e-6 for each assertion unless stated.

use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported, Workload};
use agogic_stats::{mean, normal_upper_quantile, standard_deviation};
use agogic_typist::{
    Observed, Performer, Population, PopulationDraft, SessionAddress, TRAITS, TraitDraft, Typist, observe,
};

const ALPHA: f64 = 1e-6;

fn all() -> Vec<Population> {
    Population::NAMES.iter().map(|name| Population::by_name(name).unwrap()).collect()
}

/// What a study would see of the first `number` people of a population.
fn seen(population: &Population, seed: u64, number: u64) -> Vec<Observed> {
    let board = Board::row_staggered();
    let assignment = Assignment::resting(&board, [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift]);
    let text = "The ferry left before the fog had lifted. We waited on the pier and counted gulls until noon.";
    let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap();
    let performer = Performer::new(&board, &assignment);
    let one = |n| {
        let typist = Typist::draw(population, seed, n);
        observe(
            &performer.perform(&typist, &plan, &Workload::none(), SessionAddress { seed, replicate: 0 }, 300),
            performer.movement(),
        )
    };
    (0..number).map(one).collect()
}

/// Whether the first people have a higher mean than the second, by a one-sided z test at alpha.
fn higher(first: &[f64], second: &[f64]) -> bool {
    let squared_error = |v: &[f64]| standard_deviation(v).unwrap().powi(2) / v.len() as f64;
    let error = (squared_error(first) + squared_error(second)).sqrt();
    mean(first).unwrap() - mean(second).unwrap() > normal_upper_quantile(ALPHA) * error
}

#[test]
fn every_population_survives_its_draft() {
    for population in all() {
        let draft = population.to_draft();
        assert_eq!(draft.build().as_ref(), Ok(&population), "{}", population.name());
        let text = population.to_toml("mine");
        let read: PopulationDraft = toml::from_str(&text).unwrap_or_else(|refused| panic!("{refused}\n{text}"));
        assert_eq!(read, PopulationDraft { name: "mine".into(), ..draft }, "{text}");
        let built = read.build().unwrap();
        assert_eq!(built, population.clone().named("mine", population.about()));
        assert!(text.lines().filter(|line| line.starts_with('#')).all(|line| line.chars().count() <= 102), "{text}");
        // The shortest draft of all gives the same people.
        let short =
            PopulationDraft { about: population.about().into(), ..PopulationDraft::new("mine", population.name()) };
        assert_eq!(short.build().unwrap(), built);
    }
}

#[test]
fn drawn_people_have_the_stated_median_and_spread() {
    // 4000 people a population, 14 traits: SE of a mean s/√n, of an SD s/√(2n).
    let n = 4000_u64;
    let z = normal_upper_quantile(ALPHA / 2.0);
    for population in all() {
        let people: Vec<Typist> = (0..n).map(|i| Typist::draw(&population, 1, i)).collect();
        for info in TRAITS {
            let stated = population.spread_of(info.id);
            let normal: Vec<f64> = people.iter().map(|t| info.scale.to_normal(t.get(info.id))).collect();
            let at = format!("{}, {}", population.name(), info.name);
            let se = stated.spread / (n as f64).sqrt();
            let (center, spread) = (mean(&normal).unwrap(), standard_deviation(&normal).unwrap());
            assert!((center - info.scale.to_normal(stated.median)).abs() <= z * se, "{at}: {center}");
            assert!((spread - stated.spread).abs() <= z * se / 2.0_f64.sqrt(), "{at}: {spread}");
            // A spread a tenth too large would be seen.
            assert!((spread - 1.1 * stated.spread).abs() > z * se / 2.0_f64.sqrt() || stated.spread == 0.0, "{at}");
        }
    }
}

#[test]
fn the_trained_are_faster_and_roll_more_and_the_slow_less() {
    // 1000 people of each population, 300 presses each: the trained are faster by some 6 WPM of an SD of 20, which 500
    // people show in one study of two only.
    let [volunteers, trained, slow] =
        [Population::volunteers(), Population::trained(), Population::slow()].map(|p| seen(&p, 1, 1000));
    let speed = |people: &[Observed]| -> Vec<f64> { people.iter().filter_map(|o| o.words_per_minute).collect() };
    let rollover = |people: &[Observed]| -> Vec<f64> { people.iter().filter_map(|o| o.rollover).collect() };
    let dwell = |people: &[Observed]| -> Vec<f64> { people.iter().filter_map(|o| o.dwell_ms).collect() };
    assert!(higher(&speed(&trained), &speed(&volunteers)));
    assert!(higher(&speed(&volunteers), &speed(&slow)));
    assert!(higher(&rollover(&volunteers), &rollover(&slow)));
    assert!(higher(&rollover(&trained), &rollover(&slow)));
    assert!(higher(&dwell(&slow), &dwell(&trained)));
    // The gate holds nothing against people of one population.
    let others = seen(&Population::volunteers(), 2, 1000);
    assert!(!higher(&speed(&others), &speed(&volunteers)) && !higher(&speed(&volunteers), &speed(&others)));
}

#[test]
fn all_mistakes_are_told_at_once_each_at_its_key() {
    let text = r#"
        name = "Night Shift"
        base = "trainees"
        dwell_family = "normal"

        [traits.dwell_ms]
        median = -90.0
        spread = 0.2
        [traits.dwel_ms]
        median = 90.0
        [traits.one_hand_share]
        median = 1.5
        [traits.lead_ms]
        spread = nan

        [constants]
        in_order_share = 2.0
        lift = 20.0
        slip_insertion = 0.9

        [correlations.interval_ms]
        dwell_ms = 1.2
        speed = 0.1
        interval_ms = 0.5
        lead_ms = 0.4
        [correlations.lead_ms]
        interval_ms = 0.3
    "#;
    let draft: PopulationDraft = toml::from_str(text).unwrap();
    let mistakes: Vec<String> = draft.build().unwrap_err().iter().map(ToString::to_string).collect();
    for (path, word) in [
        ("name", "small letters"),
        ("base", "no population `trainees`"),
        ("dwell_family", "`normal`"),
        ("traits.dwel_ms", "no trait"),
        ("traits.dwell_ms.median", "above zero, not -90"),
        ("traits.one_hand_share.median", "between zero and one, not 1.5"),
        ("traits.lead_ms.spread", "NaN"),
        ("constants.in_order_share", "between 0 and 1, not 2"),
        ("constants.lift", "no constant"),
        ("constants.slip_insertion", "at most 1"),
        ("correlations.interval_ms.dwell_ms", "between -1 and 1"),
        ("correlations.interval_ms.speed", "no trait"),
        ("correlations.interval_ms.interval_ms", "two different traits"),
        ("correlations.lead_ms.interval_ms", "twice"),
    ] {
        let found = mistakes.iter().any(|line| line.starts_with(&format!("{path}: ")) && line.contains(word));
        assert!(found, "{path}: {word}: {mistakes:#?}");
    }
    assert_eq!(mistakes.len(), 14, "{mistakes:#?}");
}

#[test]
fn contradicting_correlations_name_the_pairs_and_a_factor() {
    let mut draft = PopulationDraft::new("mine", "trained");
    let mut put = |a: &str, b: &str, r: f64| {
        draft.correlations.entry(a.into()).or_default().insert(b.into(), r);
    };
    // Nothing else ties the three.
    put("interval_ms", "lead_ms", 0.0);
    put("interval_ms", "slip_share", 0.0);
    put("lead_ms", "release_ms", 0.0);
    put("lead_ms", "lull_factor", 0.9);
    put("lull_factor", "slip_share", 0.9);
    put("slip_share", "lead_ms", -0.9);
    let [mistake] = &draft.build().unwrap_err()[..] else { panic!("one mistake") };
    let text = mistake.to_string();
    for part in ["correlations: ", "lead_ms with lull_factor 0.9", "slip_share with lead_ms -0.9", "multiplied by 0.5"]
    {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert!(!text.contains("dwell_ms"), "an innocent pair: {text}");
}

#[test]
fn a_built_in_name_is_kept_for_its_own_numbers() {
    let mut draft = PopulationDraft::new("slow", "slow");
    assert_eq!(draft.build().map(|p| p.name().to_owned()), Ok("slow".into()));
    draft.traits.insert("dwell_ms".into(), TraitDraft { median: Some(80.0), spread: None });
    let mistakes = draft.build().unwrap_err();
    assert!(mistakes[0].to_string().starts_with("name: `slow` is a built-in population"), "{mistakes:?}");
    draft.name = "slow-short".into();
    let built = draft.build().unwrap();
    assert_eq!(built.base(), "slow");
    assert_eq!(built.to_draft().build().unwrap(), built);
}

#[test]
fn a_correlation_of_the_base_can_be_taken_away() {
    let mut draft = PopulationDraft::new("mine", "volunteers");
    let first = Population::volunteers().correlations()[0];
    let [a, b] = first.names();
    // In the other order than the base has it.
    draft.correlations.entry(b.into()).or_default().insert(a.into(), 0.0);
    let built = draft.build().unwrap();
    assert!(!built.correlations().iter().any(|c| c.is_between(first.a, first.b)));
    assert_eq!(built.to_draft().build().unwrap(), built);
}

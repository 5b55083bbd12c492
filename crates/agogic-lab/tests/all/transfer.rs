//! Rules that learn, trained on, judged on.

use std::path::Path;

use agogic_lab::{Recommendation, Statistic, StudyResult, Transfer, TransferRow, recommend, run};
use agogic_sim::Engine;
use agogic_study::Study;

const SPEC: &str = r#"
name = "transfer"
seed = 31
[text]
built_in = "tide-station"
[workload]
shortcuts_per_1000_keys = 20
[typists]
populations = ["slow", "trained"]
number = 40
keys_each = 500
at_the_ends = 30
[floor]
typists = 0
[[policy]]
rule = "enclosed"
[[policy]]
rule = "evidence"
values = { threshold_nats = 2 }
"#;

fn found(spec: &str) -> (Study, StudyResult) {
    let mut study = Study::read(spec, Path::new(".")).unwrap();
    (study.training.typists, study.training.keys) = (40, 1500);
    let result = run(&Engine::new(&study).unwrap(), &|_| ());
    (study, result)
}

fn row<'a>(result: &'a StudyResult, arm: &str, policy: &str) -> (&'a Transfer, &'a TransferRow) {
    let transfer = result.arms.iter().find(|own| own.label == arm).unwrap().transfer.as_ref().unwrap();
    (transfer, transfer.rows.iter().find(|row| row.policy == policy).unwrap())
}

fn value(row: &TransferRow, world: &str) -> f64 {
    row.on.iter().find(|own| own.world == world).unwrap_or_else(|| panic!("{world}")).estimate.value.unwrap()
}

#[test]
fn a_rule_is_judged_where_it_did_not_learn() {
    let (_, result) = found(SPEC);
    let (transfer, of_slow) = row(&result, "slow", "evidence 2");
    assert_eq!(of_slow.trained_on.as_deref(), Some("slow"));
    let worlds: Vec<&str> = of_slow.on.iter().map(|own| own.world.as_str()).collect();
    assert_eq!(
        worlds,
        ["slow", "trained", "volunteers", "people who hold as they hold Shift", "people who are fully adapted"]
    );
    // Trained on slow people and judged on trained ones it is neither what it is at home nor what one trained there is.
    let elsewhere = value(of_slow, "trained");
    let (_, of_trained) = row(&result, "trained", "evidence 2");
    assert_ne!(elsewhere, value(of_slow, "slow"));
    assert_ne!(elsewhere, value(of_trained, "trained"));
    // A rule that learns nothing is the same wherever it comes from.
    let (_, simple) = row(&result, "slow", "enclosed");
    let (_, there) = row(&result, "trained", "enclosed");
    assert_eq!(simple.trained_on, None);
    assert_eq!(value(simple, "trained"), value(there, "trained"));
    assert_eq!(transfer.best_simple().unwrap().policy, "enclosed");
    // The worst is the largest of all worlds, inside limits that hold for all of them.
    for own in &transfer.rows {
        let worst = own.worst.as_ref().unwrap();
        let largest = own.on.iter().filter_map(|own| own.estimate.value).fold(f64::MIN, f64::max);
        assert_eq!(worst.estimate.value, Some(largest));
        let alone = own.on.iter().find(|own| own.world == worst.world).unwrap();
        assert!(worst.estimate.hi >= alone.estimate.hi && worst.estimate.lo.unwrap() <= largest);
    }
}

#[test]
fn where_a_rule_learned_its_figure_is_that_of_the_run() {
    let (study, result) = found(SPEC);
    for arm in &study.arms {
        for policy in &study.policies {
            let (_, own) = row(&result, &arm.label, policy);
            let pooled = result.rows.iter().find(|row| {
                row.arm == arm.label
                    && row.policy == *policy
                    && row.estimand == study.primary.name
                    && row.statistic == Statistic::Pooled
                    && row.group == agogic_lab::ALL
            });
            let mut pooled = pooled.unwrap().estimate.clone();
            pooled.cautions.retain(|caution| *caution != agogic_stats::Caution::OneText);
            assert_eq!(own.own().unwrap().estimate, pooled, "{} {policy}", arm.label);
        }
    }
    let elsewhere = result.rows.iter().filter(|row| row.statistic == Statistic::PooledElsewhere).count();
    assert_eq!(elsewhere, 2 * 2 * 4, "two arms, two policies, four worlds beside their own");
}

#[test]
fn rules_that_know_keys_are_judged_on_other_texts_too() {
    let spec = SPEC.replace("rule = \"evidence\"\nvalues = { threshold_nats = 2 }", "rule = \"key-evidence\"");
    let (_, result) = found(&spec.replace("[\"slow\", \"trained\"]", "[\"volunteers\"]"));
    let (_, own) = row(&result, "volunteers", "key-evidence threshold 0, bytes 1024");
    let worlds: Vec<&str> = own.on.iter().map(|own| own.world.as_str()).collect();
    for world in ["slow", "German text", "program text", "other shortcuts", "four times the shortcuts"] {
        assert!(worlds.contains(&world), "{worlds:?}");
    }
    assert!(value(own, "program text") > value(own, "volunteers"), "keys say less of a text that was not learned");
}

#[test]
fn a_study_in_which_nothing_learns_has_no_such_table() {
    let spec = SPEC.replace("rule = \"evidence\"\nvalues = { threshold_nats = 2 }", "rule = \"first-contact\"");
    let (_, result) = found(&spec);
    assert!(result.arms.iter().all(|arm| arm.transfer.is_none()));
    assert!(result.rows.iter().all(|row| row.statistic != Statistic::WorstElsewhere));
}

/// Advice between a rule that learns nothing and `evidence` at a threshold.
fn advised(threshold_nats: f64) -> Recommendation {
    let advice = "[advice]\nobjective = \"wrong_keys\"\nlimits = { missed_holds = 100 }\nserved = 0.5\nsearch_typists = 100\n\
                  confirm_typists = 200\nrefinements = 0\nshortlist = 3\n";
    let spec = SPEC.replace("[\"slow\", \"trained\"]", "[\"volunteers\"]");
    let spec = spec.replace("threshold_nats = 2", &format!("threshold_nats = {threshold_nats}"));
    let mut study = Study::read(&format!("{spec}{advice}"), Path::new(".")).unwrap();
    (study.training.typists, study.training.keys) = (40, 1500);
    recommend(&Engine::new(&study).unwrap(), None, &|_| ()).unwrap().pop().unwrap()
}

#[test]
fn a_rule_that_learns_is_advised_only_where_its_worst_case_beats_the_others() {
    let good = advised(1.0);
    assert_eq!(good.setting.as_deref(), Some("evidence 1"), "{}", good.sentence);
    assert!(good.learned.iter().all(|own| own.beats && own.against == "enclosed"));
    let transfer = good.transfer.as_ref().unwrap();
    // Each assumed number at both ends, other people, and its own.
    assert!(transfer.rows[0].on.len() > 40, "{}", transfer.rows[0].on.len());
    let anywhere = value(&transfer.rows[0], "people anywhere in the assumed ranges");
    assert_ne!(anywhere, value(&transfer.rows[0], "volunteers"));
    assert!(good.sentence.contains("and judged in"), "{}", good.sentence);

    // Where it learned it does better than the other too, only not surely at worst.
    let bad = advised(4.0);
    assert_eq!(bad.setting.as_deref(), Some("enclosed"), "{}", bad.sentence);
    assert!(bad.learned.iter().any(|own| !own.beats), "{:?}", bad.learned);
    assert!(bad.listed.iter().all(|own| own.setting == "enclosed"), "a rule that is barred is not listed");
    assert!(bad.sentence.contains("not advised: `evidence 4`"), "{}", bad.sentence);
}

#[test]
fn a_table_of_digraphs_teaches_keys_without_a_text() {
    // The pairs of one text; the rule is judged on the others.
    let text: String = agogic_study::built_in_text("tide-station").unwrap().to_lowercase();
    let letter = |c: char| if c.is_ascii_lowercase() { c } else { ' ' };
    let text: Vec<char> = text.chars().map(letter).collect();
    let mut counts = std::collections::BTreeMap::new();
    for pair in text.windows(2).filter(|pair| *pair != [' ', ' ']) {
        *counts.entry((pair[0], pair[1])).or_insert(0) += 1;
    }
    let name = |c: &char| if *c == ' ' { "space".to_owned() } else { c.to_string() };
    let lines: Vec<String> = counts.iter().map(|((a, b), n)| format!("{},{},{n}\n", name(a), name(b))).collect();
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("pairs.csv"), format!("first,second,count\n{}", lines.concat())).unwrap();
    let spec = SPEC
        .replace("built_in = \"tide-station\"", "digraphs = \"pairs.csv\"\nletters = 15000\ncapital_words = 0.1")
        .replace("[\"slow\", \"trained\"]", "[\"volunteers\"]")
        .replace("rule = \"enclosed\"", "rule = \"key-evidence\"\nvalues = { threshold_nats = 2 }");
    let mut study = Study::read(&spec, folder.path()).unwrap();
    (study.training.typists, study.training.keys) = (40, 1500);
    let result = run(&Engine::new(&study).unwrap(), &|_| ());
    let (_, keys) = row(&result, "volunteers", "key-evidence threshold 2, bytes 1024");
    let (_, times) = row(&result, "volunteers", "evidence 2");
    let on = |row| value(row, "other English texts");
    assert!(2.0 * on(keys) < on(times), "what pairs teach serves on texts: {} {}", on(keys), on(times));
}

//! The README's table is what the model gives today, and each miss is explained.

use std::collections::BTreeSet;

use agogic_literature::{CheckPlan, Comparison, Role, Verdict, check, markdown, people_markdown, rows};
use agogic_typist::Population;

const README: &str = include_str!("../../README.md");
const TEXT: &str = include_str!("../../../../data-synthetic/texts/tide-station.txt");

fn explained() -> &'static str {
    README.split_once("## Each miss").expect("the README explains the misses").1
}

#[test]
fn the_table_is_fresh_and_every_miss_is_explained() {
    let comparisons = check(&CheckPlan::new(TEXT)).unwrap();
    assert_eq!(comparisons.len(), rows().count());
    // A row about a population the model has is simulated with that population.
    for c in comparisons.iter().filter(|c| Population::NAMES.contains(&c.row.population)) {
        if let Verdict::NotModelled(reason) = &c.verdict {
            assert!(!reason.contains("there is no population"), "{}: {reason}", c.row.id);
        }
    }
    people_are_fresh(&comparisons);
    let misses = |c: &&Comparison| c.verdict == Verdict::Misses && !c.row.is_of_people();
    for miss in comparisons.iter().filter(misses) {
        assert!(explained().contains(&format!("`{}`", miss.row.id)), "{} misses and is not explained", miss.row.id);
    }
    let table = README.split_once("<!-- begin table -->\n").unwrap().1.split_once("<!-- end table -->").unwrap().0;
    let fresh = markdown(&comparisons);
    let stale: Vec<&str> = fresh.lines().filter(|line| !table.contains(line)).collect();
    assert!(
        table == fresh,
        "the table of the README is stale; run `cargo run --release -p agogic-literature --example table -- \
         --write`. Lines now:\n{}",
        stale.join("\n")
    );
}

/// Run under the same plan as the table: what it says of people is what the model gives today.
fn people_are_fresh(comparisons: &[Comparison]) {
    const PEOPLE: &str = include_str!("../../PEOPLE.md");
    let fresh = people_markdown(comparisons);
    assert!(
        PEOPLE.ends_with(&fresh),
        "PEOPLE.md is stale; run `cargo run --release -p agogic-literature --example table -- --write`"
    );
}

#[test]
fn what_is_explained_is_a_row() {
    let ids: BTreeSet<&str> = rows().map(|row| row.id).collect();
    let names = explained().split('`').skip(1).step_by(2);
    for name in names.filter(|name| name.contains("20") && name.contains('-')) {
        assert!(ids.contains(name), "{name} is no row");
    }
}

#[test]
fn the_gestures_and_the_interval_were_set_well() {
    // The part of the calibration that a wrong setting would break first: the level of the interval and the
    // middle of the hold gestures.
    let comparisons = check(&CheckPlan { typists: 1000, ..CheckPlan::new(TEXT) }).unwrap();
    for id in [
        "dhakal2018-interval-mean",
        "dhakal2018-interval-sd",
        "dhakal2018-interval-p50",
        "dhakal2018-dwell-mean",
        "dhakal2018-rollover-slow",
        "dhakal2018-people-calibration-lead-p50",
        "dhakal2018-people-calibration-tail-p50",
        "dhakal2018-people-calibration-enclosed-mean-over-people",
        "dhakal2018-people-calibration-false-holds-dwell-cutoff-200",
    ] {
        let c = comparisons.iter().find(|c| c.row.id == id).unwrap();
        assert_eq!(c.row.role, Role::Calibration);
        assert_eq!(c.verdict, Verdict::Agrees, "{id}: {:?} against {}", c.simulated, c.row.value);
    }
}

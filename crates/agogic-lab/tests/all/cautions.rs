//! What a run of few typists, or without events, says about its own intervals.

use std::path::Path;

use agogic_lab::{ALL, ResultRow, Statistic, cautions_of, run};
use agogic_sim::Engine;
use agogic_stats::{Caution, FEWEST_DIFFERING};
use agogic_study::Study;

fn rows(typists: u32) -> Vec<ResultRow> {
    let spec = format!(
        r#"
name = "few"
seed = 11
[text]
built_in = "tide-station"
[typists]
number = {typists}
keys_each = 400
[inference]
reference = "first-contact"
[[policy]]
rule = "first-contact"
[[policy]]
rule = "enclosed"
[[policy]]
rule = "enclosed"
guards = {{ lull_ms = 150 }}
"#
    );
    let study = Study::read(&spec, Path::new(".")).expect("a sound spec");
    run(&Engine::new(&study).unwrap(), &|_| ()).rows
}

#[test]
fn five_typists_are_few_and_every_interval_says_so() {
    let rows = rows(5);
    let pooled = rows.iter().filter(|row| {
        let kinds = [Statistic::Pooled, Statistic::Difference, Statistic::DifferenceJoint];
        row.group == ALL && kinds.contains(&row.statistic) && row.estimate.interval().is_some()
    });
    let mut seen = 0;
    for row in pooled {
        let few = row.estimate.cautions.iter().find(|caution| caution.name() == "few_clusters");
        assert!(matches!(few, Some(Caution::FewClusters { n: 1..=5 })), "{row:?}");
        seen += 1;
    }
    assert!(seen > 40, "{seen}");
    let notes = cautions_of(&rows);
    assert!(notes.iter().any(|note| note.caution.name() == "few_clusters" && note.sentence.contains("typist")));
    let json = serde_json::to_value(&rows).unwrap();
    assert!(json.to_string().contains(r#""kind":"few_clusters""#));
}

/// Below 20 typists that differ no method gave limits that hold together.
#[test]
fn a_comparison_that_few_typists_carry_has_no_joint_limits_and_says_why() {
    let joint = |rows: Vec<ResultRow>| -> Vec<ResultRow> {
        rows.into_iter().filter(|row| row.statistic == Statistic::DifferenceJoint).collect()
    };
    for row in joint(rows(5)) {
        assert!(row.estimate.interval().is_none() && row.estimate.reason.is_some(), "{row:?}");
    }
    let (mut refused, mut given) = (0, 0);
    for row in joint(rows(45)).into_iter().filter(|row| row.estimate.mcse.is_some()) {
        let differing = row.estimate.informative.expect("each comparison counts who differs");
        assert_eq!(row.estimate.interval().is_some(), differing >= FEWEST_DIFFERING, "{row:?}");
        let cautioned = row.estimate.cautions.contains(&Caution::FewDiffering { n: differing });
        assert_eq!(cautioned, differing < FEWEST_DIFFERING.min(row.estimate.n), "{row:?}");
        refused += u64::from(row.estimate.interval().is_none());
        given += u64::from(row.estimate.interval().is_some());
    }
    assert!(refused > 0 && given > 20, "{refused} {given}");
}

#[test]
fn what_never_happened_is_a_bound_with_a_caution() {
    let rows = rows(45);
    let missed = rows
        .iter()
        .find(|row| {
            row.policy == "first-contact" && row.estimand == "missed_holds" && row.statistic == Statistic::Pooled
        })
        .expect("each policy has a rate");
    assert_eq!((missed.estimate.value, missed.estimate.lo), (Some(0.0), Some(0.0)));
    assert_eq!(missed.estimate.cautions, [Caution::NoEvents, Caution::OneText]);
    let false_holds = rows.iter().find(|row| row.estimand == "false_holds" && row.statistic == Statistic::Pooled);
    assert_eq!(false_holds.expect("a rate").estimate.cautions, [Caution::OneText]);
}

#[test]
fn joint_intervals_enclose_single_ones_and_say_how_precise_their_critical_value_is() {
    let rows = rows(45);
    let mut seen = 0;
    for joint in rows.iter().filter(|row| row.statistic == Statistic::DifferenceJoint) {
        let single = rows
            .iter()
            .find(|row| {
                row.statistic == Statistic::Difference
                    && row.group == ALL
                    && (&row.policy, &row.estimand) == (&joint.policy, &joint.estimand)
            })
            .expect("a difference beside each joint one");
        let (Some(inner), Some(outer)) = (single.estimate.interval(), joint.estimate.interval()) else { continue };
        assert!(outer.lo <= inner.lo && inner.hi <= outer.hi, "{joint:?}");
        let (critical, error) = (joint.estimate.critical.unwrap(), joint.estimate.critical_mcse.unwrap());
        assert!(critical >= 1.959 && error < 0.01 * critical, "{joint:?}");
        seen += 1;
    }
    assert!(seen > 20, "{seen}");
}

#[test]
fn limits_stay_within_the_range_of_the_quantity() {
    for row in rows(45).iter().filter(|row| row.group == ALL && row.statistic == Statistic::Pooled) {
        assert!(row.estimate.lo.is_none_or(|lo| lo >= 0.0), "{row:?}");
        assert!(!row.unit.starts_with("per 100 ") || row.estimate.hi.is_none_or(|hi| hi <= 100.0), "{row:?}");
    }
}

//! Wrong models are caught by the published values they contradict, and by no others.

use agogic_literature::{CheckPlan, Comparison, Verdict, compare, simulate};
use agogic_typist::{Population, Trait, TraitSpread};

const TEXT: &str = include_str!("../../../../data-synthetic/texts/tide-station.txt");

fn verdicts(population: &Population) -> Vec<Comparison> {
    let plan = CheckPlan { typists: 1000, resamples: 50, ..CheckPlan::new(TEXT) };
    compare(&simulate(population, &plan).unwrap())
}

fn of<'a>(comparisons: &'a [Comparison], id: &str) -> &'a Comparison {
    comparisons.iter().find(|c| c.row.id == id).unwrap_or_else(|| panic!("no row {id}"))
}

/// The population with one trait's median changed, and its spread if one is given.
fn planted(id: Trait, median: impl Fn(f64) -> f64, spread: Option<f64>) -> Population {
    let base = Population::volunteers();
    let was = base.spread_of(id);
    base.with_trait(id, TraitSpread { median: median(was.median), spread: spread.unwrap_or(was.spread) }).unwrap()
}

/// `wrong` must miss every row of `caught`, at least `flipped` of which the right model meets, and must
/// leave the verdict of every row of `untouched` as it is.
fn assert_caught(wrong: &Population, caught: &[&str], flipped: usize, untouched: &[&str]) {
    let (right, wrong) = (verdicts(&Population::volunteers()), verdicts(wrong));
    for id in caught {
        let c = of(&wrong, id);
        assert_eq!(c.verdict, Verdict::Misses, "{id}: {:?} against {}", c.simulated, c.row.value);
    }
    let met = caught.iter().filter(|id| of(&right, id).verdict == Verdict::Agrees).count();
    assert!(met >= flipped, "the right model meets only {met} of the rows that should catch the wrong one");
    for id in untouched {
        assert_eq!(of(&right, id).verdict, of(&wrong, id).verdict, "{id} should not notice");
    }
}

#[test]
fn typists_who_never_roll_are_caught() {
    // Keys that are let go before the next one can come.
    let wrong = planted(Trait::Dwell, |median| 0.25 * median, None);
    let caught = [
        "dhakal2018-rollover-mean",
        "dhakal2018-rollover-fast",
        "dhakal2018-rollover-fast-most",
        "dhakal2018-people-calibration-rolled-pairs",
        "dhakal2018-people-held-out-false-holds-first-contact",
        "dhakal2018-r-rollover-speed",
        "dias2023-rollover-60-to-80",
        "dias2023-rollover-from-80",
        "dias2023-r-speed-rollover",
    ];
    let untouched = [
        "dhakal2018-interval-mean",
        "dhakal2018-interval-p50",
        "dhakal2018-interval-skewness",
        "dhakal2018-speed-skewness",
        "dhakal2018-pair-other-hand",
        "dias2023-interval-p25",
        "crump2019-first-over-second",
        "dhakal2018-people-held-out-lead-p50",
    ];
    assert_caught(&wrong, &caught, 4, &untouched);
}

#[test]
fn one_hand_faster_than_two_is_caught() {
    let wrong = planted(Trait::SameHand, |_| -0.2, None);
    let caught = ["dhakal2018-pair-left", "dhakal2018-pair-benefit", "gentner1983-two-fingers-slower"];
    let untouched = [
        "dias2023-key-dwell-p25",
        "dhakal2018-pair-other-hand",
        "dhakal2018-r-interval-speed",
        "dhakal2018-interval-skewness",
        "dias2023-letter-to-space",
        "dias2023-key-dwell-p75",
        "killourhy2009-dwell-p90",
        "dhakal2018-people-held-out-lead-p50",
        "dhakal2018-people-held-out-enclosed-mean-over-people",
        "dhakal2018-people-held-out-tail-p50",
    ];
    assert_caught(&wrong, &caught, 2, &untouched);
}

#[test]
fn a_doubled_dwell_is_caught() {
    let wrong = planted(Trait::Dwell, |median| 2.0 * median, None);
    let caught = [
        "dhakal2018-dwell-mean",
        "dhakal2018-dwell-fast",
        "dhakal2018-dwell-slow",
        "dhakal2018-rollover-mean",
        "dias2023-dwell-mean",
        "dias2023-dwell-sd",
        "dias2023-rollover-below-60",
        "dias2023-rollover-from-80",
    ];
    // The level of the interval does notice a little: a doubled letter takes a dwell.
    let untouched = [
        "dhakal2018-interval-skewness",
        "dhakal2018-pair-other-hand",
        "dhakal2018-r-interval-speed",
        "dias2023-interval-p25",
        "dias2023-interval-p75",
        "crump2019-first-over-second",
        "dhakal2018-people-held-out-lead-p50",
    ];
    assert_caught(&wrong, &caught, 4, &untouched);
}

//! Known answers for intervals of one proportion.

use crate::stats_fixture::{close, list, number, numbers, printed, section};
use agogic_stats::{Interval, Level, Trials, binomial_mass, clopper_pearson, wilson, zero_event_upper};

type Method = fn(Trials, Level) -> Interval;

fn trials(x: u64, n: u64) -> Trials {
    Trials::new(x, n).unwrap()
}

/// Newcombe (1998), Statistics in Medicine 17:857, Table I. Status: seen
/// transcribed and reproduced.
#[test]
fn newcombe_table_1() {
    let methods: [(&str, Method); 2] = [("score", wilson), ("exact", clopper_pearson)];
    // x, n, then a lower and an upper limit for each method in turn.
    let table = "
         81 263   .2553 .3662   .2527 .3676
         15 148   .0624 .1605   .0578 .1617
          0  20   0     .1611   0     .1684
          1  29   .0061 .1718   .0009 .1776";
    for row in table.trim().lines() {
        let row: Vec<f64> = row.split_whitespace().map(|number| number.parse().unwrap()).collect();
        let (x, n) = (row[0] as u64, row[1] as u64);
        assert_eq!(row.len(), 2 + 2 * methods.len());
        for ((name, method), limits) in methods.iter().zip(row[2..].chunks(2)) {
            let interval = method(trials(x, n), Level::P95);
            printed(interval.lo, limits[0], 4, &format!("{name} lower {x}/{n}"));
            printed(interval.hi, limits[1], 4, &format!("{name} upper {x}/{n}"));
        }
    }
}

/// Status: computed, by two independent implementations. The upper limits for
/// three events are from sums of binomial terms in 40 digits, since common
/// implementations of the incomplete beta function err there in the ninth to
/// eleventh digit.
#[test]
fn exact_to_all_digits() {
    let table = [
        (81, 263, 0.25273674558527, 0.36762192260135),
        (1, 29, 0.000872646883580, 0.177644295488723),
        (0, 20, 0.0, 0.168433470983085),
        (1, 1_000_000, 2.5317807663794e-8, 5.5716306551669e-6),
        (3, 10_000_000, 6.1867216562506e-8, 8.76727054157975e-7),
        (3, 1_000_000_000, 6.186721233229e-10, 8.76727304446070e-9),
        (50_000, 100_000, 0.4968960624918, 0.5031039375082),
    ];
    for (x, n, lo, hi) in table {
        let interval = clopper_pearson(trials(x, n), Level::P95);
        close(interval.lo, lo, 1e-11, &format!("exact lower {x}/{n}"));
        close(interval.hi, hi, 1e-11, &format!("exact upper {x}/{n}"));
    }
}

#[test]
fn scipy_and_statsmodels() {
    let methods: [(&str, Method); 2] = [("wilson", wilson), ("clopper_pearson", clopper_pearson)];
    let section = section("binomial");
    for (name, method) in methods {
        for row in list(&section) {
            let (x, n) = (row["x"].as_u64().unwrap(), row["n"].as_u64().unwrap());
            let level = number(&row["level"]);
            let [lo, hi] = numbers(&row[name])[..] else { panic!("two limits of {name}") };
            let interval = method(trials(x, n), Level::new(level).unwrap());
            close(interval.lo, lo, 1e-9, &format!("{name} lower {x}/{n} at {level}"));
            close(interval.hi, hi, 1e-9, &format!("{name} upper {x}/{n} at {level}"));
        }
    }
}

#[test]
fn forty_digit_sums_on_rare_events() {
    let section = section("rare");
    for row in list(&section) {
        let (x, n) = (row["x"].as_u64().unwrap(), row["n"].as_u64().unwrap());
        let [lo, hi] = numbers(&row["clopper_pearson"])[..] else { panic!("two limits") };
        let interval = clopper_pearson(trials(x, n), Level::P95);
        close(interval.lo, lo, 1e-13, &format!("exact lower {x}/{n}"));
        close(interval.hi, hi, 1e-13, &format!("exact upper {x}/{n}"));
    }
}

/// Zero events, one-sided, α = .05. Status: computed.
#[test]
fn zero_events() {
    printed(zero_event_upper(100.0, Level::P95).unwrap(), 0.02951305, 8, "0/100");
    printed(zero_event_upper(1000.0, Level::P95).unwrap(), 0.00299125, 8, "0/1000");
}

/// Coverage by enumeration of all outcomes; the cases are those of Brown, Cai &
/// DasGupta (2001), Statistical Science 16:101. Status: computed.
#[test]
fn coverage_by_enumeration() {
    let coverage = |method: Method, n: u64, p: f64| -> f64 {
        (0..=n).map(|x| trials(x, n)).filter(|t| method(*t, Level::P95).contains(p)).map(|t| binomial_mass(t, p)).sum()
    };
    let cases: [(Method, u64, f64, f64); 4] = [
        (wilson, 100, 0.107, 0.949273),
        (clopper_pearson, 100, 0.107, 0.966772),
        (wilson, 592, 0.005, 0.968836),
        (clopper_pearson, 592, 0.005, 0.989143),
    ];
    for (method, n, p, expected) in cases {
        printed(coverage(method, n, p), expected, 6, &format!("n = {n}, p = {p}"));
    }
}

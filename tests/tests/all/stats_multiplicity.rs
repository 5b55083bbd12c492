//! Known answers for several tests at once, and for equivalence.

// A published measurement happens to look like a rounded circle constant.
#![allow(clippy::approx_constant)]

use crate::stats_fixture::{close, list, numbers, printed, section};
use agogic_stats::{Clusters, Equivalence, Interval, Level, Sides, holm, max_t_critical, max_t_upper, tost_clusters};

/// Benjamini & Hochberg (1995), Journal of the Royal Statistical Society B
/// 57:289, section 4. Status: seen transcribed.
const FIFTEEN: [f64; 15] = [
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0,
];

#[test]
fn fifteen_p_values() {
    let rejected = |p: &[f64]| p.iter().filter(|p| **p <= 0.05).count();
    let bonferroni = FIFTEEN.map(|p| (15.0 * p).min(1.0));
    assert_eq!(rejected(&bonferroni), 3);
    let adjusted = holm(&FIFTEEN).unwrap();
    let known = [0.0015, 0.0056, 0.0247, 0.1140, 0.2211, 0.2780, 0.2780, 0.2780, 0.3213, 1.0];
    for (found, expected) in adjusted.iter().zip(known) {
        printed(*found, expected, 4, "Holm");
    }
}

#[test]
fn corrections_as_statsmodels() {
    let section = section("corrections");
    for row in list(&section) {
        let [p, by_holm] = [0, 1].map(|i| numbers(&row[i]));
        for (found, expected) in holm(&p).unwrap().iter().zip(by_holm) {
            assert!((found - expected).abs() < 1e-15, "Holm {found} {expected}");
        }
    }
}

/// Dunnett (1955), Journal of the American Statistical Association 50:1096,
/// tables 1 and 2, to more digits. Status: computed.
#[test]
fn equicorrelated_critical_values() {
    for (k, df, two, one) in [
        (3, 10.0, 2.75899698, 2.33755907),
        (2, 30.0, 2.32075225, 1.98902569),
        (5, 30.0, 2.65685449, 2.33518005),
        (9, 20.0, 2.94628151, 2.60074779),
    ] {
        printed(max_t_critical(k, 0.5, df, 0.05, Sides::Two).unwrap(), two, 8, "two-sided");
        printed(max_t_critical(k, 0.5, df, 0.05, Sides::One).unwrap(), one, 8, "one-sided");
    }
}

/// Dunnett (1955), section 5: blood counts of animals, control and two drugs.
/// Status: p-values read in the documentation of another implementation.
#[test]
fn dunnett_blood_counts() {
    let control = [7.40, 8.50, 7.20, 8.24, 9.84, 8.32];
    let drugs = [&[9.76, 8.80, 7.68, 9.36][..], &[12.80, 9.68, 12.16, 9.20, 10.55][..]];
    let mean = |x: &[f64]| x.iter().sum::<f64>() / x.len() as f64;
    let squares = |x: &[f64]| x.iter().map(|v| (v - mean(x)).powi(2)).sum::<f64>();
    let df = 12.0;
    let pooled = (squares(&control) + drugs.iter().map(|d| squares(d)).sum::<f64>()) / df;
    let loadings = drugs.map(|d| (d.len() as f64 / (d.len() + control.len()) as f64).sqrt());
    for (drug, known) in drugs.iter().zip([0.6201, 0.0058]) {
        let error = (pooled * (1.0 / drug.len() as f64 + 1.0 / control.len() as f64)).sqrt();
        let t = (mean(drug) - mean(&control)).abs() / error;
        printed(max_t_upper(&loadings, df, t, Sides::Two).unwrap(), known, 4, "p");
    }
}

/// The paired t tests, as clusters with a denominator of 1.
fn held(first: &[f64], second: &[f64], margin: Interval) -> Equivalence {
    let clusters = |values: &[f64]| Clusters::ratio("person", values.iter().map(|&y| (y, 1.0))).unwrap();
    tost_clusters(&clusters(first), &clusters(second), margin, Level::P90).unwrap()
}

/// Status: read in the documentation of another implementation.
#[test]
#[expect(clippy::approx_constant, reason = "3.14 was measured")]
fn equivalence_of_two_treatments() {
    let active = [2.84, 2.51, 2.41, 2.95, 3.14, 3.79, 4.14, 3.85, 3.02, 3.45, 5.37, 3.81, 4.19, 3.16, 3.84];
    let placebo = [2.60, 2.82, 2.18, 3.46, 4.01, 3.04, 3.47, 4.06, 2.91, 3.59, 4.51, 3.16, 3.86, 3.31, 3.02];
    let margin = Interval { lo: -0.6, hi: 0.6 };
    let paired = held(&active, &placebo, margin);
    printed(paired.p_value().unwrap(), 0.003166881489, 12, "paired");
    assert!(paired.is_equivalent(0.05) && !paired.is_equivalent(0.003));
}

#[test]
fn equivalence_as_statsmodels() {
    let section = section("equivalence");
    let (first, second) = (numbers(&section["first"]), numbers(&section["second"]));
    let test = held(&first, &second, Interval { lo: -0.8, hi: 0.5 });
    let [p, lower, upper] = numbers(&section["paired"])[..] else { panic!("three numbers") };
    close(test.p_value().unwrap(), p, 1e-11, "both");
    close(test.p_lower.unwrap(), lower, 1e-11, "lower");
    close(test.p_upper.unwrap(), upper, 1e-11, "upper");
}

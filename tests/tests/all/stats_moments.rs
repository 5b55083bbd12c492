//! Known answers for means, spreads, quantiles and correlations.

use crate::stats_fixture::{close, list, number, numbers, reference, section};
use agogic_stats::{Level, Moments, lag1_autocorrelation, mean, pearson, pearson_fisher, quantile, standard_deviation};

/// Certified values of the NIST Statistical Reference Datasets.
#[test]
fn nist_certified_values() {
    let reference = reference("nist.json");
    for set in list(&reference["sets"]) {
        let name = set["name"].as_str().unwrap();
        let values = numbers(&set["values"]);
        // Mavro varies in the fourth decimal only, which costs f64 three digits.
        let near = if name == "Mavro" { 1e-12 } else { 1e-14 };
        close(mean(&values).unwrap(), number(&set["mean"]), 1e-14, name);
        close(standard_deviation(&values).unwrap(), number(&set["sd"]), near, name);
        close(lag1_autocorrelation(&values).unwrap(), number(&set["lag1"]), 10.0 * near, name);
        let mut stream = Moments::new();
        values.iter().for_each(|value| stream.push(*value));
        close(stream.mean().unwrap(), number(&set["mean"]), 1e-13, name);
        close(stream.standard_deviation().unwrap(), number(&set["sd"]), 1e-11, name);
    }
}

/// NIST NumAcc1, NumAcc2, NumAcc3 and NumAcc4, which are defined by a rule. The
/// certified SD of NumAcc4 is .1; no method on f64 can do better than
/// .1000000005587935, because 10000000.1 is not an f64. Status: seen transcribed
/// and reproduced.
#[test]
fn nist_made_to_break_sums() {
    assert_eq!(standard_deviation(&[10000001.0, 10000003.0, 10000002.0]), Some(1.0));
    let alternating = |first: f64, low: f64, high: f64| -> Vec<f64> {
        let pairs = (0..1000).map(|i| if i % 2 == 0 { low } else { high });
        std::iter::once(first).chain(pairs).collect()
    };
    let cases = [
        (alternating(1.2, 1.1, 1.3), 1.2, 0.1, 1e-14),
        (alternating(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, 1e-9),
        (alternating(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1000000005587935, 1e-14),
    ];
    for (values, center, spread, near) in cases {
        close(mean(&values).unwrap(), center, 1e-15, "mean");
        close(standard_deviation(&values).unwrap(), spread, near, "SD");
        close(lag1_autocorrelation(&values).unwrap(), -0.999, 1e-8, "r1");
    }
}

#[test]
fn numpy_and_scipy() {
    let section = section("samples");
    let (first, second) = (numbers(&section["first"]), numbers(&section["second"]));
    for pair in list(&section["quantiles"]) {
        let [p, expected] = numbers(pair)[..] else { panic!("two numbers") };
        close(quantile(&first, p).unwrap(), expected, 1e-14, &format!("quantile {p}"));
    }
    let [r, lo, hi] = numbers(&section["pearson"])[..] else { panic!("three numbers") };
    let estimate = pearson_fisher(&first, &second, Level::P95, "school").unwrap();
    close(estimate.value.unwrap(), r, 1e-13, "r");
    close(estimate.lo.unwrap(), lo, 1e-12, "lower");
    close(estimate.hi.unwrap(), hi, 1e-12, "upper");
    // Efron & Tibshirani (1993), law schools. Status: computed, by two
    // independent implementations.
    close(pearson(&first, &second).unwrap(), 0.776374491289407, 1e-14, "law school r");
}

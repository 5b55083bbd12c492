//! The bootstrap intervals against SciPy, on every resample of five clusters.

use crate::stats_fixture::{close, list, number, numbers, section};
use agogic_stats::{Clusters, Level, Resamples, ratio_jackknife};

#[test]
fn every_resample_once() {
    let section = section("bootstrap");
    let pairs = list(&section["clusters"]).iter().map(|pair| {
        let pair = numbers(pair);
        (pair[0], pair[1])
    });
    let clusters = Clusters::proportion("typist", pairs).unwrap();
    let k = clusters.len();
    let values: Vec<f64> = (0..k.pow(k as u32))
        .map(|index| {
            let positions: Vec<usize> = (0..k).map(|digit| index / k.pow(digit as u32) % k).collect();
            clusters.ratio_of(&positions).unwrap()
        })
        .collect();
    let all: Vec<usize> = (0..k).collect();
    let observed = clusters.ratio_of(&all).unwrap();
    close(observed, number(&section["observed"]), 1e-14, "observed");
    let resamples = Resamples::from_values(observed, k, values).unwrap();
    close(resamples.standard_error().unwrap(), number(&section["se"]), 1e-12, "SE");
    let jackknife = ratio_jackknife(&clusters).unwrap();
    for (name, level) in [("0.9", Level::P90), ("0.95", Level::P95)] {
        let intervals = [
            ("percentile", resamples.percentile(level, "typist")),
            ("bca", resamples.bca(&jackknife, level, "typist")),
        ];
        for (method, estimate) in intervals {
            let [lo, hi] = numbers(&section[format!("{method}_{name}")])[..] else { panic!("two limits") };
            close(estimate.lo.unwrap(), lo, 1e-9, &format!("{method} lower at {name}"));
            close(estimate.hi.unwrap(), hi, 1e-9, &format!("{method} upper at {name}"));
        }
    }
}

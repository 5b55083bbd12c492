//! Known answers for ratios over clusters.

use crate::stats_fixture::{close, list, number, numbers, printed, section};
use agogic_stats::{
    Clusters, DfAdjustment, Level, korn_graubard, paired_difference, paired_rate_ratio, ratio, ratio_jackknife_error,
    ratio_logit, ratio_standard_error,
};

/// Weil (1970), Food and Cosmetics Toxicology 8:177: pups of 16 litters alive
/// after 21 days, of those alive after 4. Status of the data: from memory.
const CONTROL: &str = "13/13 12/12 9/9 9/9 8/8 8/8 12/13 11/12 9/10 9/10 8/9 11/13 4/5 5/7 7/10 7/10";
const TREATED: &str = "12/12 11/11 10/10 9/9 10/11 9/10 9/10 8/9 8/9 4/5 7/9 4/7 5/10 3/6 3/10 0/7";

/// Five clusters that only the fixture knows.
const SMALL: &str = "1/10 0/7 4/12 2/9 5/8";

/// Cochran (1977), Sampling Techniques: inhabitants of 49 cities in thousands,
/// 1920 and 1930.
const CITIES_1920: [f64; 49] = [
    138.0, 93.0, 61.0, 179.0, 48.0, 37.0, 29.0, 23.0, 30.0, 2.0, 38.0, 46.0, 71.0, 25.0, 298.0, 74.0, 50.0, 76.0,
    381.0, 387.0, 78.0, 60.0, 507.0, 50.0, 77.0, 64.0, 40.0, 136.0, 243.0, 256.0, 94.0, 36.0, 45.0, 67.0, 120.0, 172.0,
    66.0, 46.0, 121.0, 44.0, 64.0, 56.0, 40.0, 116.0, 87.0, 43.0, 43.0, 161.0, 36.0,
];
const CITIES_1930: [f64; 49] = [
    143.0, 104.0, 69.0, 260.0, 75.0, 63.0, 50.0, 48.0, 111.0, 50.0, 52.0, 53.0, 79.0, 57.0, 317.0, 93.0, 58.0, 80.0,
    464.0, 459.0, 106.0, 57.0, 634.0, 64.0, 89.0, 77.0, 60.0, 139.0, 291.0, 288.0, 85.0, 46.0, 53.0, 67.0, 115.0,
    183.0, 86.0, 65.0, 113.0, 58.0, 63.0, 142.0, 64.0, 130.0, 105.0, 61.0, 50.0, 232.0, 54.0,
];

fn litters(counts: &str) -> Clusters {
    let pairs = counts.split_whitespace().map(|pair| {
        let (alive, pups) = pair.split_once('/').unwrap();
        (alive.parse().unwrap(), pups.parse().unwrap())
    });
    Clusters::counts("litter", pairs).unwrap()
}

/// Status: computed, by two independent implementations.
#[test]
fn cities() {
    let cities = Clusters::ratio("city", CITIES_1930.into_iter().zip(CITIES_1920)).unwrap();
    close(ratio(&cities, Level::P95).value.unwrap(), 1.23901859913, 1e-11, "R");
    close(ratio_standard_error(&cities).unwrap(), 0.0345014301371, 1e-11, "SE");
}

/// Status: computed, by two independent implementations, one of them a package
/// for survey data; the intervals without adjustment and the logit: computed.
#[test]
fn litters_by_hand() {
    struct Known {
        data: &'static str,
        total: (f64, f64),
        linearised: f64,
        jackknife: f64,
        adjusted: [f64; 2],
        unadjusted: [f64; 2],
        logit: [f64; 2],
    }
    let known = [
        Known {
            data: CONTROL,
            total: (142.0, 158.0),
            linearised: 0.0266447215,
            jackknife: 0.0266669805,
            adjusted: [0.826621579, 0.948077393],
            unadjusted: [0.833002733, 0.944996826],
            logit: [0.826242484, 0.943066297],
        },
        Known {
            data: TREATED,
            total: (112.0, 145.0),
            linearised: 0.0692260782,
            jackknife: 0.0692483223,
            adjusted: [0.588944650, 0.901916095],
            unadjusted: [0.604379254, 0.894080116],
            logit: [0.594507326, 0.887089698],
        },
    ];
    for case in known {
        let clusters = litters(case.data);
        assert_eq!(clusters.totals(), case.total);
        printed(ratio_standard_error(&clusters).unwrap(), case.linearised, 10, "linearised SE");
        printed(ratio_jackknife_error(&clusters).unwrap(), case.jackknife, 10, "jackknife SE");
        let intervals = [
            ("adjusted", korn_graubard(&clusters, DfAdjustment::Adjusted, Level::P95), case.adjusted),
            ("unadjusted", korn_graubard(&clusters, DfAdjustment::Unadjusted, Level::P95), case.unadjusted),
            ("logit", ratio_logit(&clusters, Level::P95), case.logit),
        ];
        for (name, estimate, [lo, hi]) in intervals {
            let interval = estimate.interval().unwrap();
            // Some of these were cut and not rounded after the ninth decimal.
            assert!((interval.lo - lo).abs() < 1e-9, "{name} lower {} {lo}", interval.lo);
            assert!((interval.hi - hi).abs() < 1e-9, "{name} upper {} {hi}", interval.hi);
        }
    }
}

/// The mean of 0/1 outcomes with a cluster-robust error is the same estimator.
#[test]
fn statsmodels_cluster_robust_mean() {
    let section = section("clustered");
    for row in list(&section) {
        let clusters = litters(match row["name"].as_str().unwrap() {
            "control" => CONTROL,
            "treated" => TREATED,
            _ => SMALL,
        });
        let estimate = ratio(&clusters, Level::P95);
        close(estimate.value.unwrap(), number(&row["ratio"]), 1e-12, "R");
        close(estimate.mcse.unwrap(), number(&row["se"]), 1e-11, "SE");
        // Limits of a proportion are cut at 0 and 1; those of least squares are not.
        close(estimate.lo.unwrap(), number(&row["lo"]).max(0.0), 1e-11, "lower");
        close(estimate.hi.unwrap(), number(&row["hi"]).min(1.0), 1e-11, "upper");
        let [lo, hi] = numbers(&row["logit"])[..] else { panic!("two limits") };
        let logit = ratio_logit(&clusters, Level::P95).interval().unwrap();
        close(logit.lo, lo, 1e-10, "lower on the logit scale");
        close(logit.hi, hi, 1e-10, "upper on the logit scale");
    }
}

#[test]
fn statsmodels_paired_contrasts() {
    let section = section("paired");
    let (first, second) = (litters(CONTROL), litters(TREATED));
    let [value, se, lo, hi] = numbers(&section["difference"])[..] else { panic!("four numbers") };
    let difference = paired_difference(&first, &second, Level::P95).unwrap();
    close(difference.value.unwrap(), value, 1e-11, "difference");
    close(difference.mcse.unwrap(), se, 1e-10, "SE of the difference");
    close(difference.lo.unwrap(), lo, 1e-9, "lower limit of the difference");
    close(difference.hi.unwrap(), hi, 1e-9, "upper limit of the difference");

    let [value, log_se, lo, hi] = numbers(&section["rate_ratio"])[..] else { panic!("four numbers") };
    let quotient = paired_rate_ratio(&first, &second, Level::P95).unwrap();
    close(quotient.value.unwrap(), value, 1e-9, "rate ratio");
    close(quotient.mcse.unwrap(), value * log_se, 1e-9, "SE of the rate ratio");
    close(quotient.lo.unwrap(), lo, 1e-9, "lower limit of the rate ratio");
    close(quotient.hi.unwrap(), hi, 1e-9, "upper limit of the rate ratio");
}

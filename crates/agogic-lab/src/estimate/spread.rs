//! The distribution over typists: a mean says nothing about whom a policy fails.

use agogic_stats::{
    Clusters, Estimate, Level, QuantileError, RateDistribution, Trials, clopper_pearson, design_effect,
    quantile_interval, share_at_most, variance_components,
};
use agogic_study::{EstimandInfo, Inference};

use super::Statistic;

/// Something about the spread of one policy's rates over typists.
pub(super) struct Spread {
    pub statistic: Statistic,
    pub unit: &'static str,
    pub against: Option<f64>,
    pub estimate: Estimate,
}

/// Estimands whose opportunities are trials, nearly independent given the typist: of these alone can the noise of a finite
/// session be taken out. Keys per word, times and distances of texts come in bursts.
const TRIALS: [&str; 2] = ["false_holds", "missed_holds"];

/// Quantiles over typists and shares of typists within the limits, in sessions of `keys` presses and of true rates, and
/// variance components.
pub(super) fn all(inference: &Inference, info: &'static EstimandInfo, own: &Clusters, keys: usize) -> Vec<Spread> {
    let mut spread = in_sessions(inference, info, own, keys);
    if TRIALS.contains(&info.name) {
        spread.extend(of_true_rates(inference, info, own));
    }
    if info.proportion {
        spread.extend(components(inference.level, own));
    }
    spread
}

/// Every place of a distribution that is reported: its statistic for sessions, that for true rates, and the share below.
const QUANTILES: [(Statistic, Statistic, f64); 3] = [
    (Statistic::MedianSession, Statistic::MedianTypist, 0.5),
    (Statistic::P90Session, Statistic::P90Typist, 0.9),
    (Statistic::P95Session, Statistic::P95Typist, 0.95),
];

/// The limits of the spec on an estimand.
fn limits<'a>(inference: &'a Inference, info: &'a EstimandInfo) -> impl Iterator<Item = f64> + 'a {
    inference.limits.iter().filter(|line| line.info.name == info.name).map(|line| line.value)
}

/// The distribution of true rates over typists.
fn of_true_rates(inference: &Inference, info: &'static EstimandInfo, own: &Clusters) -> Vec<Spread> {
    let level = inference.level;
    let fitted = RateDistribution::fit(own);
    let of = |estimate: &dyn Fn(&RateDistribution) -> Estimate| match &fitted {
        Ok(rates) => estimate(rates),
        Err(refused) => {
            let n = own.used() as u64;
            Estimate::unknown(&refused.to_string(), RateDistribution::METHOD, level, own.unit(), n)
        }
    };
    let quantiles = QUANTILES.map(|(_, statistic, p)| {
        let estimate = info.scaled(of(&|rates| rates.quantile(p, level)));
        Spread { statistic, unit: info.unit, against: None, estimate }
    });
    let shares = limits(inference, info).map(|limit| {
        let estimate = of(&|rates| rates.share_at_most(limit / info.scale, level));
        let statistic = Statistic::ShareWithinLimit;
        Spread { statistic, unit: "share of typists", against: Some(limit), estimate }
    });
    quantiles.into_iter().chain(shares).collect()
}

/// The distribution of what was seen: it hangs on the length of the sessions.
fn in_sessions(inference: &Inference, info: &'static EstimandInfo, own: &Clusters, keys: usize) -> Vec<Spread> {
    let level = inference.level;
    let mut values: Vec<f64> = own
        .numerators()
        .iter()
        .zip(own.denominators())
        .filter(|(_, size)| **size > 0.0)
        .map(|(events, size)| events / size * info.scale)
        .collect();
    // Each quantile sorts them: what is in order already takes no time.
    values.sort_unstable_by(f64::total_cmp);
    let known = |done: Result<Estimate, QuantileError>, method: &str| {
        let method = format!("{method}, per session of {keys} presses");
        match done {
            Ok(estimate) => Estimate { method, ..estimate },
            Err(_) => Estimate::unknown("no typist had an opportunity", &method, level, "typist", 0),
        }
    };
    let mut spread = Vec::new();
    for (statistic, _, p) in QUANTILES {
        let estimate = known(quantile_interval(&values, p, level, "typist"), "quantile, order statistics");
        spread.push(Spread { statistic, unit: info.unit, against: None, estimate });
    }
    for limit in limits(inference, info) {
        let estimate = known(share_at_most(&values, limit, level, "typist"), "share at or below the limit, exact");
        let statistic = Statistic::ShareOfSessionsWithinLimit;
        spread.push(Spread { statistic, unit: "share of sessions", against: Some(limit), estimate });
    }
    spread
}

/// How alike the events of one typist are.
fn components(level: Level, own: &Clusters) -> [Spread; 2] {
    let of = |value: Option<f64>, method: &str| {
        let n = own.used() as u64;
        match value {
            Some(value) => Estimate::new(value, method, level, "typist", n)
                .because("no interval: a diagnostic of the other intervals"),
            None => Estimate::unknown("no events, or fewer than two typists with them", method, level, "typist", n),
        }
    };
    let found = variance_components(own).ok().filter(|_| own.used() > 1).and_then(|parts| parts.icc());
    let icc = of(found, "analysis of variance");
    let effect = of(design_effect(own), "linearised over binomial variance");
    [
        Spread { statistic: Statistic::Icc, unit: "correlation", against: None, estimate: icc },
        Spread { statistic: Statistic::DesignEffect, unit: "factor", against: None, estimate: effect },
    ]
}

/// A share of units with its exact interval; `none` says why where there are no units.
pub(crate) fn exact_share((count, n): (u64, u64), method: &str, level: Level, unit: &str, none: &str) -> Estimate {
    match Trials::new(count, n) {
        Ok(trials) => {
            Estimate::new(trials.proportion(), method, level, unit, n).with_interval(clopper_pearson(trials, level))
        }
        Err(_) => Estimate::unknown(none, method, level, unit, 0),
    }
}

/// Shares of typists with less, with more and with as much as under another policy. The three add up to one.
///
/// What is compared are sessions of `keys` presses: a longer session could tip the balance of a typist, and part ties.
pub(super) fn shares(
    inference: &Inference,
    own: &Clusters,
    other: &Clusters,
    keys: usize,
) -> Vec<(Statistic, Estimate)> {
    let method = format!("share of typists, exact, per session of {keys} presses");
    let level = inference.level;
    let rate = |clusters: &Clusters, i: usize| {
        let size = clusters.denominators()[i];
        (size > 0.0).then(|| clusters.numerators()[i] / size)
    };
    let both = (0..own.len()).filter_map(|i| rate(own, i).zip(rate(other, i)));
    let (mut less, mut more, mut n) = (0, 0, 0);
    for (a, b) in both {
        less += u64::from(a < b);
        more += u64::from(a > b);
        n += 1;
    }
    let none = "no typist had an opportunity under both";
    let share = |count: u64| exact_share((count, n), &method, level, "typist", none);
    let counts = [(Statistic::ShareLess, less), (Statistic::ShareMore, more), (Statistic::ShareTied, n - less - more)];
    counts.map(|(statistic, count)| (statistic, share(count))).into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_stats::Level;
    use agogic_study::{IntervalMethod, Line};

    #[test]
    fn the_treated_litters_of_weil() {
        // Weil 1970, Food and Cosmetics Toxicology 8:177 (data and citation from memory); values computed with R survey
        // and by a second implementation: intracluster correlation .37213481, design effect 3.95286063.
        let treated = [
            (12, 12),
            (11, 11),
            (10, 10),
            (9, 9),
            (10, 11),
            (9, 10),
            (9, 10),
            (8, 9),
            (8, 9),
            (4, 5),
            (7, 9),
            (4, 7),
            (5, 10),
            (3, 6),
            (3, 10),
            (0, 7),
        ];
        let info = EstimandInfo::by_name("false_holds").unwrap();
        let own = Clusters::counts("typist", treated).unwrap();
        let inference = Inference {
            level: Level::P95,
            versus: Vec::new(),
            interval: IntervalMethod::Default,
            resamples: 500,
            limits: vec![Line { info, value: 500.0 }],
            margins: Vec::new(),
        };
        let all = all(&inference, info, &own, 100);
        let of = |wanted| all.iter().find(|s| s.statistic == wanted).unwrap().estimate.value.unwrap();
        assert!((of(Statistic::Icc) - 0.37213481).abs() < 1e-8);
        assert!((of(Statistic::DesignEffect) - 3.95286063).abs() < 1e-8);
        // Four litters have at most half: 5/10, 3/6, 3/10, 0/7.
        assert_eq!(of(Statistic::ShareOfSessionsWithinLimit), 0.25);
        let quantile = all.iter().find(|s| s.statistic == Statistic::P90Session).unwrap();
        assert_eq!(quantile.estimate.method, "quantile, order statistics, per session of 100 presses");
        // Sixteen litters are too few to tell true rates apart.
        let within = all.iter().find(|s| s.statistic == Statistic::ShareWithinLimit).unwrap();
        assert!(
            within.estimate.value.is_none() && within.estimate.reason.as_deref().unwrap().contains("fewer than 20")
        );
    }

    #[test]
    fn shares_name_ties_and_leave_out_those_without_opportunity() {
        let own = Clusters::counts("typist", [(1, 10), (2, 10), (3, 10), (0, 0), (4, 10)]).unwrap();
        let other = Clusters::counts("typist", [(2, 10), (2, 10), (1, 10), (1, 10), (5, 10)]).unwrap();
        let inference = Inference {
            level: Level::P95,
            versus: Vec::new(),
            interval: IntervalMethod::Default,
            resamples: 500,
            limits: Vec::new(),
            margins: Vec::new(),
        };
        let values: Vec<_> = shares(&inference, &own, &other, 100).into_iter().map(|(_, e)| (e.value, e.n)).collect();
        assert_eq!(values, [(Some(0.5), 4), (Some(0.25), 4), (Some(0.25), 4)]);
    }

    /// Binomial noise about two true rates, 2 and 30 per 1000: half of the typists keep to 10. Of short sessions fewer do.
    #[test]
    fn shares_of_typists_do_not_hang_on_the_length_of_sessions() {
        let info = EstimandInfo::by_name("false_holds").unwrap();
        let (limits, margins) = (vec![Line { info, value: 10.0 }], Vec::new());
        let interval = IntervalMethod::Default;
        let inference = Inference { level: Level::P95, versus: Vec::new(), interval, resamples: 500, limits, margins };
        let shares = |taps: u64| {
            // Counts in the shares that the binomial gives them, 400 typists of each kind.
            let of_rate = |rate: f64| {
                (0..=taps).flat_map(move |x| {
                    let mass = agogic_stats::binomial_mass(Trials::new(x, taps).unwrap(), rate);
                    std::iter::repeat_n((x, taps), (400.0 * mass).round() as usize)
                })
            };
            let own = Clusters::counts("typist", of_rate(0.002).chain(of_rate(0.03))).unwrap();
            let all = all(&inference, info, &own, 5 * taps as usize);
            let of = |wanted| all.iter().find(|s| s.statistic == wanted).unwrap().estimate.clone();
            (of(Statistic::ShareWithinLimit), of(Statistic::ShareOfSessionsWithinLimit).value.unwrap())
        };
        let ((short, seen_short), (long, seen_long)) = (shares(90), shares(3000));
        for found in [&short, &long] {
            assert!(found.interval().unwrap().contains(0.5), "{found:?}");
        }
        assert!(seen_short < 0.47 && (seen_long - 0.5).abs() < 0.01, "{seen_short} {seen_long}");
        assert!(short.reason.unwrap().contains("below one event") && long.reason.is_none());
    }

    #[test]
    fn nobody_with_an_opportunity_is_unknown() {
        let info = EstimandInfo::by_name("missed_holds").unwrap();
        let own = Clusters::counts("typist", [(0, 0), (0, 0)]).unwrap();
        let (limits, margins) = (vec![Line { info, value: 5.0 }], Vec::new());
        let interval = IntervalMethod::Default;
        let inference = Inference { level: Level::P95, versus: Vec::new(), interval, resamples: 500, limits, margins };
        let all = all(&inference, info, &own, 100);
        assert!(all.len() == 10 && all.iter().all(|s| s.estimate.value.is_none() && s.estimate.reason.is_some()));
    }
}

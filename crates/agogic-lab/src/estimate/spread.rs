//! The distribution over typists: a mean says nothing about whom a policy fails.

use agogic_stats::{
    Clusters, Estimate, Level, QuantileError, Trials, clopper_pearson, design_effect, quantile_interval, share_at_most,
    variance_components,
};

use super::{EstimandInfo, Inference, Statistic};

/// Something about the spread of one policy's rates over typists.
pub(super) struct Spread {
    pub statistic: Statistic,
    pub unit: &'static str,
    pub against: Option<f64>,
    pub estimate: Estimate,
}

/// Quantiles over typists, shares of typists within the limits, and variance components.
pub(super) fn all(inference: &Inference, info: &'static EstimandInfo, own: &Clusters) -> Vec<Spread> {
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
        done.unwrap_or_else(|_| Estimate::unknown("no typist had an opportunity", method, level, "typist", 0))
    };
    let mut spread = Vec::new();
    let quantiles = [(Statistic::MedianTypist, 0.5), (Statistic::P90Typist, 0.9), (Statistic::P95Typist, 0.95)];
    for (statistic, p) in quantiles {
        let estimate = known(quantile_interval(&values, p, level, "typist"), "quantile, order statistics");
        spread.push(Spread { statistic, unit: info.unit, against: None, estimate });
    }
    for line in inference.limits.iter().filter(|line| line.info.name == info.name) {
        let done = share_at_most(&values, line.value, level, "typist");
        let estimate = known(done, "share of units at or below the limit, exact");
        let against = Some(line.value);
        spread.push(Spread { statistic: Statistic::ShareWithinLimit, unit: "share of typists", against, estimate });
    }
    if info.proportion {
        let of = |value: Option<f64>, method: &str, reason: &str| match value {
            Some(value) => Estimate::new(value, method, level, "typist", own.used() as u64)
                .because("no interval: a diagnostic of the other intervals"),
            None => Estimate::unknown(reason, method, level, "typist", own.used() as u64),
        };
        let components = variance_components(own).ok().filter(|_| own.used() > 1).and_then(|parts| parts.icc());
        let reason = "no events, or fewer than two typists with them";
        let icc = of(components, "analysis of variance", reason);
        spread.push(Spread { statistic: Statistic::Icc, unit: "correlation", against: None, estimate: icc });
        let effect = of(design_effect(own), "linearised over binomial variance", reason);
        spread.push(Spread { statistic: Statistic::DesignEffect, unit: "factor", against: None, estimate: effect });
    }
    spread
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
pub(super) fn shares(inference: &Inference, own: &Clusters, other: &Clusters) -> Vec<(Statistic, Estimate)> {
    const METHOD: &str = "share of typists, exact";
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
    let share = |count: u64| exact_share((count, n), METHOD, level, "typist", none);
    let counts = [(Statistic::ShareLess, less), (Statistic::ShareMore, more), (Statistic::ShareTied, n - less - more)];
    counts.map(|(statistic, count)| (statistic, share(count))).into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::{IntervalMethod, Line};
    use agogic_stats::Level;

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
        let all = all(&inference, info, &own);
        let of = |wanted| all.iter().find(|s| s.statistic == wanted).unwrap().estimate.value.unwrap();
        assert!((of(Statistic::Icc) - 0.37213481).abs() < 1e-8);
        assert!((of(Statistic::DesignEffect) - 3.95286063).abs() < 1e-8);
        // Four litters have at most half: 5/10, 3/6, 3/10, 0/7.
        assert_eq!(of(Statistic::ShareWithinLimit), 0.25);
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
        let values: Vec<_> = shares(&inference, &own, &other).into_iter().map(|(_, e)| (e.value, e.n)).collect();
        assert_eq!(values, [(Some(0.5), 4), (Some(0.25), 4), (Some(0.25), 4)]);
    }

    #[test]
    fn nobody_with_an_opportunity_is_unknown() {
        let info = EstimandInfo::by_name("missed_holds").unwrap();
        let own = Clusters::counts("typist", [(0, 0), (0, 0)]).unwrap();
        let (limits, margins) = (vec![Line { info, value: 5.0 }], Vec::new());
        let interval = IntervalMethod::Default;
        let inference = Inference { level: Level::P95, versus: Vec::new(), interval, resamples: 500, limits, margins };
        let all = all(&inference, info, &own);
        assert!(all.len() == 6 && all.iter().all(|s| s.estimate.value.is_none() && s.estimate.reason.is_some()));
    }
}

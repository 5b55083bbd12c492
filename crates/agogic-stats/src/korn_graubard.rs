//! The exact interval on an effective sample size.

use crate::binomial::exact_interval;
use crate::clusters::Clusters;
use crate::estimate::Estimate;
use crate::level::Level;
use crate::ratio::interval_from;
use crate::tdist::StudentT;

/// Whether the effective sample size is reduced for few clusters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DfAdjustment {
    /// Multiply by (t(n−1)/t(K−1))², as published.
    Adjusted,
    /// Leave as it is.
    Unadjusted,
}

/// A proportion over clusters with a survey-type exact interval, for rare events.
///
/// # Definition
/// With R and its variance v from [`ratio`](crate::ratio()), the effective
/// sample size is n* = R(1−R)/v, multiplied by (t(n−1)/t(K−1))² if adjusted,
/// where n = Σx and t is the two-sided critical value. It is never allowed
/// above n. The limits are those of
/// [`clopper_pearson`](crate::clopper_pearson) for n*R events in n* trials.
///
/// # Undefined
/// As [`ratio`](crate::ratio()), with its bound at zero events. Clusters that
/// are not proportions, or with n ≤ 1, have no limits.
///
/// # Source
/// Korn & Graubard (1998), Survey Methodology 24:193.
pub fn korn_graubard(clusters: &Clusters, adjustment: DfAdjustment, level: Level) -> Estimate {
    let method = match adjustment {
        DfAdjustment::Adjusted => "korn-graubard",
        DfAdjustment::Unadjusted => "korn-graubard without df adjustment",
    };
    let n = clusters.totals().1;
    if !clusters.is_proportion() || n <= 1.0 {
        let plain = crate::ratio::ratio(clusters, level);
        return Estimate { lo: None, hi: None, method: method.to_owned(), ..plain }
            .because("the interval needs proportions with more than one trial in all");
    }
    interval_from(clusters, level, method, |fit, error| {
        let r = fit.ratio;
        let unadjusted = r * (1.0 - r) / (error * error);
        let factor = match adjustment {
            DfAdjustment::Adjusted => squared_t_ratio(n - 1.0, fit.used, level),
            DfAdjustment::Unadjusted => 1.0,
        };
        let effective = (unadjusted * factor).min(n);
        exact_interval(effective * r, effective * (1.0 - r), level)
    })
}

fn squared_t_ratio(n_df: f64, clusters: usize, level: Level) -> f64 {
    let by_cluster = StudentT::from_count(clusters - 1).critical(level);
    let by_trial = StudentT::new(n_df).map_or(f64::NAN, |t| t.critical(level));
    (by_trial / by_cluster).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::binomial::{Trials, clopper_pearson};

    #[test]
    fn never_narrower_than_independent_trials() {
        // Clusters more alike than chance allows would otherwise gain trials.
        let even = Clusters::counts("typist", [(1, 20), (1, 20), (1, 20), (1, 21)]).unwrap();
        let interval = korn_graubard(&even, DfAdjustment::Adjusted, Level::P95);
        let exact = clopper_pearson(Trials::new(4, 81).unwrap(), Level::P95);
        assert!((interval.lo.unwrap() - exact.lo).abs() < 1e-12);
        assert!((interval.hi.unwrap() - exact.hi).abs() < 1e-12);
    }

    #[test]
    fn zero_events_and_other_ratios() {
        let none = Clusters::counts("typist", [(0, 20), (0, 20)]).unwrap();
        let bound = korn_graubard(&none, DfAdjustment::Adjusted, Level::P95);
        assert!(bound.hi.unwrap() > 0.5 && bound.reason.is_some());
        let free = Clusters::ratio("typist", [(30.0, 20.0), (0.0, 20.0)]).unwrap();
        let missing = korn_graubard(&free, DfAdjustment::Adjusted, Level::P95);
        assert!(missing.interval().is_none() && missing.value == Some(0.75));
    }
}

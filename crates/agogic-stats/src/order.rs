//! Quantiles of a population of clusters, and shares under a limit.

use crate::binomial::{Trials, binomial_lower, clopper_pearson};
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::quantile::{QuantileError, quantile};

/// A quantile of the population that the values are drawn from, with a
/// distribution-free interval.
///
/// # Definition
/// The value is the sample quantile of type 7. The limits are the l-th and u-th
/// smallest values: l is the greatest rank with P(B ≤ l − 1) ≤ α/2 and u the
/// least with P(B ≤ u − 1) ≥ 1 − α/2, where B is binomial with n and p. They
/// hold the quantile with at least the confidence asked for, whatever the
/// distribution.
///
/// # Shape
/// One value for each unit, such as the error rate of each typist. The spread
/// that few events give to each rate is part of what is described.
///
/// # Undefined
/// Where the sample is too small for a limit, that limit is missing: the 95th
/// percentile has no upper limit at 95 % with fewer than 72 units. Standard
/// errors are not given.
///
/// # Errors
/// No values, a value that is not finite, or p outside 0 to 1.
///
/// # Source
/// David & Nagaraja (2003), Order Statistics, section 7.1.
pub fn quantile_interval(values: &[f64], p: f64, level: Level, unit: &str) -> Result<Estimate, QuantileError> {
    const METHOD: &str = "quantile, order statistics";
    let value = quantile(values, p)?;
    let n = values.len();
    let estimate = Estimate::new(value, METHOD, level, unit, n as u64);
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    // Number of values that lie at or below the quantile, as a binomial tail.
    let at_most = |k: usize| Trials::new(k as u64, n as u64).map_or(1.0, |trials| binomial_lower(trials, p));
    // The probability rises with the rank, so halving finds the ranks where it passes a bound.
    let first = |passes: &dyn Fn(f64) -> bool| {
        let (mut before, mut at) = (0, n + 1);
        while at - before > 1 {
            let rank = before + (at - before) / 2;
            if passes(at_most(rank - 1)) { at = rank } else { before = rank }
        }
        at
    };
    let below = Some(first(&|probability| probability > level.tail()) - 1).filter(|&l| l > 0);
    let above = Some(first(&|probability| probability >= 1.0 - level.tail())).filter(|&u| u <= n);
    let estimate = Estimate { lo: below.map(|l| sorted[l - 1]), hi: above.map(|u| sorted[u - 1]), ..estimate };
    Ok(match (below, above) {
        (Some(_), Some(_)) => estimate,
        (None, Some(_)) => estimate.because("too few units for a lower limit at this level"),
        (Some(_), None) => estimate.because("too few units for an upper limit at this level"),
        (None, None) => estimate.because("too few units for either limit at this level"),
    })
}

/// Share of units whose value is at or below a limit, with an exact interval.
///
/// # Definition
/// The number of values at or below `limit` over their number, with the
/// [`clopper_pearson`] interval: units are independent trials.
///
/// # Undefined
/// A limit that is infinite is allowed: the share is then 0 or 1.
///
/// # Errors
/// No values, a value that is not finite, or a limit that is NaN.
///
/// # Source
/// Clopper & Pearson (1934), Biometrika 26:404.
pub fn share_at_most(values: &[f64], limit: f64, level: Level, unit: &str) -> Result<Estimate, QuantileError> {
    const METHOD: &str = "share of units at or below the limit, exact";
    if let Some((index, &value)) = values.iter().enumerate().find(|(_, v)| !v.is_finite()) {
        return Err(QuantileError::Value { index, value });
    }
    if limit.is_nan() {
        return Err(QuantileError::Limit(limit));
    }
    let n = values.len() as u64;
    let count = values.iter().filter(|v| **v <= limit).count() as u64;
    let trials = Trials::new(count, n).map_err(|_| QuantileError::Empty)?;
    let share = trials.proportion();
    let Interval { lo, hi } = clopper_pearson(trials, level);
    let error = libm::sqrt(share * (1.0 - share) / n as f64);
    let estimate = Estimate::new(share, METHOD, level, unit, n).with_interval(Interval { lo, hi });
    // An error of 0 would claim certainty.
    Ok(if error > 0.0 { estimate.with_mcse(error) } else { estimate.because("all units lie on one side of the limit") })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whole(n: u32) -> Vec<f64> {
        (1..=n).rev().map(f64::from).collect()
    }

    /// P(3rd ≤ median ≤ 8th of 10) = 1 − 2·56/1024 = .8906; the 2nd and 9th
    /// have .9785.
    #[test]
    fn the_median_of_ten() {
        let ninety_five = quantile_interval(&whole(10), 0.5, Level::P95, "typist").unwrap();
        assert_eq!((ninety_five.value, ninety_five.lo, ninety_five.hi), (Some(5.5), Some(2.0), Some(9.0)));
        let lower = quantile_interval(&whole(10), 0.5, Level::new(0.89).unwrap(), "typist").unwrap();
        assert_eq!((lower.lo, lower.hi), (Some(3.0), Some(8.0)));
    }

    /// .95⁷² < .025 < .95⁷¹.
    #[test]
    fn small_samples_have_no_upper_limit() {
        let few = quantile_interval(&whole(71), 0.95, Level::P95, "typist").unwrap();
        assert!(few.hi.is_none() && few.lo.is_some() && few.reason.is_some());
        let enough = quantile_interval(&whole(72), 0.95, Level::P95, "typist").unwrap();
        assert_eq!(enough.hi, Some(72.0));
        let one = quantile_interval(&[3.0], 0.5, Level::P95, "typist").unwrap();
        assert_eq!((one.value, one.lo, one.hi), (Some(3.0), None, None));
    }

    /// The confidence promised, summed over the binomial.
    #[test]
    fn never_below_the_level() {
        for n in [10u32, 40, 200] {
            for p in [0.2, 0.5, 0.9] {
                let found = quantile_interval(&whole(n), p, Level::P90, "typist").unwrap();
                let at_most = |k: f64| binomial_lower(Trials::new(k as u64, u64::from(n)).unwrap(), p);
                let above = found.hi.map_or(1.0, |hi| at_most(hi - 1.0));
                let below = found.lo.map_or(0.0, |lo| at_most(lo - 1.0));
                assert!(above - below >= 0.9 && above - below < 1.0 + 1e-12, "{n} {p}");
            }
        }
    }

    #[test]
    fn shares_count_the_limit_itself() {
        let share = share_at_most(&whole(20), 5.0, Level::P95, "typist").unwrap();
        assert_eq!(share.value, Some(0.25));
        let all = share_at_most(&whole(20), 99.0, Level::P95, "typist").unwrap();
        assert_eq!((all.value, all.mcse, all.hi), (Some(1.0), None, Some(1.0)));
        assert!((all.lo.unwrap() - 0.025f64.powf(0.05)).abs() < 1e-12);
        assert_eq!(share_at_most(&[], 1.0, Level::P95, "typist"), Err(QuantileError::Empty));
        assert!(share_at_most(&[1.0], f64::NAN, Level::P95, "typist").is_err());
        assert!(share_at_most(&[f64::INFINITY], 1.0, Level::P95, "typist").is_err());
        assert!(quantile_interval(&[1.0], 1.5, Level::P95, "typist").is_err());
    }
}

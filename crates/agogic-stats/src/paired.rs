//! Two ratios over the same clusters, compared.

use crate::binomial::zero_event_upper_clustered;
use crate::caution::Caution;
use crate::clusters::{ClusterError, Clusters};
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::ratio::{self, RatioFit};
use crate::skewness::Shape;
use crate::tdist::StudentT;

const NO_SPREAD: &str = "the difference is the same in every cluster, so its spread cannot be estimated";

const IDENTICAL: &str = "bound on the share of clusters that could differ: the two agree in every cluster seen";

const NO_EVENTS: &str = "a ratio of rates needs events on both sides";

/// The difference of two ratios over the same clusters, with a t interval.
///
/// # Definition
/// D = R₁ − R₂. Cluster k contributes dₖ = (y₁ₖ − R₁x₁ₖ)/Σx₁ − (y₂ₖ − R₂x₂ₖ)/Σx₂;
/// the variance is K/(K−1) Σdₖ² and the interval D ± t(K−1) √variance. What both
/// ratios share within a cluster cancels. For proportions the limits are cut at
/// −1 and 1. A cluster empty on both sides is set aside.
///
/// # Undefined
/// - A side without any denominator: the value is missing.
/// - K < 2: the error and limits are missing.
/// - Two proportions that agree in every cluster: the limits are ±b with b the
///   one-sided bound of [`zero_event_upper_clustered`] at intracluster
///   correlation 1, applied to "this cluster differs".
/// - A spread of zero otherwise: the error and limits are missing.
///
/// # Errors
/// The two sets differ in length or unit.
///
/// # Source
/// Cochran (1977), Sampling Techniques, section 6.19.
pub fn paired_difference(first: &Clusters, second: &Clusters, level: Level) -> Result<Estimate, ClusterError> {
    const METHOD: &str = "paired difference of ratios, linearised t";
    interval_from(first, second, level, METHOD, |found, error| {
        let half = StudentT::from_count(found.used - 1).critical(level) * error;
        (half, half)
    })
}

/// The difference of two ratios over the same clusters, with a t interval from which
/// skewness is taken out.
///
/// # Definition
/// D, its parts dₖ and its variance as in [`paired_difference`]. The limits are those
/// where |g(t)| is the critical value of Student's t, with g as in
/// [`ratio_skewed`](crate::ratio_skewed()) and the degrees of freedom of the variance,
/// 2K/(κ − 1) between 1 and K − 1 with κ the kurtosis of the dₖ: differences can have two
/// long tails, and few clusters that differ leave their variance unsure.
///
/// # Undefined
/// As [`paired_difference`].
///
/// # Errors
/// The two sets differ in length or unit.
///
/// # Source
/// Hall (1992), Journal of the Royal Statistical Society B 54:221; Satterthwaite (1946),
/// Biometrics Bulletin 2:110. How well it holds is measured in the lab's `COVERAGE.md`.
pub fn paired_difference_skewed(first: &Clusters, second: &Clusters, level: Level) -> Result<Estimate, ClusterError> {
    const METHOD: &str = "paired difference of ratios, t without skewness (Hall), Satterthwaite df";
    interval_from(first, second, level, METHOD, |found, error| {
        let reach = found.shape().map(|shape| shape.reach_at(level, shape.degrees()));
        reach.map_or((f64::NAN, f64::NAN), |(below, above)| (below * error, above * error))
    })
}

/// p-value of "no difference" that goes with [`paired_difference_skewed`]: below α where
/// the interval at 1 − α leaves out 0.
///
/// # Undefined
/// `None` where the difference has no standard error.
///
/// # Errors
/// The two sets differ in length or unit.
pub fn paired_difference_p(first: &Clusters, second: &Clusters) -> Result<Option<f64>, ClusterError> {
    let found = difference(first, second)?;
    Ok(found.and_then(|found| {
        let (error, shape) = (found.standard_error?, found.shape()?);
        Some(shape.two_sided(found.value / error, shape.degrees()))
    }))
}

/// Shared handling of the undefined cases; `reach` says how far the limits lie below and above the difference.
fn interval_from(
    first: &Clusters,
    second: &Clusters,
    level: Level,
    method: &str,
    reach: impl FnOnce(&Difference, f64) -> (f64, f64),
) -> Result<Estimate, ClusterError> {
    let Some(found) = difference(first, second)? else {
        let used = used_in_either(first, second) as u64;
        return Ok(Estimate::unknown(ratio::NONE, method, level, first.unit(), used));
    };
    let Difference { value, used, .. } = found;
    let estimate = found.estimate(method, level, first.unit());
    if used < 2 {
        return Ok(estimate.because(ratio::TOO_FEW));
    }
    let proportions = first.is_proportion() && second.is_proportion();
    if let Some(error) = found.standard_error {
        let (below, above) = reach(&found, error);
        let interval = cut(Interval { lo: value - below, hi: value + above }, proportions);
        return Ok(estimate.with_mcse(error).with_interval(interval));
    }
    if !(proportions && first == second) {
        return Ok(estimate.because(NO_SPREAD));
    }
    let estimate = estimate.with_cautions([Caution::NoEvents]);
    Ok(match zero_event_upper_clustered(first.denominators(), 1.0, level) {
        Ok(bound) => estimate.with_interval(Interval { lo: -bound, hi: bound }).because(IDENTICAL),
        Err(error) => estimate.because(&error.to_string()),
    })
}

/// Limits of a difference of proportions lie between −1 and 1.
pub(crate) fn cut(interval: Interval, proportions: bool) -> Interval {
    let Interval { lo, hi } = interval;
    // Not by `max` and `min`, which would hide a NaN.
    let lo = if proportions && lo < -1.0 { -1.0 } else { lo };
    Interval { lo, hi: if proportions && hi > 1.0 { 1.0 } else { hi } }
}

/// The ratio of two rates over the same clusters, with a t interval on the log.
///
/// # Definition
/// Q = R₁/R₂. ln Q has the variance K/(K−1) Σlₖ² with
/// lₖ = (y₁ₖ − R₁x₁ₖ)/Σy₁ − (y₂ₖ − R₂x₂ₖ)/Σy₂. The limits are
/// Q exp(± t(K−1) √variance); the standard error of Q is Q √variance.
///
/// # Undefined
/// - A side without events or denominators, or with a ratio below 0: the value
///   is missing.
/// - K < 2 or no spread: the error and limits are missing.
///
/// # Errors
/// The two sets differ in length or unit.
///
/// # Source
/// Cochran (1977), Sampling Techniques, section 6.19, with the delta method.
pub fn paired_rate_ratio(first: &Clusters, second: &Clusters, level: Level) -> Result<Estimate, ClusterError> {
    const METHOD: &str = "paired ratio of ratios, linearised t on the log scale";
    first.check_pairing(second)?;
    let used = used_in_either(first, second);
    let unknown = |reason: &str| Estimate::unknown(reason, METHOD, level, first.unit(), used as u64);
    let (Some(a), Some(b)) = (ratio::fit(first), ratio::fit(second)) else {
        return Ok(unknown(ratio::NONE));
    };
    if !(a.ratio > 0.0 && b.ratio > 0.0) {
        return Ok(unknown(NO_EVENTS));
    }
    let value = a.ratio / b.ratio;
    let estimate = Estimate::new(value, METHOD, level, first.unit(), used as u64);
    if used < 2 {
        return Ok(estimate.because(ratio::TOO_FEW));
    }
    let residuals = contrast(&a, &b, 1.0 / a.ratio, 1.0 / b.ratio);
    let Some(error) = ratio::linearised_error(&residuals, used) else {
        return Ok(estimate.because(NO_SPREAD));
    };
    let half = StudentT::from_count(used - 1).critical(level) * error;
    let interval = Interval { lo: value * libm::exp(-half), hi: value * libm::exp(half) };
    Ok(estimate.with_mcse(value * error).with_interval(interval))
}

/// What each cluster adds to the difference of two ratios.
pub(crate) struct Difference {
    /// R₁ − R₂.
    pub(crate) value: f64,
    /// dₖ as in [`paired_difference`], in order; 0 for empty clusters.
    pub(crate) parts: Vec<f64>,
    /// Number of clusters with a denominator above 0 on either side.
    pub(crate) used: usize,
    /// Number of clusters in which the two sides differ.
    pub(crate) differing: u64,
    /// Linearised standard error; `None` without spread or with K < 2.
    pub(crate) standard_error: Option<f64>,
}

impl Difference {
    /// How the difference is distributed, as far as its parts show; `None` without spread or with K < 2.
    pub(crate) fn shape(&self) -> Option<Shape> {
        Shape::of(&self.parts, self.used)
    }

    /// The difference with what is known about its clusters, without error or limits.
    pub(crate) fn estimate(&self, method: &str, level: Level, unit: &str) -> Estimate {
        let estimate = Estimate::new(self.value, method, level, unit, self.used as u64)
            .with_cautions(Caution::of_differences(self.used as u64, self.differing));
        Estimate { informative: Some(self.differing), ..estimate }
    }
}

/// The difference cluster by cluster; `None` if a side has no denominator.
pub(crate) fn difference(first: &Clusters, second: &Clusters) -> Result<Option<Difference>, ClusterError> {
    first.check_pairing(second)?;
    let (Some(a), Some(b)) = (ratio::fit(first), ratio::fit(second)) else {
        return Ok(None);
    };
    let (parts, used) = (contrast(&a, &b, 1.0, 1.0), used_in_either(first, second));
    let standard_error = ratio::linearised_error(&parts, used);
    let differing = first.differing(second) as u64;
    Ok(Some(Difference { value: a.ratio - b.ratio, parts, used, differing, standard_error }))
}

/// Clusters that carry information on at least one side.
fn used_in_either(first: &Clusters, second: &Clusters) -> usize {
    let pairs = first.denominators().iter().zip(second.denominators());
    pairs.filter(|(a, b)| **a > 0.0 || **b > 0.0).count()
}

/// Scaled residuals of one fit less those of the other.
///
/// What is left by rounding when both sides agree is set to 0.
fn contrast(a: &RatioFit, b: &RatioFit, scale_a: f64, scale_b: f64) -> Vec<f64> {
    let side = |fit: &RatioFit, scale: f64| -> Vec<(f64, f64)> {
        let pairs = fit.residuals.iter().zip(&fit.noise);
        pairs.map(|(residual, noise)| (scale * residual, scale * noise)).collect()
    };
    let pairs = side(a, scale_a).into_iter().zip(side(b, scale_b));
    pairs
        .map(|((a, noise_a), (b, noise_b))| {
            let difference = a - b;
            if difference.abs() <= noise_a + noise_b { 0.0 } else { difference }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counts(pairs: &[(u64, u64)]) -> Clusters {
        Clusters::counts("typist", pairs.iter().copied()).unwrap()
    }

    #[test]
    fn equal_denominators_give_the_paired_t_interval() {
        let first = counts(&[(3, 10), (5, 10), (2, 10), (6, 10)]);
        let second = counts(&[(1, 10), (4, 10), (2, 10), (3, 10)]);
        let estimate = paired_difference(&first, &second, Level::P95).unwrap();
        // Differences .2 .1 0 .3: mean .15, SD √(.05/3).
        let error = (0.05f64 / 3.0).sqrt() / 2.0;
        assert!((estimate.value.unwrap() - 0.15).abs() < 1e-15);
        assert!((estimate.mcse.unwrap() - error).abs() < 1e-15);
        let half = StudentT::new(3.0).unwrap().critical(Level::P95) * error;
        assert!((estimate.hi.unwrap() - 0.15 - half).abs() < 1e-14);
    }

    #[test]
    fn without_skewness_it_is_the_paired_t_interval_and_turned_round_it_turns() {
        // Differences .1 .3 .2 .2 .3 .1 lie evenly about their mean; κ = 1.5, so 2K/(κ − 1) is above K − 1.
        let first = counts(&[(2, 10), (5, 10), (4, 10), (6, 10), (7, 10), (3, 10)]);
        let second = counts(&[(1, 10), (2, 10), (2, 10), (4, 10), (4, 10), (2, 10)]);
        let of = |a: &Clusters, b: &Clusters| paired_difference_skewed(a, b, Level::P95).unwrap();
        let (plain, even) = (paired_difference(&first, &second, Level::P95).unwrap(), of(&first, &second));
        assert!((plain.lo.unwrap() - even.lo.unwrap()).abs() < 1e-12);
        assert!((plain.hi.unwrap() - even.hi.unwrap()).abs() < 1e-12);
        let skewed = counts(&[(2, 10), (3, 10), (2, 10), (5, 10), (4, 10), (10, 10)]);
        let (one, other) = (of(&skewed, &second), of(&second, &skewed));
        assert!((one.lo.unwrap() + other.hi.unwrap()).abs() < 1e-14 && one.n == 6);
        assert!(one.hi.unwrap() - one.value.unwrap() > one.value.unwrap() - one.lo.unwrap());
    }

    #[test]
    fn the_p_value_is_where_the_interval_meets_zero() {
        let first = counts(&[(2, 10), (3, 10), (2, 10), (5, 10), (4, 10), (10, 10)]);
        let second = counts(&[(1, 10), (2, 10), (3, 10), (4, 10), (4, 10), (2, 10)]);
        let p = paired_difference_p(&first, &second).unwrap().unwrap();
        let at = paired_difference_skewed(&first, &second, Level::new(1.0 - p).unwrap()).unwrap();
        assert!(at.lo.unwrap().abs() < 1e-9, "{p} {:?}", at.interval());
        assert_eq!(paired_difference_p(&first, &first).unwrap(), None);
    }

    #[test]
    fn exchange_reverses_the_sign() {
        let first = counts(&[(3, 12), (5, 9), (0, 0), (6, 30)]);
        let second = counts(&[(1, 11), (4, 9), (2, 10), (3, 30)]);
        let one = paired_difference(&first, &second, Level::P90).unwrap();
        let other = paired_difference(&second, &first, Level::P90).unwrap();
        assert!((one.lo.unwrap() + other.hi.unwrap()).abs() < 1e-15);
        assert_eq!(one.n, 4);
        let one = paired_rate_ratio(&first, &second, Level::P90).unwrap();
        let other = paired_rate_ratio(&second, &first, Level::P90).unwrap();
        assert!((one.lo.unwrap() * other.hi.unwrap() - 1.0).abs() < 1e-14);
    }

    #[test]
    fn pairing_narrows_when_clusters_agree() {
        let first = counts(&[(10, 100), (30, 100), (52, 100), (71, 100)]);
        let second = counts(&[(8, 100), (29, 100), (50, 100), (70, 100)]);
        let paired = paired_difference(&first, &second, Level::P95).unwrap();
        let one = ratio::ratio(&first, Level::P95);
        assert!(paired.mcse.unwrap() < 0.1 * one.mcse.unwrap());
    }

    #[test]
    fn identical_sides_claim_no_certainty() {
        let same = counts(&[(3, 10), (5, 10), (2, 10)]);
        let difference = paired_difference(&same, &same, Level::P95).unwrap();
        let bound = 1.0 - 0.05f64.powf(1.0 / 3.0);
        assert_eq!((difference.value, difference.mcse), (Some(0.0), None));
        assert!((difference.hi.unwrap() - bound).abs() < 1e-14);
        assert!((difference.lo.unwrap() + bound).abs() < 1e-14);
        let shifted = counts(&[(4, 10), (6, 10), (3, 10)]);
        let constant = paired_difference(&shifted, &same, Level::P95).unwrap();
        assert!(constant.value.is_some() && constant.interval().is_none());
        let quotient = paired_rate_ratio(&same, &same, Level::P95).unwrap();
        assert!(quotient.value == Some(1.0) && quotient.interval().is_none());
    }

    #[test]
    fn what_cannot_be_compared_is_said() {
        let two = counts(&[(1, 2), (1, 3)]);
        let none = counts(&[(0, 2), (0, 3)]);
        let empty = counts(&[(0, 0), (0, 0)]);
        assert!(paired_difference(&two, &counts(&[(1, 2)]), Level::P95).is_err());
        let other = Clusters::counts("session", [(1, 2), (1, 3)]).unwrap();
        assert!(paired_difference(&two, &other, Level::P95).is_err());
        assert!(paired_difference(&two, &empty, Level::P95).unwrap().value.is_none());
        assert!(paired_rate_ratio(&two, &none, Level::P95).unwrap().value.is_none());
        let single = counts(&[(1, 2), (0, 0)]);
        let single = paired_difference(&single, &single, Level::P95).unwrap();
        assert!(single.interval().is_none() && single.reason.is_some());
    }
}

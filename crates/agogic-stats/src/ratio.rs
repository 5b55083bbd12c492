//! The ratio estimator over clusters.

use crate::binomial::zero_event_upper_clustered;
use crate::caution::Caution;
use crate::clusters::Clusters;
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::skewness::Shape;
use crate::sum::compensated_sum;
use crate::tdist::StudentT;

/// Reason given where fewer than two clusters carry information.
pub(crate) const TOO_FEW: &str =
    "fewer than 2 clusters have a denominator above 0, so their spread cannot be estimated";

/// Reason given where no cluster carries information.
pub(crate) const NONE: &str = "no cluster has a denominator above 0, so the ratio is not defined";

/// Reason given where all clusters agree.
pub(crate) const NO_SPREAD: &str =
    "every cluster has the same ratio, so the spread between clusters cannot be estimated";

const UNANIMOUS: &str = "one-sided bound, at worst-case clustering: no cluster disagrees";

/// A ratio of totals with its linearised standard error.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct RatioFit {
    /// R = Σy/Σx.
    pub(crate) ratio: f64,
    /// (yₖ − R xₖ)/Σx for each cluster, in order; 0 for empty clusters.
    pub(crate) residuals: Vec<f64>,
    /// How far rounding alone can move each residual; what is below it is 0, so
    /// that rounding does not pass for spread.
    pub(crate) noise: Vec<f64>,
    /// Number of clusters with a denominator above 0.
    pub(crate) used: usize,
    /// Square root of K/(K−1) Σ residual²; `None` without spread or with K < 2.
    pub(crate) standard_error: Option<f64>,
}

/// Fits the ratio; `None` if the denominators sum to 0.
pub(crate) fn fit(clusters: &Clusters) -> Option<RatioFit> {
    let (total_y, total_x) = clusters.totals();
    if total_x <= 0.0 {
        return None;
    }
    let ratio = total_y / total_x;
    let pairs = clusters.numerators().iter().zip(clusters.denominators());
    let (residuals, noise): (Vec<f64>, Vec<f64>) = pairs
        .map(|(&y, &x)| {
            let expected = ratio * x;
            let noise = 4.0 * f64::EPSILON * y.abs().max(expected.abs());
            let residual = y - expected;
            let sure = if residual.abs() <= noise { 0.0 } else { residual };
            (sure / total_x, noise / total_x)
        })
        .unzip();
    let used = clusters.used();
    let standard_error = linearised_error(&residuals, used);
    Some(RatioFit { ratio, residuals, noise, used, standard_error })
}

/// √[K/(K−1) Σ residual²], or `None` if that is 0 or K < 2.
pub(crate) fn linearised_error(residuals: &[f64], used: usize) -> Option<f64> {
    if used < 2 {
        return None;
    }
    let k = used as f64;
    let squares = compensated_sum(residuals.iter().map(|residual| residual * residual));
    (squares > 0.0).then(|| (k / (k - 1.0) * squares).sqrt())
}

/// A ratio of totals over clusters, with a t interval.
///
/// # Definition
/// R = Σyₖ/Σxₖ over K clusters, variance K/(K−1) Σ(yₖ − R xₖ)² / (Σx)², interval
/// R ± t(K−1) √variance. For proportions the limits are cut at 0 and 1.
/// Clusters with denominator 0 are set aside: they count neither in K nor in
/// the degrees of freedom.
///
/// # Undefined
/// - No denominator above 0: the value is missing.
/// - K = 1: the value stands, the error and limits are missing.
/// - A proportion with no event in any cluster, or nothing but events: one
///   limit is the ratio itself; the other is the one-sided bound of
///   [`zero_event_upper_clustered`] at intracluster correlation 1.
/// - All clusters otherwise equal: the error and limits are missing, since a
///   zero-width interval would claim certainty.
///
/// # Source
/// Cochran (1977), Sampling Techniques, equations 6.9 and 6.13, without finite
/// population correction.
pub fn ratio(clusters: &Clusters, level: Level) -> Estimate {
    const METHOD: &str = "ratio, linearised t";
    interval_from(clusters, level, METHOD, |fit, error| {
        let half = StudentT::from_count(fit.used - 1).critical(level) * error;
        let interval = Interval { lo: fit.ratio - half, hi: fit.ratio + half };
        if clusters.is_proportion() {
            Interval { lo: interval.lo.max(0.0), hi: interval.hi.min(1.0) }
        } else {
            interval
        }
    })
}

/// A ratio of totals over clusters, with a t interval from which skewness is taken out.
///
/// # Definition
/// R and its variance as in [`ratio`]. With a the skewness of R over samples, as its
/// parts (yₖ − R xₖ)/Σx show it, g(t) = t + a(t²/3 + 1/6) + a²t³/27 turns
/// t = (R − truth)/√variance into a statistic that is nearly symmetric; the limits are
/// those where |g(t)| is the critical value of Student's t with the degrees of freedom of
/// the variance, 2K/(κ − 1) between 1 and K − 1 with κ the kurtosis of the parts. They lie
/// the farther on the long side the more skewed the typists are. Limits are cut at 0 where
/// no numerator is negative, and for proportions at 1.
///
/// a = Σd³/(Σd²)^{3/2} · √(K(K−1))/(K−2) · (1 + 10/K), the last factor for skewness that
/// a sample does not show.
///
/// # Undefined
/// As [`ratio`], with its bound at zero events.
///
/// # Source
/// Hall (1992), Journal of the Royal Statistical Society B 54:221; Satterthwaite (1946),
/// Biometrics Bulletin 2:110. How well it holds is measured in the lab's `COVERAGE.md`; 10
/// is chosen there.
pub fn ratio_skewed(clusters: &Clusters, level: Level) -> Estimate {
    const METHOD: &str = "ratio, t without skewness (Hall), Satterthwaite df";
    interval_from(clusters, level, METHOD, |fit, error| {
        let reach = Shape::of(&fit.residuals, fit.used).map(|shape| shape.reach_at(level, shape.degrees()));
        let (below, above) = reach.unwrap_or((f64::NAN, f64::NAN));
        let (mut lo, mut hi) = (fit.ratio - below * error, fit.ratio + above * error);
        // A NaN stays one.
        if clusters.numerators().iter().all(|y| *y >= 0.0) && lo < 0.0 {
            lo = 0.0;
        }
        if clusters.is_proportion() && hi > 1.0 {
            hi = 1.0;
        }
        Interval { lo, hi }
    })
}

/// A proportion over clusters, with the t interval made on the logit scale.
///
/// # Definition
/// logit R ± t(K−1) √variance / [R(1−R)], taken back to the scale of R; the
/// variance is that of [`ratio`]. The limits lie between 0 and 1 by themselves.
///
/// # Undefined
/// As [`ratio`]; and missing limits unless the clusters are proportions.
///
/// # Source
/// Korn & Graubard (1999), Analysis of Health Surveys, section 3.2.
pub fn ratio_logit(clusters: &Clusters, level: Level) -> Estimate {
    const METHOD: &str = "ratio, linearised t on the logit scale";
    if !clusters.is_proportion() {
        return Estimate { lo: None, hi: None, ..ratio(clusters, level) }
            .because("the logit scale is only for proportions");
    }
    interval_from(clusters, level, METHOD, |fit, error| {
        let (r, q) = (fit.ratio, 1.0 - fit.ratio);
        let half = StudentT::from_count(fit.used - 1).critical(level) * error / (r * q);
        let back = |shift: f64| r / (r + q * libm::exp(-shift));
        Interval { lo: back(-half), hi: back(half) }
    })
}

/// Shared handling of the undefined cases.
pub(crate) fn interval_from(
    clusters: &Clusters,
    level: Level,
    method: &str,
    interval: impl FnOnce(&RatioFit, f64) -> Interval,
) -> Estimate {
    let used = clusters.used();
    let Some(fit) = fit(clusters) else {
        return Estimate::unknown(NONE, method, level, clusters.unit(), used as u64);
    };
    let informative = clusters.informative() as u64;
    let mut estimate = Estimate::new(fit.ratio, method, level, clusters.unit(), used as u64)
        .with_cautions(Caution::of_clusters(used as u64, informative));
    estimate.informative = Some(informative);
    if let Some(error) = fit.standard_error {
        return estimate.with_mcse(error).with_interval(interval(&fit, error));
    }
    if used < 2 {
        return estimate.because(TOO_FEW);
    }
    let unanimous = clusters.is_proportion() && (fit.ratio == 0.0 || fit.ratio == 1.0);
    if !unanimous {
        return estimate.because(NO_SPREAD);
    }
    let estimate = estimate.with_cautions([Caution::NoEvents]);
    match zero_event_upper_clustered(clusters.denominators(), 1.0, level) {
        Ok(bound) if fit.ratio == 0.0 => estimate.with_interval(Interval { lo: 0.0, hi: bound }).because(UNANIMOUS),
        Ok(bound) => estimate.with_interval(Interval { lo: 1.0 - bound, hi: 1.0 }).because(UNANIMOUS),
        Err(error) => estimate.because(&error.to_string()),
    }
}

/// Linearised standard error of the ratio, as used by [`ratio`].
///
/// # Undefined
/// `None` where [`ratio`] has no error.
pub fn ratio_standard_error(clusters: &Clusters) -> Option<f64> {
    fit(clusters)?.standard_error
}

/// The ratio with each used cluster left out in turn.
///
/// # Shape
/// One value per cluster with a denominator above 0, in order.
///
/// # Undefined
/// `None` if fewer than two clusters have a denominator above 0.
pub fn ratio_jackknife(clusters: &Clusters) -> Option<Vec<f64>> {
    if clusters.used() < 2 {
        return None;
    }
    let (total_y, total_x) = clusters.totals();
    let pairs = clusters.numerators().iter().zip(clusters.denominators());
    Some(pairs.filter(|(_, x)| **x > 0.0).map(|(&y, &x)| (total_y - y) / (total_x - x)).collect())
}

/// Jackknife standard error of the ratio.
///
/// # Definition
/// √[(K−1)/K Σ(R₍ₖ₎ − R̄)²], with R̄ the mean of the leave-one-out ratios.
///
/// # Undefined
/// `None` if fewer than two clusters have a denominator above 0.
///
/// # Source
/// Efron & Tibshirani (1993), An Introduction to the Bootstrap, equation 11.5.
pub fn ratio_jackknife_error(clusters: &Clusters) -> Option<f64> {
    let left_out = ratio_jackknife(clusters)?;
    let k = left_out.len() as f64;
    let mean = compensated_sum(left_out.iter().copied()) / k;
    let squares = compensated_sum(left_out.iter().map(|r| (r - mean) * (r - mean)));
    Some(((k - 1.0) / k * squares).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counts(pairs: &[(u64, u64)]) -> Clusters {
        Clusters::counts("typist", pairs.iter().copied()).unwrap()
    }

    #[test]
    fn equal_denominators_give_the_mean_and_its_error() {
        let clusters = counts(&[(1, 10), (3, 10), (5, 10), (3, 10)]);
        let estimate = ratio(&clusters, Level::P95);
        assert!((estimate.value.unwrap() - 0.3).abs() < 1e-15);
        // SD of .1 .3 .5 .3 is √(.08/3); divided by √4.
        let error = (0.08f64 / 3.0).sqrt() / 2.0;
        assert!((estimate.mcse.unwrap() - error).abs() < 1e-15);
        let jackknife = ratio_jackknife_error(&clusters).unwrap();
        assert!((jackknife - error).abs() < 1e-15);
    }

    #[test]
    fn empty_clusters_change_nothing() {
        let with = counts(&[(1, 10), (0, 0), (4, 20), (9, 30)]);
        let without = counts(&[(1, 10), (4, 20), (9, 30)]);
        assert_eq!(ratio(&with, Level::P95), ratio(&without, Level::P95));
        assert_eq!(ratio_jackknife(&with), ratio_jackknife(&without));
        assert_eq!(ratio(&with, Level::P95).n, 3);
    }

    #[test]
    fn skewness_lengthens_the_long_side_and_ranges_are_kept() {
        let rare = counts(&[(0, 50), (0, 40), (9, 60), (0, 30), (1, 45), (0, 50), (2, 40)]);
        let (plain, skewed) = (ratio(&rare, Level::P95), ratio_skewed(&rare, Level::P95));
        assert_eq!((plain.value, plain.mcse), (skewed.value, skewed.mcse));
        assert!(skewed.hi > plain.hi && skewed.lo >= Some(0.0));
        let delays = Clusters::ratio("typist", [(0.0, 2.0), (0.1, 3.0), (90.0, 2.0), (1.0, 4.0)]).unwrap();
        assert!(ratio(&delays, Level::P95).lo < Some(0.0) && ratio_skewed(&delays, Level::P95).lo == Some(0.0));
        let signed = Clusters::ratio("typist", [(0.0, 2.0), (-0.1, 3.0), (90.0, 2.0), (1.0, 4.0)]).unwrap();
        assert!(ratio_skewed(&signed, Level::P99).lo < Some(0.0));
        let most = counts(&[(50, 50), (40, 40), (51, 60), (30, 30), (44, 45)]);
        assert_eq!(ratio_skewed(&most, Level::P99).hi, Some(1.0));
        // Turned round, a proportion has its limits turned round.
        let turned = counts(&[(0, 50), (0, 40), (9, 60), (0, 30), (1, 45)]);
        let (a, b) = (ratio_skewed(&most, Level::P90), ratio_skewed(&turned, Level::P90));
        assert!((a.lo.unwrap() - (1.0 - b.hi.unwrap())).abs() < 1e-12);
    }

    /// Two far-off clusters on either side leave no skewness; what widens the interval is that they make the variance
    /// unsure.
    #[test]
    fn long_tails_widen_by_their_degrees_of_freedom() {
        let even = (0..38).map(|k| (10.0 + f64::from(k % 2) - 0.5, 1.0));
        let tailed = Clusters::ratio("typist", even.clone().chain([(2.0, 1.0), (18.0, 1.0)])).unwrap();
        let (plain, skewed) = (ratio(&tailed, Level::P95), ratio_skewed(&tailed, Level::P95));
        let squares = 38.0 * 0.25 + 128.0;
        let kurtosis = 40.0 * (38.0 * 0.0625 + 2.0 * 4096.0) / (squares * squares);
        let half = StudentT::new(80.0 / (kurtosis - 1.0)).unwrap().critical(Level::P95) * plain.mcse.unwrap();
        assert!((skewed.hi.unwrap() - 10.0 - half).abs() < 1e-9 && (10.0 - skewed.lo.unwrap() - half).abs() < 1e-9);
        assert!(skewed.interval().unwrap().width() > 1.25 * plain.interval().unwrap().width());
        // Without far-off clusters it is the plain one.
        let short = Clusters::ratio("typist", even).unwrap();
        let (plain, skewed) = (ratio(&short, Level::P95), ratio_skewed(&short, Level::P95));
        assert!((plain.hi.unwrap() - skewed.hi.unwrap()).abs() < 1e-12);
    }

    #[test]
    fn few_clusters_and_no_event_are_cautioned() {
        let few = ratio_skewed(&counts(&[(1, 10), (3, 10), (5, 10)]), Level::P95);
        assert_eq!(few.cautions[0], Caution::FewClusters { n: 3 });
        let mut one = vec![(0, 40); 99];
        one.push((30, 40));
        let one = ratio_skewed(&counts(&one), Level::P95);
        assert_eq!((one.informative, one.cautions), (Some(1), vec![Caution::FewInformative { n: 1 }]));
        let none = ratio_skewed(&counts(&[(0, 40); 60]), Level::P95);
        assert_eq!(none.cautions, [Caution::NoEvents]);
        let many: Vec<(u64, u64)> = (0..60).map(|i| (i % 7, 40)).collect();
        assert!(ratio_skewed(&counts(&many), Level::P95).cautions.is_empty());
    }

    #[test]
    fn nothing_known_is_null_with_a_reason() {
        for pairs in [&[][..], &[(0, 0), (0, 0)]] {
            let none = ratio(&counts(pairs), Level::P95);
            assert!(none.value.is_none() && none.reason.is_some());
        }
        let one = ratio(&counts(&[(2, 8)]), Level::P95);
        assert_eq!(one.value, Some(0.25));
        assert!(one.mcse.is_none() && one.interval().is_none() && one.reason.is_some());
    }

    #[test]
    fn no_event_gives_a_bound_and_not_certainty() {
        let none = ratio(&counts(&[(0, 40); 30]), Level::P95);
        assert_eq!((none.value, none.mcse, none.lo), (Some(0.0), None, Some(0.0)));
        assert!((none.hi.unwrap() - (1.0 - 0.05f64.powf(1.0 / 30.0))).abs() < 1e-12);
        let all = ratio(&counts(&[(40, 40); 30]), Level::P95);
        assert!((all.lo.unwrap() - (1.0 - none.hi.unwrap())).abs() < 1e-15);
        assert_eq!(all.hi, Some(1.0));
    }

    #[test]
    fn equal_ratios_claim_no_certainty() {
        let equal = ratio(&counts(&[(1, 3), (2, 6), (7, 21)]), Level::P95);
        assert!(equal.value.is_some() && equal.mcse.is_none() && equal.interval().is_none());
        let free = Clusters::ratio("typist", [(0.0, 3.0), (0.0, 6.0)]).unwrap();
        assert!(ratio(&free, Level::P95).hi.is_none());
    }

    #[test]
    fn the_level_and_the_scale_matter() {
        let clusters = counts(&[(0, 50), (1, 40), (3, 60), (0, 30), (2, 45)]);
        for method in [ratio, ratio_logit, ratio_skewed] {
            let widths =
                [Level::P90, Level::P95, Level::P99].map(|level| method(&clusters, level).interval().unwrap().width());
            assert!(widths[0] < widths[1] && widths[1] < widths[2]);
        }
        let logit = ratio_logit(&clusters, Level::P99).interval().unwrap();
        assert!(logit.lo > 0.0 && logit.hi < 1.0);
        let free = Clusters::ratio("typist", [(5.0, 3.0), (1.0, 6.0)]).unwrap();
        assert!(ratio_logit(&free, Level::P95).interval().is_none());
    }
}

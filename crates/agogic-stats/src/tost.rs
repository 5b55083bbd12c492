//! Equivalence and non-inferiority by two one-sided tests.

use thiserror::Error;

use crate::clusters::{ClusterError, Clusters};
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::moments::{mean, variance};
use crate::paired::difference;
use crate::ratio::{NONE, TOO_FEW};
use crate::tdist::StudentT;

const NO_SPREAD: &str = "the differences have no spread, so no test can be made";

/// Why an equivalence test cannot be made.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum TostError {
    /// The margin is empty or not a number.
    #[error("read the margin {lo} to {hi}: the lower end must lie below the upper one")]
    Margin {
        /// Lower end given.
        lo: f64,
        /// Upper end given.
        hi: f64,
    },
    /// Paired samples have different sizes.
    #[error("pair {first} values with {second}: there must be as many on both sides")]
    Unpaired {
        /// Values in the first sample.
        first: usize,
        /// Values in the second sample.
        second: usize,
    },
    /// A sample is too small or holds what is not a finite number.
    #[error("read a sample of {0} values: at least 2 are needed, all finite")]
    Sample(usize),
    /// Two sets of clusters cannot be paired.
    #[error(transparent)]
    Clusters(#[from] ClusterError),
}

/// A difference held against a margin.
#[derive(Debug, Clone, PartialEq)]
pub struct Equivalence {
    /// The difference, first less second, with its 1 − 2α interval.
    ///
    /// `level` is that of the interval: 90 % for a test at 5 %.
    pub estimate: Estimate,
    /// p-value against "at or below the lower end of the margin".
    pub p_lower: Option<f64>,
    /// p-value against "at or above the upper end of the margin".
    ///
    /// Alone it is the test of non-inferiority where small is good.
    pub p_upper: Option<f64>,
    /// Degrees of freedom of the t distribution.
    pub df: Option<f64>,
}

impl Equivalence {
    /// p-value against "outside the margin": the greater of the two.
    ///
    /// # Undefined
    /// `None` where the difference has no spread.
    pub fn p_value(&self) -> Option<f64> {
        Some(self.p_lower?.max(self.p_upper?))
    }

    /// Whether equivalence is shown at the given error, such as .05.
    ///
    /// # Undefined
    /// `false` where no test could be made: nothing was shown.
    pub fn shown(&self, alpha: f64) -> bool {
        self.p_value().is_some_and(|p| p <= alpha)
    }

    /// Whether "no greater than the upper end of the margin" is shown.
    ///
    /// # Undefined
    /// As [`Equivalence::shown`].
    pub fn not_above_shown(&self, alpha: f64) -> bool {
        self.p_upper.is_some_and(|p| p <= alpha)
    }

    /// Whether "no less than the lower end of the margin" is shown.
    ///
    /// # Undefined
    /// As [`Equivalence::shown`].
    pub fn not_below_shown(&self, alpha: f64) -> bool {
        self.p_lower.is_some_and(|p| p <= alpha)
    }

    fn tested(value: f64, error: f64, df: f64, margin: Interval, estimate: Estimate) -> Self {
        let Ok(t) = StudentT::new(df) else {
            return Equivalence::untested(estimate.because(NO_SPREAD));
        };
        // The interval at 1 − 2α lies within the margin if and only if p ≤ α.
        let half = error * Level::new(estimate.level).map_or(f64::NAN, |level| t.critical(level));
        let estimate = estimate.with_mcse(error).with_interval(Interval { lo: value - half, hi: value + half });
        Equivalence {
            estimate,
            p_lower: Some(t.upper((value - margin.lo) / error)),
            p_upper: Some(t.lower((value - margin.hi) / error)),
            df: Some(df),
        }
    }

    fn untested(estimate: Estimate) -> Self {
        Equivalence { estimate, p_lower: None, p_upper: None, df: None }
    }
}

/// Equivalence of two samples measured on the same units.
///
/// # Definition
/// t tests of the mean difference against each end of the margin, with n − 1
/// degrees of freedom. `level` is the confidence of the interval; at 90 % it
/// lies within the margin just when both tests reject at 5 %. For
/// non-inferiority alone use one of the two tests; the other end may be
/// infinite.
///
/// # Undefined
/// Differences that are all the same: no test and no limits.
///
/// # Errors
/// An empty margin; samples that differ in size, have fewer than two values or
/// one that is not finite.
///
/// # Source
/// Schuirmann (1987), Journal of Pharmacokinetics and Biopharmaceutics 15:657.
pub fn tost_paired(
    first: &[f64],
    second: &[f64],
    margin: Interval,
    level: Level,
    unit: &str,
) -> Result<Equivalence, TostError> {
    check_margin(margin)?;
    if first.len() != second.len() {
        return Err(TostError::Unpaired { first: first.len(), second: second.len() });
    }
    let differences: Vec<f64> = first.iter().zip(second).map(|(a, b)| a - b).collect();
    let (value, spread) = moments(&differences)?;
    let n = differences.len() as f64;
    let estimate = Estimate::new(value, "two one-sided tests, paired t", level, unit, first.len() as u64);
    Ok(if spread > 0.0 {
        Equivalence::tested(value, libm::sqrt(spread / n), n - 1.0, margin, estimate)
    } else {
        Equivalence::untested(estimate.because(NO_SPREAD))
    })
}

/// Equivalence of two independent samples whose variances may differ.
///
/// # Definition
/// As [`tost_paired`] with SE² = s₁²/n₁ + s₂²/n₂ and the degrees of freedom of
/// Welch, SE⁴ / (s₁⁴/n₁²(n₁−1) + s₂⁴/n₂²(n₂−1)).
///
/// # Undefined
/// As [`tost_paired`].
///
/// # Errors
/// As [`tost_paired`], but the sizes may differ.
///
/// # Source
/// Schuirmann (1987); Welch (1947), Biometrika 34:28.
pub fn tost_welch(
    first: &[f64],
    second: &[f64],
    margin: Interval,
    level: Level,
    unit: &str,
) -> Result<Equivalence, TostError> {
    check_margin(margin)?;
    let ((a, spread_a), (b, spread_b)) = (moments(first)?, moments(second)?);
    let (n_a, n_b) = (first.len() as f64, second.len() as f64);
    let (share_a, share_b) = (spread_a / n_a, spread_b / n_b);
    let square = share_a + share_b;
    let units = (first.len() + second.len()) as u64;
    let estimate = Estimate::new(a - b, "two one-sided tests, Welch t", level, unit, units);
    Ok(if square > 0.0 {
        let df = square * square / (share_a * share_a / (n_a - 1.0) + share_b * share_b / (n_b - 1.0));
        Equivalence::tested(a - b, libm::sqrt(square), df, margin, estimate)
    } else {
        Equivalence::untested(estimate.because(NO_SPREAD))
    })
}

/// Equivalence of two ratios over the same clusters.
///
/// # Definition
/// As [`tost_paired`], with the value and linearised error of
/// [`paired_difference`](crate::paired_difference()) and K − 1 degrees of
/// freedom.
///
/// # Undefined
/// A side without denominators has no value; fewer than two clusters or no
/// spread allow no test and give no limits.
///
/// # Errors
/// An empty margin, or sets that differ in length or unit.
///
/// # Source
/// Schuirmann (1987); Cochran (1977), Sampling Techniques, section 6.19.
pub fn tost_clusters(
    first: &Clusters,
    second: &Clusters,
    margin: Interval,
    level: Level,
) -> Result<Equivalence, TostError> {
    const METHOD: &str = "two one-sided tests, paired difference of ratios";
    check_margin(margin)?;
    let Some(difference) = difference(first, second)? else {
        return Ok(Equivalence::untested(Estimate::unknown(NONE, METHOD, level, first.unit(), 0)));
    };
    let estimate = Estimate::new(difference.value, METHOD, level, first.unit(), difference.used as u64);
    Ok(match difference.standard_error {
        Some(error) => Equivalence::tested(difference.value, error, (difference.used - 1) as f64, margin, estimate),
        None if difference.used < 2 => Equivalence::untested(estimate.because(TOO_FEW)),
        None => Equivalence::untested(estimate.because(NO_SPREAD)),
    })
}

fn check_margin(margin: Interval) -> Result<(), TostError> {
    if margin.lo < margin.hi { Ok(()) } else { Err(TostError::Margin { lo: margin.lo, hi: margin.hi }) }
}

fn moments(values: &[f64]) -> Result<(f64, f64), TostError> {
    mean(values).zip(variance(values)).ok_or(TostError::Sample(values.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const A: [f64; 5] = [1.0, 2.0, 4.0, 3.0, 5.0];
    const B: [f64; 5] = [1.5, 2.0, 3.5, 3.5, 4.5];
    const MARGIN: Interval = Interval { lo: -1.0, hi: 1.0 };

    #[test]
    fn the_interval_and_the_tests_agree() {
        let test = tost_paired(&A, &B, MARGIN, Level::P90, "typist").unwrap();
        let p = test.p_value().unwrap();
        let interval = test.estimate.interval().unwrap();
        // With the margin at the limits themselves, p is 5 % on both sides.
        let touching = tost_paired(&A, &B, interval, Level::P90, "typist").unwrap();
        assert!((touching.p_lower.unwrap() - 0.05).abs() < 1e-12);
        assert!((touching.p_upper.unwrap() - 0.05).abs() < 1e-12);
        assert!(p < 0.05 && test.shown(0.05) && !test.shown(1e-6));
    }

    #[test]
    fn non_inferiority_is_one_of_the_two_tests() {
        let open = Interval { lo: f64::NEG_INFINITY, hi: 1.0 };
        let both = tost_welch(&A, &B, MARGIN, Level::P90, "typist").unwrap();
        let one = tost_welch(&A, &B, open, Level::P90, "typist").unwrap();
        assert_eq!(one.p_upper, both.p_upper);
        assert_eq!(one.p_lower, Some(0.0));
        assert_eq!(one.p_value(), one.p_upper);
        assert!(one.not_below_shown(0.05));
    }

    #[test]
    fn clusters_of_equal_size_are_the_paired_t_test() {
        let clusters = |values: &[f64]| Clusters::ratio("typist", values.iter().map(|&y| (y, 1.0))).unwrap();
        let by_cluster = tost_clusters(&clusters(&A), &clusters(&B), MARGIN, Level::P90).unwrap();
        let by_value = tost_paired(&A, &B, MARGIN, Level::P90, "typist").unwrap();
        assert!((by_cluster.p_value().unwrap() - by_value.p_value().unwrap()).abs() < 1e-14);
        assert_eq!(by_cluster.df, Some(4.0));
    }

    #[test]
    fn nothing_is_shown_without_spread_or_by_nonsense() {
        let same = tost_paired(&A, &A, MARGIN, Level::P90, "typist").unwrap();
        assert!(!same.shown(0.05) && same.p_value().is_none() && same.estimate.reason.is_some());
        let clusters = Clusters::counts("typist", [(0, 4), (0, 5)]).unwrap();
        assert!(!tost_clusters(&clusters, &clusters, MARGIN, Level::P90).unwrap().shown(0.05));
        let empty = Clusters::counts("typist", [(0, 0), (0, 0)]).unwrap();
        assert!(tost_clusters(&empty, &clusters, MARGIN, Level::P90).unwrap().estimate.value.is_none());
        for margin in [Interval { lo: 1.0, hi: 1.0 }, Interval { lo: f64::NAN, hi: 1.0 }] {
            assert!(tost_paired(&A, &B, margin, Level::P90, "typist").is_err());
        }
        assert!(tost_paired(&A, &B[..4], MARGIN, Level::P90, "typist").is_err());
        assert!(tost_welch(&A[..1], &B, MARGIN, Level::P90, "typist").is_err());
        assert!(tost_welch(&[1.0, f64::NAN], &B, MARGIN, Level::P90, "typist").is_err());
    }
}

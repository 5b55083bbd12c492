//! Equivalence and non-inferiority by two one-sided tests.

use thiserror::Error;

use crate::clusters::{ClusterError, Clusters};
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
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
    pub fn is_equivalent(&self, alpha: f64) -> bool {
        self.p_value().is_some_and(|p| p <= alpha)
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

/// Equivalence of two ratios over the same clusters.
///
/// # Definition
/// t tests of the difference against each end of the margin, with the value and
/// linearised error of [`paired_difference`](crate::paired_difference()) and
/// K − 1 degrees of freedom. `level` is the confidence of the interval; at 90 %
/// it lies within the margin just when both tests reject at 5 %. For
/// non-inferiority alone use one of the two tests; the other end may be
/// infinite.
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

#[cfg(test)]
mod tests {
    use super::*;

    const A: [f64; 5] = [1.0, 2.0, 4.0, 3.0, 5.0];
    const B: [f64; 5] = [1.5, 2.0, 3.5, 3.5, 4.5];
    const MARGIN: Interval = Interval { lo: -1.0, hi: 1.0 };

    /// One value a cluster, so that the ratio is their mean.
    fn held(first: &[f64], second: &[f64], margin: Interval) -> Result<Equivalence, TostError> {
        let clusters = |values: &[f64]| Clusters::ratio("typist", values.iter().map(|&y| (y, 1.0))).unwrap();
        tost_clusters(&clusters(first), &clusters(second), margin, Level::P90)
    }

    #[test]
    fn the_interval_and_the_tests_agree() {
        let test = held(&A, &B, MARGIN).unwrap();
        let p = test.p_value().unwrap();
        let interval = test.estimate.interval().unwrap();
        // With the margin at the limits themselves, p is 5 % on both sides.
        let touching = held(&A, &B, interval).unwrap();
        assert!((touching.p_lower.unwrap() - 0.05).abs() < 1e-12);
        assert!((touching.p_upper.unwrap() - 0.05).abs() < 1e-12);
        assert!(p < 0.05 && test.is_equivalent(0.05) && !test.is_equivalent(1e-6));
    }

    #[test]
    fn non_inferiority_is_one_of_the_two_tests() {
        let open = Interval { lo: f64::NEG_INFINITY, hi: 1.0 };
        let both = held(&A, &B, MARGIN).unwrap();
        let one = held(&A, &B, open).unwrap();
        assert_eq!(one.p_upper, both.p_upper);
        assert_eq!(one.p_lower, Some(0.0));
        assert_eq!(one.p_value(), one.p_upper);
    }

    #[test]
    fn clusters_of_equal_size_are_the_paired_t_test() {
        // Differences −.5 0 .5 −.5 .5: mean 0 and variance .25, so t = ±1/√.05 with 4 degrees of freedom.
        let test = held(&A, &B, MARGIN).unwrap();
        let known = StudentT::new(4.0).unwrap().upper(1.0 / 0.05f64.sqrt());
        assert!((test.p_lower.unwrap() - known).abs() < 1e-14 && (test.p_upper.unwrap() - known).abs() < 1e-14);
        assert_eq!(test.df, Some(4.0));
    }

    #[test]
    fn nothing_is_shown_without_spread_or_by_nonsense() {
        let same = held(&A, &A, MARGIN).unwrap();
        assert!(!same.is_equivalent(0.05) && same.p_value().is_none() && same.estimate.reason.is_some());
        let clusters = Clusters::counts("typist", [(0, 4), (0, 5)]).unwrap();
        assert!(!tost_clusters(&clusters, &clusters, MARGIN, Level::P90).unwrap().is_equivalent(0.05));
        let empty = Clusters::counts("typist", [(0, 0), (0, 0)]).unwrap();
        assert!(tost_clusters(&empty, &clusters, MARGIN, Level::P90).unwrap().estimate.value.is_none());
        for margin in [Interval { lo: 1.0, hi: 1.0 }, Interval { lo: f64::NAN, hi: 1.0 }] {
            assert!(held(&A, &B, margin).is_err());
        }
        assert!(held(&A, &B[..4], MARGIN).is_err());
    }
}

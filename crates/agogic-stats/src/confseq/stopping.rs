//! Stopping a run as soon as it is precise enough.

use super::{ConfSeqError, RatioBetting, sequence_difference, sequence_ratio};
use crate::clusters::Clusters;
use crate::estimate::Estimate;
use crate::level::Level;

/// How narrow the interval is to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Precision {
    /// Half-width at most this, in the unit of the ratio.
    Absolute(f64),
    /// Half-width at most this share of the estimate.
    Relative(f64),
}

/// What the interval at the stop is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Guarantee {
    /// Holds at any number of clusters, see [`RatioBetting`]. Needs the most opportunities one cluster can have, and
    /// for a difference the same opportunities on both sides.
    Exact {
        /// Most opportunities of one cluster, known beforehand.
        cap: f64,
    },
    /// Holds for many clusters, see [`sequence_ratio`](super::sequence_ratio). Narrower, but there are no limits, and so
    /// no stop, before enough clusters show enough of the spread; `SEQUENTIAL.md` has the figures.
    Asymptotic {
        /// Number of clusters near which it is narrowest.
        tuned_for: f64,
    },
}

/// When to stop. Fixed before the first look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StopRule {
    /// How narrow the interval is to be.
    pub precision: Precision,
    /// Confidence of the sequence.
    pub level: Level,
    /// Clusters before which the run does not stop.
    pub least: usize,
    /// What is promised.
    pub guarantee: Guarantee,
}

/// One look at a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// The ratio so far, with limits that hold at all looks together.
    pub estimate: Estimate,
    /// Whether it is precise enough to stop.
    pub stop: bool,
    /// What the limits promise, for the reader of the result.
    pub promise: &'static str,
}

const EXACT: &str = "the limits hold whenever one looks and stops, for any number of typists drawn independently, with \
                     at most the stated opportunities each";
const ASYMPTOTIC: &str = "the limits hold whenever one looks and stops, by a law of many typists; they wait for 100 \
                          typists with events spread over the equivalent of 40";

/// Looks at a ratio after any number of clusters.
///
/// # Definition
/// Stops when the limits are both known, no further apart than twice the precision asked, and at least
/// [`StopRule::least`] clusters have opportunities. The limits at the stop hold with the level stated, since those
/// of a confidence sequence hold at all times together, whatever the reason to stop. The estimate itself is biased a
/// little by stopping; the limits are what is promised.
///
/// # Shape
/// All clusters so far in an order fixed beforehand; the rule is the same at every look.
///
/// # Errors
/// A precision that is not above 0; as the sequences refuse.
pub fn look_at_ratio(clusters: &Clusters, rule: &StopRule) -> Result<Look, ConfSeqError> {
    let estimate = match rule.guarantee {
        Guarantee::Exact { cap } => {
            let mut sequence = RatioBetting::proportion(cap, rule.level)?;
            for (&y, &x) in clusters.numerators().iter().zip(clusters.denominators()) {
                sequence.push(y, x)?;
            }
            sequence.estimate(clusters.unit())
        }
        Guarantee::Asymptotic { tuned_for } => sequence_ratio(clusters, tuned_for, rule.level)?,
    };
    rule.look(estimate)
}

/// Looks at the difference of two ratios over the same clusters, as [`look_at_ratio`].
///
/// # Errors
/// As [`look_at_ratio`]; sets that differ in length or unit; with [`Guarantee::Exact`], denominators that differ.
pub fn look_at_difference(first: &Clusters, second: &Clusters, rule: &StopRule) -> Result<Look, ConfSeqError> {
    first.check_pairing(second)?;
    let estimate = match rule.guarantee {
        Guarantee::Exact { cap } => {
            let mut sequence = RatioBetting::difference(cap, rule.level)?;
            let sides = first.numerators().iter().zip(second.numerators());
            let opportunities = first.denominators().iter().zip(second.denominators());
            for ((&y1, &y2), (&x1, &x2)) in sides.zip(opportunities) {
                if x1 != x2 {
                    return Err(ConfSeqError::Opportunities { first: x1, second: x2 });
                }
                sequence.push(y1 - y2, x1)?;
            }
            sequence.estimate(first.unit())
        }
        Guarantee::Asymptotic { tuned_for } => sequence_difference(first, second, tuned_for, rule.level)?,
    };
    rule.look(estimate)
}

impl StopRule {
    fn look(&self, estimate: Estimate) -> Result<Look, ConfSeqError> {
        let (Precision::Absolute(size) | Precision::Relative(size)) = self.precision;
        if !(size > 0.0 && size.is_finite()) {
            return Err(ConfSeqError::Precision(size));
        }
        let wanted = match (self.precision, estimate.value) {
            (Precision::Absolute(half), _) => Some(half),
            (Precision::Relative(share), Some(value)) => Some(share * libm::fabs(value)),
            (Precision::Relative(_), None) => None,
        };
        let narrow = estimate.interval().zip(wanted).is_some_and(|(limits, half)| limits.width() <= 2.0 * half);
        let promise = match self.guarantee {
            Guarantee::Exact { .. } => EXACT,
            Guarantee::Asymptotic { .. } => ASYMPTOTIC,
        };
        Ok(Look { stop: narrow && estimate.n >= self.least as u64, estimate, promise })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counts(n: u64) -> Clusters {
        Clusters::counts("typist", (0..n).map(|i| (10 + i % 5, 60 + i % 20))).unwrap()
    }

    fn rule(precision: Precision, guarantee: Guarantee) -> StopRule {
        StopRule { precision, level: Level::P95, least: 30, guarantee }
    }

    #[test]
    fn a_run_stops_once_it_is_narrow() {
        for guarantee in [Guarantee::Exact { cap: 80.0 }, Guarantee::Asymptotic { tuned_for: 100.0 }] {
            let rule = rule(Precision::Relative(0.2), guarantee);
            let stops: Vec<bool> = (1..=200).map(|n| look_at_ratio(&counts(n), &rule).unwrap().stop).collect();
            assert!(!stops[28] && stops[199], "{guarantee:?}");
            let early = StopRule { least: 1, ..rule };
            assert!(!look_at_ratio(&counts(1), &early).unwrap().stop);
        }
    }

    #[test]
    fn no_event_is_never_precise_relative_to_itself() {
        let none = Clusters::counts("typist", [(0, 50); 400]).unwrap();
        let exact = Guarantee::Exact { cap: 50.0 };
        assert!(!look_at_ratio(&none, &rule(Precision::Relative(0.5), exact)).unwrap().stop);
        assert!(look_at_ratio(&none, &rule(Precision::Absolute(0.05), exact)).unwrap().stop);
        let open = Guarantee::Asymptotic { tuned_for: 100.0 };
        assert!(!look_at_ratio(&none, &rule(Precision::Absolute(0.05), open)).unwrap().stop);
    }

    #[test]
    fn what_does_not_fit_is_refused() {
        let exact = rule(Precision::Absolute(0.1), Guarantee::Exact { cap: 70.0 });
        assert!(look_at_ratio(&counts(50), &exact).is_err());
        let exact = rule(Precision::Absolute(0.1), Guarantee::Exact { cap: 80.0 });
        let other = Clusters::counts("typist", (0..50).map(|_| (3, 60))).unwrap();
        let refused = look_at_difference(&counts(50), &other, &exact);
        assert_eq!(refused, Err(ConfSeqError::Opportunities { first: 61.0, second: 60.0 }));
        assert!(look_at_difference(&counts(50), &counts(49), &exact).is_err());
        for bad in [0.0, -1.0, f64::NAN] {
            let bad = rule(Precision::Absolute(bad), Guarantee::Exact { cap: 80.0 });
            assert!(look_at_ratio(&counts(50), &bad).is_err());
        }
    }
}

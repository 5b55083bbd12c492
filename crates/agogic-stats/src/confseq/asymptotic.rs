//! The asymptotic confidence sequence over clusters.

use super::ConfSeqError;
use crate::clusters::Clusters;
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::paired::difference;
use crate::ratio::{NO_SPREAD, NONE, TOO_FEW, fit};

/// Clusters before which an asymptotic sequence gives no limits.
///
/// # Source
/// `SEQUENTIAL.md`: limits from 30 clusters on, whatever they hold, miss at some look in up to 63 % of runs; with both
/// conditions no cell misses in more than the 5 % allowed.
pub const LEAST_CLUSTERS: usize = 100;

/// Effective clusters, (Σ|y|)²/Σy² over their numerators or differences, before which it gives none.
///
/// # Source
/// As [`LEAST_CLUSTERS`]; the effective number is Kish's (1965, Survey Sampling, section 11.2, from memory).
pub const LEAST_EFFECTIVE: f64 = 40.0;

const LARGE: &str = "holds for large samples: given from 100 clusters on, 40 of them effective";
const WAITS: &str = "limits wait for 100 clusters of which 40 are effective: events gathered in fewer show too little of \
                     their spread";

/// Half-width of a normal-mixture confidence sequence, in standard deviations of
/// one value.
///
/// # Definition
/// √(2(nρ² + 1)/(n²ρ²) · ln(√(nρ² + 1)/α)), with
/// ρ² = (−2 ln α + ln(−2 ln α + 1))/m, which makes it narrowest near n = m.
/// For means of normal or sub-Gaussian values with a known SD it holds at all n
/// together; with an estimated SD, for large n.
///
/// # Errors
/// A size `n` or `tuned_for` (m) that is not positive and finite.
///
/// # Source
/// Robbins (1970), Annals of Mathematical Statistics 41:1397; Howard, Ramdas,
/// McAuliffe & Sekhon (2021), The Annals of Statistics 49:1055, equation 14;
/// Waudby-Smith, Arbour, Sinha, Kennedy & Ramdas (2024), The Annals of
/// Statistics 52:2613, theorem 2.2.
pub fn mixture_radius(n: f64, tuned_for: f64, level: Level) -> Result<f64, ConfSeqError> {
    for size in [n, tuned_for] {
        if !(size > 0.0 && size.is_finite()) {
            return Err(ConfSeqError::Tuning(size));
        }
    }
    let spent = -2.0 * libm::log(level.alpha());
    let square = (spent + libm::log1p(spent)) / tuned_for;
    let grown = n * square + 1.0;
    let log = 0.5 * libm::log(grown) - libm::log(level.alpha());
    Ok(libm::sqrt(2.0 * grown / (n * n * square) * log))
}

/// A ratio over clusters with limits that may be looked at after each cluster.
///
/// # Definition
/// R ± √K · SE · [`mixture_radius`] at K clusters, with R and SE those of
/// [`ratio`](crate::ratio()).
///
/// # Shape
/// All clusters so far, in the order they came. Clusters must be alike in
/// distribution, and their order must not depend on the results.
///
/// # Undefined
/// As [`ratio`](crate::ratio()), but without limits wherever that has no
/// standard error: zero events give no sequence. Nor are there limits before
/// [`LEAST_CLUSTERS`] clusters and [`LEAST_EFFECTIVE`] effective ones, since the
/// statement is for large K.
///
/// # Errors
/// A size to be tuned for that is not positive and finite.
///
/// # Source
/// As [`mixture_radius`], with the linearised values of Cochran (1977),
/// Sampling Techniques, section 6.4.
pub fn sequence_ratio(clusters: &Clusters, tuned_for: f64, level: Level) -> Result<Estimate, ConfSeqError> {
    const METHOD: &str = "confidence sequence, asymptotic, ratio";
    mixture_radius(1.0, tuned_for, level)?;
    let (unit, used) = (clusters.unit(), clusters.used());
    let Some(fit) = fit(clusters) else {
        return Ok(Estimate::unknown(NONE, METHOD, level, unit, used as u64));
    };
    let estimate = Estimate::new(fit.ratio, METHOD, level, unit, used as u64);
    let enough = is_enough(used, clusters.numerators().iter().copied());
    with_limits(estimate, fit.standard_error, used, enough, tuned_for, level)
}

/// The difference of two ratios over the same clusters, with limits that may be
/// looked at after each cluster.
///
/// # Definition
/// As [`sequence_ratio`], with the value and error of
/// [`paired_difference`](crate::paired_difference()).
///
/// # Undefined
/// As [`sequence_ratio`].
///
/// # Errors
/// As [`sequence_ratio`], or sets that differ in length or unit.
///
/// # Source
/// As [`sequence_ratio`].
pub fn sequence_difference(
    first: &Clusters,
    second: &Clusters,
    tuned_for: f64,
    level: Level,
) -> Result<Estimate, ConfSeqError> {
    const METHOD: &str = "confidence sequence, asymptotic, paired difference of ratios";
    mixture_radius(1.0, tuned_for, level)?;
    let unit = first.unit();
    let Some(found) = difference(first, second)? else {
        return Ok(Estimate::unknown(NONE, METHOD, level, unit, 0));
    };
    let estimate = Estimate::new(found.value, METHOD, level, unit, found.used as u64);
    let apart = first.numerators().iter().zip(second.numerators()).map(|(a, b)| a - b);
    with_limits(estimate, found.standard_error, found.used, is_enough(found.used, apart), tuned_for, level)
}

/// Whether so many clusters with these contributions are enough for limits.
fn is_enough(used: usize, values: impl Iterator<Item = f64>) -> bool {
    let (sum, squares) = values.fold((0.0, 0.0), |(sum, squares), y| (sum + libm::fabs(y), squares + y * y));
    used >= LEAST_CLUSTERS && sum * sum >= LEAST_EFFECTIVE * squares
}

fn with_limits(
    estimate: Estimate,
    standard_error: Option<f64>,
    used: usize,
    enough: bool,
    tuned_for: f64,
    level: Level,
) -> Result<Estimate, ConfSeqError> {
    let radius = mixture_radius(libm::fmax(used as f64, 1.0), tuned_for, level)?;
    Ok(match (estimate.value, standard_error) {
        (Some(_), Some(error)) if !enough => estimate.with_mcse(error).because(WAITS),
        (Some(value), Some(error)) => {
            let half = libm::sqrt(used as f64) * error * radius;
            let limits = Interval { lo: value - half, hi: value + half };
            estimate.with_mcse(error).with_interval(limits).because(LARGE)
        }
        _ => estimate.because(if used < 2 { TOO_FEW } else { NO_SPREAD }),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ratio::ratio;

    /// The boundary √((v + r) ln((v + r)/(α²r))) of Howard et al. (2021),
    /// equation 14, with v = n and r = 1/ρ².
    #[test]
    fn two_forms_of_the_boundary_agree() {
        let alpha = 0.05f64;
        for (n, m) in [(1.0, 100.0), (100.0, 100.0), (5000.0, 100.0)] {
            let spent = -2.0 * alpha.ln();
            let r = m / (spent + (1.0 + spent).ln());
            let boundary = ((n + r) * ((n + r) / (alpha * alpha * r)).ln()).sqrt();
            let radius = mixture_radius(n, m, Level::P95).unwrap();
            assert!((radius * n / boundary - 1.0).abs() < 1e-13, "{n}");
        }
    }

    #[test]
    fn wider_than_one_look_and_narrowest_where_tuned() {
        let at = |m| mixture_radius(400.0, m, Level::P95).unwrap() * 400f64.sqrt();
        assert!(at(400.0) > Level::P95.z() && at(400.0) < 1.6 * Level::P95.z(), "{}", at(400.0));
        assert!(at(400.0) < at(40.0) && at(400.0) < at(4000.0));
        assert!(mixture_radius(400.0, 400.0, Level::P99).unwrap() > mixture_radius(400.0, 400.0, Level::P95).unwrap());
    }

    #[test]
    fn values_are_those_of_the_fixed_interval() {
        let often = |four: [(u64, u64); 4]| Clusters::counts("typist", four.repeat(25)).unwrap();
        let clusters = often([(1, 10), (3, 12), (0, 9), (5, 14)]);
        let sequence = sequence_ratio(&clusters, 50.0, Level::P95).unwrap();
        let fixed = ratio(&clusters, Level::P95);
        assert_eq!((sequence.value, sequence.mcse, sequence.n), (fixed.value, fixed.mcse, fixed.n));
        let second = often([(1, 10), (2, 12), (0, 9), (2, 14)]);
        let difference = sequence_difference(&clusters, &second, 50.0, Level::P95).unwrap();
        assert!(difference.interval().unwrap().contains(difference.value.unwrap()));
    }

    #[test]
    fn limits_wait_for_clusters_and_for_events_in_many_of_them() {
        let limits = |pairs: Vec<(u64, u64)>| {
            let clusters = Clusters::counts("typist", pairs).unwrap();
            let none = Clusters::counts("typist", clusters.denominators().iter().map(|n| (0, *n as u64))).unwrap();
            let found = [
                sequence_ratio(&clusters, 100.0, Level::P95).unwrap(),
                sequence_difference(&clusters, &none, 100.0, Level::P95).unwrap(),
            ];
            assert!(found.iter().all(|found| found.value.is_some() && found.mcse.is_some()));
            assert!(found.iter().all(|found| found.interval().is_some() || found.reason.as_deref() == Some(WAITS)));
            found.map(|found| found.interval().is_some())
        };
        let spread = |with: usize, of: usize| (0..of).map(|i| (u64::from(i < with), 50 + i as u64 % 3)).collect();
        assert_eq!(limits(spread(99, 99)), [false; 2]);
        assert_eq!(limits(spread(100, 100)), [true; 2]);
        // Events in 40 clusters, one in each, are 40 effective ones.
        assert_eq!(limits(spread(40, 400)), [true; 2]);
        assert_eq!(limits(spread(39, 400)), [false; 2]);
        let mut heavy: Vec<(u64, u64)> = spread(60, 400);
        heavy[0].0 = 20;
        assert_eq!(limits(heavy), [false; 2]);
    }

    #[test]
    fn what_has_no_sequence_says_so() {
        let none = Clusters::counts("typist", [(0, 10), (0, 12)]).unwrap();
        let found = sequence_ratio(&none, 50.0, Level::P95).unwrap();
        assert!(found.value == Some(0.0) && found.interval().is_none() && found.reason.is_some());
        let empty = Clusters::counts("typist", []).unwrap();
        assert!(sequence_ratio(&empty, 50.0, Level::P95).unwrap().value.is_none());
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(sequence_ratio(&none, bad, Level::P95).is_err());
            assert!(mixture_radius(bad, 50.0, Level::P95).is_err());
        }
        assert!(sequence_difference(&none, &empty, 50.0, Level::P95).is_err());
    }
}

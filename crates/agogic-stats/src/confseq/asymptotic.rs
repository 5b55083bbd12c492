//! The asymptotic confidence sequence over clusters.

use super::ConfSeqError;
use crate::clusters::Clusters;
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::paired::difference;
use crate::ratio::{NO_SPREAD, NONE, TOO_FEW, fit};

const LARGE: &str = "holds for large samples: do not look before some 30 clusters";

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
/// standard error: zero events give no sequence. The statement is for large K.
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
    with_limits(estimate, fit.standard_error, used, tuned_for, level)
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
    with_limits(estimate, found.standard_error, found.used, tuned_for, level)
}

fn with_limits(
    estimate: Estimate,
    standard_error: Option<f64>,
    used: usize,
    tuned_for: f64,
    level: Level,
) -> Result<Estimate, ConfSeqError> {
    let radius = mixture_radius(libm::fmax(used as f64, 1.0), tuned_for, level)?;
    Ok(match (estimate.value, standard_error) {
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
        let clusters = Clusters::counts("typist", [(1, 10), (3, 12), (0, 9), (5, 14)]).unwrap();
        let sequence = sequence_ratio(&clusters, 50.0, Level::P95).unwrap();
        let fixed = ratio(&clusters, Level::P95);
        assert_eq!((sequence.value, sequence.mcse, sequence.n), (fixed.value, fixed.mcse, fixed.n));
        let second = Clusters::counts("typist", [(1, 10), (2, 12), (0, 9), (2, 14)]).unwrap();
        let difference = sequence_difference(&clusters, &second, 50.0, Level::P95).unwrap();
        assert!(difference.interval().unwrap().contains(difference.value.unwrap()));
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

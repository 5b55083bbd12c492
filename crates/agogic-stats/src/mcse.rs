//! Performance of a method over simulated replicates, with Monte Carlo errors.
//!
//! Each measure comes as an [`Estimate`] whose unit is the replicate. A measure
//! without spread has no error: a coverage of exactly 1 gets exact limits and
//! not an error of 0.

use thiserror::Error;

use crate::binomial::{Trials, clopper_pearson, wilson};
use crate::correlation::pearson;
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::moments::{mean, standard_deviation, variance};
use crate::tdist::StudentT;

const UNIT: &str = "replicate";

/// Why a performance measure cannot be given.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum McseError {
    /// There are too few replicates, or one is not finite.
    #[error("summarise {0} replicates: at least 2 are needed, all finite")]
    Replicates(usize),
    /// The true value is not finite.
    #[error("read the true value {0}: it must be finite")]
    Truth(f64),
    /// A standard error is negative or not finite.
    #[error("read the standard error {value} of replicate {index}: it must be zero or more, and finite")]
    StandardError {
        /// Position of the replicate.
        index: usize,
        /// The number given.
        value: f64,
    },
    /// Two lists of replicates differ in length.
    #[error("pair {first} replicates with {second}: both must hold the same replicates")]
    Unpaired {
        /// Replicates in the first list.
        first: usize,
        /// Replicates in the second list.
        second: usize,
    },
    /// A wanted probability or error is out of range.
    #[error("read the wanted {name} {value}: it must lie strictly between 0 and 1")]
    Wanted {
        /// What it is.
        name: &'static str,
        /// The number given.
        value: f64,
    },
}

/// Bias, the mean estimate less the truth.
///
/// # Definition
/// θ̄ − θ with error √(Σ(θ̂ᵢ − θ̄)²/(n(n − 1))) and a t interval.
///
/// # Errors
/// Fewer than two replicates, or a number that is not finite.
///
/// # Source
/// Morris, White & Crowther (2019), Statistics in Medicine 38:2074, Table 6.
pub fn bias(estimates: &[f64], truth: f64, level: Level) -> Result<Estimate, McseError> {
    check_truth(truth)?;
    let (center, sd) = moments(estimates)?;
    let n = estimates.len();
    let error = sd / libm::sqrt(n as f64);
    let half = StudentT::from_count(n - 1).critical(level) * error;
    Ok(measured(center - truth, error, half, "bias", level, n))
}

/// Empirical standard error, the SD of the estimates.
///
/// # Definition
/// √(Σ(θ̂ᵢ − θ̄)²/(n − 1)) with error EmpSE/√(2(n − 1)) and a normal interval.
///
/// # Errors
/// As [`bias`].
///
/// # Source
/// As [`bias`].
pub fn empirical_error(estimates: &[f64], level: Level) -> Result<Estimate, McseError> {
    let (_, sd) = moments(estimates)?;
    let n = estimates.len();
    let error = sd / libm::sqrt(2.0 * (n as f64 - 1.0));
    Ok(measured(sd, error, level.z() * error, "empirical standard error", level, n))
}

/// Mean squared error.
///
/// # Definition
/// Mean of (θ̂ᵢ − θ)² with error √(Σ((θ̂ᵢ − θ)² − MSE)²/(n(n − 1))) and a normal
/// interval.
///
/// # Errors
/// As [`bias`].
///
/// # Source
/// As [`bias`].
pub fn mean_squared_error(estimates: &[f64], truth: f64, level: Level) -> Result<Estimate, McseError> {
    check_truth(truth)?;
    let squares: Vec<f64> = estimates.iter().map(|e| (e - truth) * (e - truth)).collect();
    let (center, sd) = moments(&squares)?;
    let error = sd / libm::sqrt(squares.len() as f64);
    Ok(measured(center, error, level.z() * error, "mean squared error", level, squares.len()))
}

/// Average model standard error, the root of the mean estimated variance.
///
/// # Definition
/// √(mean of SEᵢ²) with error √(Var(SE²)/(4n ModSE²)) and a normal interval.
///
/// # Errors
/// As [`bias`], or a negative standard error.
///
/// # Source
/// As [`bias`].
pub fn model_error(standard_errors: &[f64], level: Level) -> Result<Estimate, McseError> {
    let (value, spread) = model_moments(standard_errors)?;
    let n = standard_errors.len();
    let error = libm::sqrt(spread / (4.0 * n as f64)) / value;
    Ok(measured(value, error, level.z() * error, "average model standard error", level, n))
}

/// By how much the model standard error differs from the empirical one.
///
/// # Definition
/// ModSE/EmpSE − 1, as a fraction, with error
/// (ModSE/EmpSE) √(Var(SE²)/(4n ModSE⁴) + 1/(2(n − 1))).
///
/// # Errors
/// As [`model_error`], or lists of different lengths.
///
/// # Source
/// As [`bias`], there in percent.
pub fn relative_error(estimates: &[f64], standard_errors: &[f64], level: Level) -> Result<Estimate, McseError> {
    check_pairing(estimates, standard_errors)?;
    let (_, sd) = moments(estimates)?;
    let (model, spread) = model_moments(standard_errors)?;
    let n = estimates.len() as f64;
    let quotient = model / sd;
    let error = quotient * libm::sqrt(spread / (4.0 * n * model.powi(4)) + 1.0 / (2.0 * (n - 1.0)));
    let half = level.z() * error;
    Ok(measured(quotient - 1.0, error, half, "relative error of the model standard error", level, estimates.len()))
}

/// How much more precise the second method is than the first, on the same data.
///
/// # Definition
/// (EmpSE₁/EmpSE₂)² − 1, as a fraction, with error
/// 2 (EmpSE₁/EmpSE₂)² √((1 − r²)/(n − 1)), r the correlation of the estimates.
///
/// # Errors
/// As [`bias`], or lists of different lengths.
///
/// # Source
/// As [`bias`], there in percent.
pub fn precision_gain(first: &[f64], second: &[f64], level: Level) -> Result<Estimate, McseError> {
    const METHOD: &str = "relative gain in precision";
    check_pairing(first, second)?;
    let ((_, a), (_, b)) = (moments(first)?, moments(second)?);
    let n = first.len();
    let Ok(r) = pearson(first, second) else {
        return Ok(Estimate::unknown("one of the methods has no spread", METHOD, level, UNIT, n as u64));
    };
    let quotient = (a / b) * (a / b);
    let error = 2.0 * quotient * libm::sqrt((1.0 - r * r) / (n as f64 - 1.0));
    Ok(measured(quotient - 1.0, error, level.z() * error, METHOD, level, n))
}

/// Coverage, the share of intervals that hold the truth.
///
/// # Definition
/// C = hits/n with error √(C(1 − C)/n) and the [`wilson`] interval.
///
/// # Undefined
/// If all or none of the intervals hit, that error would be 0 and claim
/// certainty: it is missing, and the limits are those of [`clopper_pearson`].
///
/// # Source
/// As [`bias`]; the intervals are those of the binomial.
pub fn coverage(hits: Trials, level: Level) -> Estimate {
    share(hits, "coverage", level)
}

/// Coverage of intervals given one by one.
///
/// # Errors
/// No intervals, or a true value that is not finite.
pub fn coverage_of(intervals: &[Interval], truth: f64, level: Level) -> Result<Estimate, McseError> {
    check_truth(truth)?;
    let hits = intervals.iter().filter(|interval| interval.contains(truth)).count() as u64;
    let trials = Trials::new(hits, intervals.len() as u64).map_err(|_| McseError::Replicates(0))?;
    Ok(coverage(trials, level))
}

/// Power or type I error, the share of tests that reject.
///
/// # Definition
/// As [`coverage`].
///
/// # Undefined
/// As [`coverage`].
///
/// # Source
/// As [`bias`].
pub fn rejection(rejections: Trials, level: Level) -> Estimate {
    share(rejections, "rejection", level)
}

/// Replicates needed for a wanted Monte Carlo error of a coverage.
///
/// # Definition
/// C(1 − C)/error², rounded up.
///
/// # Errors
/// Unless both lie strictly between 0 and 1.
///
/// # Source
/// Morris, White & Crowther (2019), section 5.3.
pub fn replicates_for_coverage(coverage: f64, error: f64) -> Result<u64, McseError> {
    for (name, value) in [("coverage", coverage), ("error", error)] {
        if !(value > 0.0 && value < 1.0) {
            return Err(McseError::Wanted { name, value });
        }
    }
    let exact = coverage * (1.0 - coverage) / (error * error);
    // A whole number must not be pushed up by rounding.
    Ok(libm::ceil(exact * (1.0 - 1e-12)) as u64)
}

fn share(trials: Trials, method: &str, level: Level) -> Estimate {
    let value = trials.proportion();
    let estimate = Estimate::new(value, method, level, UNIT, trials.trials());
    if value > 0.0 && value < 1.0 {
        let error = libm::sqrt(value * (1.0 - value) / trials.trials() as f64);
        return estimate.with_mcse(error).with_interval(wilson(trials, level));
    }
    estimate.with_interval(clopper_pearson(trials, level)).because("all replicates agree: exact limits, no error")
}

fn measured(value: f64, error: f64, half: f64, method: &str, level: Level, n: usize) -> Estimate {
    let estimate = Estimate::new(value, method, level, UNIT, n as u64);
    if error > 0.0 {
        estimate.with_mcse(error).with_interval(Interval { lo: value - half, hi: value + half })
    } else {
        estimate.because("the replicates have no spread, so there is no Monte Carlo error to give")
    }
}

fn moments(values: &[f64]) -> Result<(f64, f64), McseError> {
    mean(values).zip(standard_deviation(values)).ok_or(McseError::Replicates(values.len()))
}

/// ModSE and the variance of the squared standard errors.
fn model_moments(standard_errors: &[f64]) -> Result<(f64, f64), McseError> {
    if let Some((index, &value)) = standard_errors.iter().enumerate().find(|(_, e)| !(**e >= 0.0 && e.is_finite())) {
        return Err(McseError::StandardError { index, value });
    }
    let squares: Vec<f64> = standard_errors.iter().map(|e| e * e).collect();
    let both = mean(&squares).zip(variance(&squares));
    both.map(|(m, v)| (libm::sqrt(m), v)).ok_or(McseError::Replicates(squares.len()))
}

fn check_truth(truth: f64) -> Result<(), McseError> {
    if truth.is_finite() { Ok(()) } else { Err(McseError::Truth(truth)) }
}

fn check_pairing(first: &[f64], second: &[f64]) -> Result<(), McseError> {
    let (first, second) = (first.len(), second.len());
    if first == second { Ok(()) } else { Err(McseError::Unpaired { first, second }) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn perfect_coverage_claims_no_certainty() {
        let all = coverage(Trials::new(200, 200).unwrap(), Level::P95);
        assert_eq!((all.value, all.mcse, all.hi), (Some(1.0), None, Some(1.0)));
        assert!((all.lo.unwrap() - 0.025f64.powf(1.0 / 200.0)).abs() < 1e-12);
        let none = rejection(Trials::new(0, 200).unwrap(), Level::P95);
        assert!((none.hi.unwrap() - (1.0 - all.lo.unwrap())).abs() < 1e-12);
        let most = coverage(Trials::new(190, 200).unwrap(), Level::P95);
        assert!((most.mcse.unwrap() - (0.95f64 * 0.05 / 200.0).sqrt()).abs() < 1e-16);
    }

    #[test]
    fn no_spread_has_no_error() {
        let same = bias(&[1.5; 4], 1.0, Level::P95).unwrap();
        assert!(same.value == Some(0.5) && same.mcse.is_none() && same.reason.is_some());
        assert!(precision_gain(&[1.0, 2.0], &[3.0, 3.0], Level::P95).unwrap().value.is_none());
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(bias(&[1.0], 0.0, Level::P95).is_err());
        assert!(bias(&[1.0, 2.0], f64::NAN, Level::P95).is_err());
        assert!(model_error(&[1.0, -1.0], Level::P95).is_err());
        assert!(relative_error(&[1.0, 2.0], &[1.0], Level::P95).is_err());
        assert!(coverage_of(&[], 0.0, Level::P95).is_err());
        assert!(replicates_for_coverage(1.0, 0.01).is_err() && replicates_for_coverage(0.9, f64::NAN).is_err());
    }

    #[test]
    fn hits_are_counted_with_their_ends() {
        let intervals = [Interval { lo: 0.0, hi: 1.0 }, Interval { lo: 1.0, hi: 2.0 }, Interval { lo: 2.0, hi: 3.0 }];
        assert_eq!(coverage_of(&intervals, 1.0, Level::P95).unwrap().value, Some(2.0 / 3.0));
    }
}

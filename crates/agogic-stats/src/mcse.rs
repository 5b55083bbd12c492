//! Performance of a method over simulated replicates, with Monte Carlo errors.
//!
//! A measure comes as an [`Estimate`] whose unit is the replicate. A measure
//! without spread has no error: a coverage of exactly 1 gets exact limits and
//! not an error of 0.

use crate::binomial::{Trials, clopper_pearson, wilson};
use crate::estimate::Estimate;
use crate::level::Level;

const UNIT: &str = "replicate";

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
/// Morris, White & Crowther (2019), Statistics in Medicine 38:2074, Table 6;
/// the intervals are those of the binomial.
pub fn coverage(hits: Trials, level: Level) -> Estimate {
    let value = hits.proportion();
    let estimate = Estimate::new(value, "coverage", level, UNIT, hits.trials());
    if value > 0.0 && value < 1.0 {
        let error = libm::sqrt(value * (1.0 - value) / hits.trials() as f64);
        return estimate.with_mcse(error).with_interval(wilson(hits, level));
    }
    estimate.with_interval(clopper_pearson(hits, level)).because("all replicates agree: exact limits, no error")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn perfect_coverage_claims_no_certainty() {
        let all = coverage(Trials::new(200, 200).unwrap(), Level::P95);
        assert_eq!((all.value, all.mcse, all.hi), (Some(1.0), None, Some(1.0)));
        assert!((all.lo.unwrap() - 0.025f64.powf(1.0 / 200.0)).abs() < 1e-12);
        let none = coverage(Trials::new(0, 200).unwrap(), Level::P95);
        assert!((none.hi.unwrap() - (1.0 - all.lo.unwrap())).abs() < 1e-12);
        let most = coverage(Trials::new(190, 200).unwrap(), Level::P95);
        assert!((most.mcse.unwrap() - (0.95f64 * 0.05 / 200.0).sqrt()).abs() < 1e-16);
    }
}

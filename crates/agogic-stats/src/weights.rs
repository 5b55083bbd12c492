//! Importance sampling over clusters.

use thiserror::Error;

use crate::clusters::{ClusterError, Clusters};
use crate::estimate::Estimate;
use crate::level::Level;
use crate::ratio::ratio;
use crate::sum::compensated_sum;

/// Effective draws below which no estimate is given.
const EFFECTIVE_AT_LEAST: f64 = 100.0;

/// Why an importance sample cannot be made.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum WeightError {
    /// There are no draws.
    #[error("weigh 0 draws: at least 1 is needed")]
    Empty,
    /// A logarithm of a weight is NaN or +∞.
    #[error("read the log weight {value} of draw {index}: it must be a number below infinity; −∞ is a weight of 0")]
    LogWeight {
        /// Position of the draw.
        index: usize,
        /// The number given.
        value: f64,
    },
    /// A value is not finite.
    #[error("read the value {value} of draw {index}: it must be finite")]
    Value {
        /// Position of the draw.
        index: usize,
        /// The number given.
        value: f64,
    },
    /// The weighted totals cannot be the data of a ratio.
    #[error(transparent)]
    Clusters(#[from] ClusterError),
}

/// One draw from the proposal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Draw {
    /// Position of the cluster it belongs to.
    pub cluster: usize,
    /// ln(target density/proposal density); −∞ for a weight of 0.
    pub log_weight: f64,
    /// What is averaged, such as 1 for an event and 0 for none.
    pub value: f64,
}

/// Weighted draws, gathered by cluster.
///
/// # Definition
/// With weights w = p/q of draws from q, E_p f = E_q wf. The unnormalised
/// estimate is the mean of wf over all draws; the self-normalised one is
/// Σwf/Σw, which also serves when p or q is known up to a constant only. Both
/// are ratios over clusters and take their error between clusters.
///
/// # Source
/// Owen (2013), Monte Carlo Theory, Methods and Examples, sections 9.1 and 9.2.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportanceSample {
    unit: String,
    /// Per cluster: number of draws, Σw and Σwf, scaled by e^−shift.
    totals: Vec<(f64, f64, f64)>,
    shift: f64,
    sum: f64,
    squares: f64,
    largest: f64,
}

impl ImportanceSample {
    /// Gathers draws; clusters without draws keep their place.
    ///
    /// # Errors
    /// No draws, a weight that is NaN or infinite, or a value that is not finite.
    pub fn new(unit: &str, draws: &[Draw]) -> Result<Self, WeightError> {
        for (index, draw) in draws.iter().enumerate() {
            if draw.log_weight.is_nan() || draw.log_weight == f64::INFINITY {
                return Err(WeightError::LogWeight { index, value: draw.log_weight });
            }
            if !draw.value.is_finite() {
                return Err(WeightError::Value { index, value: draw.value });
            }
        }
        let clusters = draws.iter().map(|d| d.cluster + 1).max().ok_or(WeightError::Empty)?;
        // The greatest weight becomes 1, so that none overflows.
        let top = draws.iter().map(|d| d.log_weight).fold(f64::NEG_INFINITY, f64::max);
        let shift = if top.is_finite() { top } else { 0.0 };
        let weights: Vec<f64> = draws.iter().map(|d| libm::exp(d.log_weight - shift)).collect();
        let mut totals = vec![(0.0, 0.0, 0.0); clusters];
        for (draw, weight) in draws.iter().zip(&weights) {
            let total = &mut totals[draw.cluster];
            *total = (total.0 + 1.0, total.1 + weight, total.2 + weight * draw.value);
        }
        Ok(ImportanceSample {
            unit: unit.to_owned(),
            totals,
            shift,
            sum: compensated_sum(weights.iter().copied()),
            squares: compensated_sum(weights.iter().map(|w| w * w)),
            largest: weights.iter().copied().fold(0.0, f64::max),
        })
    }

    /// Number of equally weighted draws that would be as informative.
    ///
    /// # Definition
    /// (Σw)²/Σw²: the number of draws if all weights are equal, 1 if one draw
    /// carries everything, 0 without weight.
    ///
    /// # Source
    /// Kong (1992), A note on importance sampling using standardized weights.
    pub fn effective_size(&self) -> f64 {
        if self.squares > 0.0 { self.sum * self.sum / self.squares } else { 0.0 }
    }

    /// Share of the total weight that the heaviest draw carries.
    pub fn largest_share(&self) -> f64 {
        if self.sum > 0.0 { self.largest / self.sum } else { 1.0 }
    }

    /// Mean weight, which estimates 1 when both densities are normalised.
    pub fn mean_weight(&self) -> f64 {
        let draws: f64 = self.totals.iter().map(|t| t.0).sum();
        libm::exp(self.shift) * self.sum / draws
    }

    /// Why these weights do not bear an estimate, if so.
    ///
    /// # Definition
    /// Fewer than 100 effective draws. The error that such a sample reports is
    /// itself an average of a few draws, and the estimate misses what the
    /// proposal hardly visits. With 100 or more, no draw carries over a tenth of
    /// the weight, since (Σw)²/Σw² ≤ (Σw)²/w² for each w.
    pub fn degenerate(&self) -> Option<&'static str> {
        (self.effective_size() < EFFECTIVE_AT_LEAST)
            .then_some("fewer than 100 effective draws: the proposal is too far from the target")
    }

    /// Mean of wf over the draws, for normalised densities.
    ///
    /// # Undefined
    /// Missing, with the reason, where the weights are
    /// [degenerate](ImportanceSample::degenerate).
    ///
    /// # Errors
    /// Totals that overflow.
    pub fn unnormalised(&self, level: Level) -> Result<Estimate, WeightError> {
        let scale = libm::exp(self.shift);
        let pairs = self.totals.iter().map(|&(n, _, wf)| (scale * wf, n));
        self.ratio_of(pairs, "importance sampling, unnormalised", level)
    }

    /// Σwf/Σw, for densities known up to a constant.
    ///
    /// # Undefined
    /// As [`ImportanceSample::unnormalised`].
    ///
    /// # Errors
    /// As [`ImportanceSample::unnormalised`].
    pub fn self_normalised(&self, level: Level) -> Result<Estimate, WeightError> {
        let pairs = self.totals.iter().map(|&(_, w, wf)| (if w > 0.0 { wf } else { 0.0 }, w));
        self.ratio_of(pairs, "importance sampling, self-normalised", level)
    }

    fn ratio_of(
        &self,
        pairs: impl Iterator<Item = (f64, f64)>,
        method: &str,
        level: Level,
    ) -> Result<Estimate, WeightError> {
        let clusters = Clusters::ratio(&self.unit, pairs)?;
        if let Some(reason) = self.degenerate() {
            return Ok(Estimate::unknown(reason, method, level, &self.unit, clusters.used() as u64));
        }
        Ok(Estimate { method: method.to_owned(), ..ratio(&clusters, level) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn draws(n: usize, log_weight: impl Fn(usize) -> f64) -> Vec<Draw> {
        (0..n).map(|i| Draw { cluster: i % 8, log_weight: log_weight(i), value: (i % 5) as f64 }).collect()
    }

    #[test]
    fn equal_weights_are_the_plain_mean() {
        let sample = ImportanceSample::new("typist", &draws(400, |_| 0.0)).unwrap();
        assert_eq!((sample.effective_size(), sample.mean_weight()), (400.0, 1.0));
        let plain = sample.unnormalised(Level::P95).unwrap();
        assert!((plain.value.unwrap() - 2.0).abs() < 1e-14);
        let normalised = sample.self_normalised(Level::P95).unwrap();
        assert!((plain.value.unwrap() - normalised.value.unwrap()).abs() < 1e-14);
    }

    #[test]
    fn a_constant_factor_leaves_the_self_normalised_estimate() {
        let weight = |i: usize| (i % 3) as f64 * 0.2;
        let one = ImportanceSample::new("typist", &draws(600, weight)).unwrap();
        let other = ImportanceSample::new("typist", &draws(600, |i| weight(i) - 900.0)).unwrap();
        let value = |sample: &ImportanceSample| sample.self_normalised(Level::P95).unwrap().value.unwrap();
        assert!((value(&one) - value(&other)).abs() < 1e-12);
        assert!((one.effective_size() - other.effective_size()).abs() < 1e-9);
        assert!(one.effective_size() < 600.0);
    }

    #[test]
    fn degenerate_weights_are_refused() {
        let few = ImportanceSample::new("typist", &draws(99, |_| 0.0)).unwrap();
        assert!(few.degenerate().is_some() && few.unnormalised(Level::P95).unwrap().value.is_none());
        // One draw among 100 000 with an eighth of the weight.
        let one = |i| if i == 0 { libm::log(99_999.0 / 7.0) } else { 0.0 };
        let heavy = ImportanceSample::new("typist", &draws(100_000, one)).unwrap();
        assert!((heavy.largest_share() - 0.125).abs() < 1e-12 && heavy.effective_size() < 64.0);
        assert!(heavy.self_normalised(Level::P95).unwrap().value.is_none());
        let nothing = ImportanceSample::new("typist", &draws(500, |_| f64::NEG_INFINITY)).unwrap();
        assert_eq!((nothing.effective_size(), nothing.largest_share()), (0.0, 1.0));
        assert!(nothing.self_normalised(Level::P95).unwrap().value.is_none());
    }

    #[test]
    fn nonsense_is_refused() {
        assert_eq!(ImportanceSample::new("typist", &[]), Err(WeightError::Empty));
        for bad in [f64::NAN, f64::INFINITY] {
            assert!(ImportanceSample::new("typist", &draws(3, |_| bad)).is_err());
            let draw = Draw { cluster: 0, log_weight: 0.0, value: bad };
            assert!(ImportanceSample::new("typist", &[draw]).is_err());
        }
    }
}

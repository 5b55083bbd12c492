//! The empirical-Bernstein confidence sequence.

use super::{ConfSeqError, Running, intersect};
use crate::estimate::{Estimate, Interval};
use crate::level::Level;

/// Largest weight; the bound on the exponential process needs it below 1.
const LARGEST: f64 = 0.5;

/// Confidence sequence for the mean of bounded values, in closed form.
///
/// # Definition
/// On the scale 0 to 1, with weights λᵢ made from earlier values only,
/// Σλᵢxᵢ/Σλᵢ ± (ln(2/α) + Σ 4(xᵢ − μ̂ᵢ₋₁)² ψ(λᵢ))/Σλᵢ, where
/// ψ(λ) = (−ln(1 − λ) − λ)/4. The limits are those of all times so far
/// together.
///
/// # Shape
/// Values that are independent given the past, with one mean, between bounds
/// stated beforehand: for rates over clusters, one value per cluster.
///
/// # Source
/// Waudby-Smith & Ramdas (2023), Journal of the Royal Statistical Society B
/// 86:1, theorem 2 and equations 14 and 15.
#[derive(Debug, Clone, PartialEq)]
pub struct EmpiricalBernstein {
    level: Level,
    running: Running,
    weights: f64,
    weighted: f64,
    penalty: f64,
    limits: Interval,
}

impl EmpiricalBernstein {
    /// Starts a sequence for values between `bounds`.
    ///
    /// # Errors
    /// Bounds that are empty or not finite.
    pub fn new(bounds: Interval, level: Level) -> Result<Self, ConfSeqError> {
        let running = Running::new(bounds)?;
        let limits = Interval { lo: 0.0, hi: 1.0 };
        Ok(EmpiricalBernstein { level, running, weights: 0.0, weighted: 0.0, penalty: 0.0, limits })
    }

    /// Takes the next value.
    ///
    /// # Errors
    /// A value outside the bounds; the sequence is then unchanged.
    pub fn push(&mut self, value: f64) -> Result<(), ConfSeqError> {
        let x = self.running.to_unit(value)?;
        let weight = libm::fmin(self.running.bet(self.level), LARGEST);
        let off = x - self.running.mean();
        self.weights += weight;
        self.weighted += weight * x;
        self.penalty += off * off * (-libm::log1p(-weight) - weight);
        self.running.add(x);
        let center = self.weighted / self.weights;
        let half = (libm::log(2.0 / self.level.alpha()) + self.penalty) / self.weights;
        self.limits = intersect(self.limits, Interval { lo: center - half, hi: center + half });
        Ok(())
    }

    /// Limits that hold now and held at all times before.
    pub fn interval(&self) -> Interval {
        self.running.within_bounds(self.limits)
    }

    /// Number of values taken.
    pub fn n(&self) -> u64 {
        self.running.n
    }

    /// The plain mean with the limits.
    ///
    /// # Undefined
    /// Without values, the mean is missing and the limits are the bounds.
    pub fn estimate(&self, unit: &str) -> Estimate {
        const METHOD: &str = "confidence sequence, empirical Bernstein";
        estimate(&self.running, self.interval(), METHOD, self.level, unit)
    }
}

pub(super) fn estimate(running: &Running, limits: Interval, method: &str, level: Level, unit: &str) -> Estimate {
    if running.n == 0 {
        return Estimate::unknown("no value was taken yet", method, level, unit, 0).with_interval(limits);
    }
    let Interval { lo, hi } = running.bounds;
    let mean = lo + (hi - lo) * running.sum / running.n as f64;
    Estimate::new(mean, method, level, unit, running.n).with_interval(limits)
}

#[cfg(test)]
mod tests {
    use super::*;

    const UNIT: Interval = Interval { lo: 0.0, hi: 1.0 };

    #[test]
    fn two_values_by_hand() {
        let mut sequence = EmpiricalBernstein::new(UNIT, Level::P95).unwrap();
        for x in [1.0, 0.0] {
            sequence.push(x).unwrap();
        }
        // Both weights are cut to ½; means before: ½ and ¾.
        let psi = 2f64.ln() - 0.5;
        let half = 40f64.ln() + psi * (0.25 + 0.5625);
        assert!((sequence.weighted / sequence.weights - 0.5).abs() < 1e-15);
        assert!((sequence.penalty - psi * 0.8125).abs() < 1e-15);
        assert!(half > 0.5 && sequence.interval() == UNIT);
    }

    #[test]
    fn limits_only_tighten_and_scale_with_the_bounds() {
        let mut unit = EmpiricalBernstein::new(UNIT, Level::P95).unwrap();
        let mut wide = EmpiricalBernstein::new(Interval { lo: -100.0, hi: 300.0 }, Level::P95).unwrap();
        let mut strict = EmpiricalBernstein::new(UNIT, Level::P99).unwrap();
        let mut last = 1.0;
        for i in 0..3000 {
            let x = f64::from(i * 7 % 10) / 10.0;
            unit.push(x).unwrap();
            wide.push(400.0 * x - 100.0).unwrap();
            strict.push(x).unwrap();
            let width = unit.interval().width();
            assert!(width <= last);
            last = width;
        }
        assert!(unit.interval().contains(0.45) && last < 0.12, "{last}");
        assert!((wide.interval().lo - (400.0 * unit.interval().lo - 100.0)).abs() < 1e-9);
        assert!(strict.interval().width() > last);
        assert_eq!(unit.estimate("typist").n, 3000);
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(EmpiricalBernstein::new(Interval { lo: 1.0, hi: 1.0 }, Level::P95).is_err());
        assert!(EmpiricalBernstein::new(Interval { lo: 0.0, hi: f64::INFINITY }, Level::P95).is_err());
        let mut sequence = EmpiricalBernstein::new(UNIT, Level::P95).unwrap();
        for bad in [1.1, -0.1, f64::NAN] {
            assert!(sequence.push(bad).is_err());
        }
        assert_eq!(sequence.n(), 0);
        let none = sequence.estimate("typist");
        assert!(none.value.is_none() && none.interval() == Some(UNIT));
    }
}

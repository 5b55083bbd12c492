//! The hedged betting confidence sequence.

use super::empirical_bernstein::estimate;
use super::{ConfSeqError, Running, intersect};
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::sum::compensated_sum;

/// Share of the capital that one bet may put at risk. With ¾, the other usual
/// choice, early bets lose so much that events and misses get wider limits.
const AT_RISK: f64 = 0.5;

/// Halvings of the interval in which a limit is searched.
const HALVINGS: usize = 50;

/// Confidence sequence for the mean of bounded values, at the price of keeping
/// them. It is much narrower than the empirical-Bernstein one for few values, or
/// values that use little of their bounds; for thousands of events and misses
/// the two are about equal.
///
/// # Definition
/// On the scale 0 to 1, whoever claims the mean m is bet against both ways:
/// K⁺ = Π(1 + min(λᵢ, c/m)(xᵢ − m)) and K⁻ = Π(1 − min(λᵢ, c/(1−m))(xᵢ − m)),
/// with c = ½. If m is the mean, ½ max(K⁺, K⁻) passes 1/α with probability at
/// most α at any time. The limits are those m at which it has not. K⁺ falls in m
/// and K⁻ grows, so each limit is one root.
///
/// # Shape
/// As [`EmpiricalBernstein`](super::EmpiricalBernstein). A call of
/// [`Betting::interval`] passes over all values about a hundred times.
///
/// # Source
/// Waudby-Smith & Ramdas (2023), Journal of the Royal Statistical Society B
/// 86:1, theorem 3 and equations 24 to 27.
#[derive(Debug, Clone, PartialEq)]
pub struct Betting {
    level: Level,
    running: Running,
    history: Vec<(f64, f64)>,
    limits: Interval,
}

impl Betting {
    /// Starts a sequence for values between `bounds`.
    ///
    /// # Errors
    /// Bounds that are empty or not finite.
    pub fn new(bounds: Interval, level: Level) -> Result<Self, ConfSeqError> {
        let running = Running::new(bounds)?;
        Ok(Betting { level, running, history: Vec::new(), limits: Interval { lo: 0.0, hi: 1.0 } })
    }

    /// Takes the next value.
    ///
    /// # Errors
    /// A value outside the bounds; the sequence is then unchanged.
    pub fn push(&mut self, value: f64) -> Result<(), ConfSeqError> {
        let x = self.running.to_unit(value)?;
        self.history.push((x, self.running.bet(self.level)));
        self.running.add(x);
        Ok(())
    }

    /// Limits that hold now, and together with those of every earlier call.
    pub fn interval(&mut self) -> Interval {
        let current = self.current();
        self.limits = intersect(self.limits, current);
        self.running.within_bounds(self.limits)
    }

    /// Whether the mean `m` is ruled out by the values so far.
    ///
    /// Costs one pass over the values, and is what a test of one mean needs.
    pub fn excludes(&self, m: f64) -> bool {
        let Ok(m) = self.running.to_unit(m) else { return true };
        self.excess_below(m) > 0.0 || self.excess_above(m) > 0.0
    }

    /// Number of values taken.
    pub fn n(&self) -> u64 {
        self.running.n
    }

    /// The plain mean with the limits.
    ///
    /// # Undefined
    /// Without values, the mean is missing and the limits are the bounds.
    pub fn estimate(&mut self, unit: &str) -> Estimate {
        const METHOD: &str = "confidence sequence, betting";
        let limits = self.interval();
        estimate(&self.running, limits, METHOD, self.level, unit)
    }

    fn current(&self) -> Interval {
        let (mut out, mut inside) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (out + inside);
            if self.excess_below(middle) > 0.0 { out = middle } else { inside = middle }
        }
        let lo = out;
        let (mut inside, mut out) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (out + inside);
            if self.excess_above(middle) > 0.0 { out = middle } else { inside = middle }
        }
        // The outer ends are kept, so that halving never cuts into the set.
        Interval { lo, hi: out }
    }

    /// ln(½K⁺) − ln(1/α): above 0 if the mean must exceed `m`.
    fn excess_below(&self, m: f64) -> f64 {
        let most = if m > 0.0 { AT_RISK / m } else { f64::INFINITY };
        let capital = self.history.iter().map(|&(x, bet)| libm::log1p(libm::fmin(bet, most) * (x - m)));
        compensated_sum(capital) + libm::log(0.5 * self.level.alpha())
    }

    /// ln(½K⁻) − ln(1/α): above 0 if the mean must lie below `m`.
    fn excess_above(&self, m: f64) -> f64 {
        let most = if m < 1.0 { AT_RISK / (1.0 - m) } else { f64::INFINITY };
        let capital = self.history.iter().map(|&(x, bet)| libm::log1p(-libm::fmin(bet, most) * (x - m)));
        compensated_sum(capital) + libm::log(0.5 * self.level.alpha())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::confseq::EmpiricalBernstein;

    const UNIT: Interval = Interval { lo: 0.0, hi: 1.0 };

    fn fed(values: impl Iterator<Item = f64>, level: Level) -> Betting {
        let mut sequence = Betting::new(UNIT, level).unwrap();
        values.for_each(|x| sequence.push(x).unwrap());
        sequence
    }

    #[test]
    fn limits_are_roots_of_the_capital() {
        let mut sequence = fed((0..500).map(|i| f64::from(i % 5) / 4.0), Level::P95);
        let limits = sequence.interval();
        assert!(sequence.excess_below(limits.lo).abs() < 1e-9 && sequence.excess_above(limits.hi).abs() < 1e-9);
        assert!(sequence.excludes(limits.lo - 0.01) && sequence.excludes(limits.hi + 0.01));
        assert!(!sequence.excludes(0.5) && sequence.excludes(2.0));
        assert!(limits.contains(0.5));
    }

    #[test]
    fn narrower_than_empirical_bernstein_where_values_spread_little() {
        let values = || (0..200).map(|i| 0.2 + f64::from(i * 7 % 10) / 50.0);
        let mut betting = Betting::new(UNIT, Level::P95).unwrap();
        let mut bernstein = EmpiricalBernstein::new(UNIT, Level::P95).unwrap();
        for x in values() {
            bernstein.push(x).unwrap();
            betting.push(x).unwrap();
            // The other looks at every value: both must, to be compared.
            betting.interval();
        }
        assert!(betting.interval().contains(0.29));
        let (narrow, wide) = (betting.interval(), bernstein.interval());
        assert!(narrow.width() < 0.6 * wide.width(), "{narrow:?} {wide:?}");
        assert!(narrow.width() < fed(values(), Level::P99).interval().width());
    }

    #[test]
    fn no_event_leaves_a_bound() {
        let mut none = fed((0..300).map(|_| 0.0), Level::P95);
        let limits = none.interval();
        assert_eq!(limits.lo, 0.0);
        // The exact one-look bound is 1 − .025^(1/300).
        assert!(limits.hi > 1.0 - 0.025f64.powf(1.0 / 300.0) && limits.hi < 0.1, "{}", limits.hi);
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(Betting::new(Interval { lo: 2.0, hi: 1.0 }, Level::P95).is_err());
        let mut empty = Betting::new(UNIT, Level::P95).unwrap();
        assert!(empty.push(f64::NAN).is_err() && empty.push(1.5).is_err());
        assert_eq!(empty.interval(), UNIT);
        assert!(empty.estimate("typist").value.is_none() && empty.n() == 0);
    }
}

//! The betting confidence sequence for a ratio over clusters.

use super::ConfSeqError;
use crate::estimate::{Estimate, Interval};
use crate::level::Level;
use crate::ratio::NONE;
use crate::sum::compensated_sum;

/// Share of the capital that one bet may put at risk.
const AT_RISK: f64 = 0.5;

/// Halvings of the interval in which a limit is searched.
const HALVINGS: usize = 50;

/// Confidence sequence for a ratio of expected totals, E y/E x, over clusters of bounded size.
///
/// # Definition
/// Clusters (y, x) are independent and alike in distribution, with 0 ≤ x ≤ c and a·x ≤ y ≤ x, where a is 0 for a
/// proportion and −1 for a difference of two proportions over the same opportunities. If the ratio is r, then
/// s = (y − r x)/c has mean 0 and lies between a − r and 1 − r. Whoever claims r is bet against both ways:
/// K⁺ = Π(1 + min(λᵢ, ½/(r − a)) sᵢ) and K⁻ = Π(1 − min(λᵢ, ½/(1 − r)) sᵢ), with λᵢ from the clusters before i
/// alone. Both are non-negative martingales at the true ratio, so ½ max(K⁺, K⁻) passes 1/α with probability at
/// most α at any time (Ville). The limits are those r at which it has not. The guarantee holds for any number
/// of clusters and any distribution within the bounds; skewness costs width, not coverage.
///
/// # Shape
/// Clusters in an order that does not depend on their results. Limits cost about a hundred passes.
///
/// # Undefined
/// Without opportunities the ratio is missing and the limits are the bounds.
///
/// # Source
/// Waudby-Smith & Ramdas (2023), Journal of the Royal Statistical Society B 86:1, theorem 3 and equations 24 to 27,
/// with y − r x in the place of x − m: an estimating function of mean 0 is all their proof uses.
#[derive(Debug, Clone, PartialEq)]
pub struct RatioBetting {
    level: Level,
    /// Most opportunities a cluster can have.
    cap: f64,
    /// Least ratio that can be: 0 or −1.
    least: f64,
    /// y/c, x/c and the bet, by cluster.
    history: Vec<(f64, f64, f64)>,
    /// Σ y/c, Σ x/c, Σ of squared residuals.
    sums: [f64; 3],
}

impl RatioBetting {
    /// Starts a sequence for events among opportunities.
    ///
    /// # Errors
    /// A `cap`, the most opportunities a cluster can have, that is not positive and finite.
    pub fn proportion(cap: f64, level: Level) -> Result<Self, ConfSeqError> {
        Self::new(cap, 0.0, level)
    }

    /// Starts a sequence for the difference of two proportions over the same opportunities.
    ///
    /// # Errors
    /// As [`RatioBetting::proportion`].
    pub fn difference(cap: f64, level: Level) -> Result<Self, ConfSeqError> {
        Self::new(cap, -1.0, level)
    }

    fn new(cap: f64, least: f64, level: Level) -> Result<Self, ConfSeqError> {
        if cap > 0.0 && cap.is_finite() {
            Ok(Self { level, cap, least, history: Vec::new(), sums: [0.0; 3] })
        } else {
            Err(ConfSeqError::Bounds { lo: 0.0, hi: cap })
        }
    }

    /// Takes the next cluster: events, or the difference of two counts of events, among opportunities.
    ///
    /// # Errors
    /// More opportunities than the cap, or events that do not fit them; the sequence is then unchanged.
    pub fn push(&mut self, events: f64, opportunities: f64) -> Result<(), ConfSeqError> {
        if !(0.0..=self.cap).contains(&opportunities) {
            return Err(ConfSeqError::Value { value: opportunities, lo: 0.0, hi: self.cap });
        }
        let (lo, hi) = (self.least * opportunities, opportunities);
        if !(lo..=hi).contains(&events) {
            return Err(ConfSeqError::Value { value: events, lo, hi });
        }
        let (y, x) = (events / self.cap, opportunities / self.cap);
        let next = self.history.len() as f64 + 1.0;
        let [sum_y, sum_x, squares] = self.sums;
        // A variance as if one cluster more had been seen, with a spread in keeping with the mean so far.
        let scale = (0.5 + libm::fabs(sum_y)) / next;
        let variance = (0.25 * scale + squares) / next;
        let bet = libm::sqrt(2.0 * libm::log(2.0 / self.level.alpha()) / (variance * next * libm::log(next + 1.0)));
        self.history.push((y, x, bet));
        let (sum_y, sum_x) = (sum_y + y, sum_x + x);
        let ratio = if sum_x > 0.0 { sum_y / sum_x } else { 0.0 };
        self.sums = [sum_y, sum_x, squares + (y - ratio * x) * (y - ratio * x)];
        Ok(())
    }

    /// Limits that hold now and at every earlier time together.
    pub fn interval(&self) -> Interval {
        let root = |excess: &dyn Fn(f64) -> f64, mut out: f64, mut inside: f64| {
            for _ in 0..HALVINGS {
                let middle = 0.5 * (out + inside);
                if excess(middle) > 0.0 { out = middle } else { inside = middle }
            }
            // The outer end is kept, so that halving never cuts into the set.
            out
        };
        let lo = root(&|r| self.excess_below(r), self.least, 1.0);
        Interval { lo, hi: root(&|r| self.excess_above(r), 1.0, self.least).max(lo) }
    }

    /// Whether the ratio `r` is ruled out by the clusters so far; one pass over them.
    pub fn excludes(&self, r: f64) -> bool {
        !(self.least..=1.0).contains(&r) || self.excess_below(r) > 0.0 || self.excess_above(r) > 0.0
    }

    /// The ratio of totals with the limits.
    pub fn estimate(&self, unit: &str) -> Estimate {
        const METHOD: &str = "confidence sequence, betting, ratio";
        let used = self.history.iter().filter(|(_, x, _)| *x > 0.0).count() as u64;
        let limits = self.interval();
        let [sum_y, sum_x, _] = self.sums;
        if sum_x > 0.0 {
            Estimate::new(sum_y / sum_x, METHOD, self.level, unit, used).with_interval(limits)
        } else {
            Estimate::unknown(NONE, METHOD, self.level, unit, used).with_interval(limits)
        }
    }

    /// ln(½K⁺) − ln(1/α): above 0 if the ratio must exceed `r`. Falls in r.
    fn excess_below(&self, r: f64) -> f64 {
        let most = if r > self.least { AT_RISK / (r - self.least) } else { f64::INFINITY };
        let capital = self.history.iter().map(|&(y, x, bet)| libm::log1p(libm::fmin(bet, most) * (y - r * x)));
        compensated_sum(capital) + libm::log(0.5 * self.level.alpha())
    }

    /// ln(½K⁻) − ln(1/α): above 0 if the ratio must lie below `r`. Grows in r.
    fn excess_above(&self, r: f64) -> f64 {
        let most = if r < 1.0 { AT_RISK / (1.0 - r) } else { f64::INFINITY };
        let capital = self.history.iter().map(|&(y, x, bet)| libm::log1p(-libm::fmin(bet, most) * (y - r * x)));
        compensated_sum(capital) + libm::log(0.5 * self.level.alpha())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fed(pairs: impl Iterator<Item = (f64, f64)>) -> RatioBetting {
        let mut sequence = RatioBetting::proportion(100.0, Level::P95).unwrap();
        pairs.for_each(|(y, x)| sequence.push(y, x).unwrap());
        sequence
    }

    #[test]
    fn limits_are_roots_around_the_ratio() {
        let sequence = fed((0..300).map(|i| (f64::from(i % 5), f64::from(50 + i % 7))));
        let limits = sequence.interval();
        let found = sequence.estimate("typist");
        assert!(limits.contains(found.value.unwrap()) && found.n == 300);
        assert!(sequence.excess_below(limits.lo).abs() < 1e-9 && sequence.excess_above(limits.hi).abs() < 1e-9);
        assert!(sequence.excludes(limits.lo - 1e-3) && sequence.excludes(limits.hi + 1e-3));
        assert!(!sequence.excludes(found.value.unwrap()) && sequence.excludes(-0.1));
    }

    #[test]
    fn exchanged_sides_change_the_sign() {
        let mut one = RatioBetting::difference(10.0, Level::P95).unwrap();
        let mut other = one.clone();
        for i in 0..200 {
            let u = f64::from(i % 7) - 2.0;
            one.push(u, 8.0).unwrap();
            other.push(-u, 8.0).unwrap();
        }
        let (a, b) = (one.interval(), other.interval());
        assert!((a.lo + b.hi).abs() < 1e-12 && (a.hi + b.lo).abs() < 1e-12, "{a:?} {b:?}");
    }

    #[test]
    fn nothing_seen_leaves_the_bounds_and_no_event_a_bound() {
        let none = fed(std::iter::empty());
        assert_eq!(none.interval(), Interval { lo: 0.0, hi: 1.0 });
        assert!(none.estimate("typist").value.is_none());
        let zero = fed((0..300).map(|_| (0.0, 100.0))).interval();
        assert!(zero.lo == 0.0 && zero.hi > 0.01 && zero.hi < 0.1, "{zero:?}");
    }

    #[test]
    fn nonsense_is_refused() {
        for cap in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(RatioBetting::proportion(cap, Level::P95).is_err());
        }
        let mut sequence = fed(std::iter::empty());
        for (y, x) in [(1.0, 101.0), (2.0, 1.0), (-1.0, 5.0), (f64::NAN, 5.0), (0.0, f64::NAN)] {
            assert!(sequence.push(y, x).is_err(), "{y} {x}");
        }
        assert_eq!(sequence, fed(std::iter::empty()));
        assert!(RatioBetting::difference(10.0, Level::P95).unwrap().push(-5.0, 5.0).is_ok());
    }
}

//! Counts of presses by the odds an observer gave them.

use serde::{Deserialize, Serialize};

/// Bins per nat.
const PER_NAT: f64 = 4.0;

/// Odds beyond ± this many nats share the outermost bins.
const REACH_NATS: f64 = 20.0;

const BINS: usize = (2.0 * REACH_NATS * PER_NAT) as usize;

/// How many taps and holds an observer gave which log odds.
///
/// # Shape
/// 160 bins of a quarter nat, from −20 to 20. Zero is an edge. Whole numbers only: counts of parts of a
/// study add up to those of the whole in any order.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Vec<[u64; 2]>", into = "Vec<[u64; 2]>")]
pub struct OddsCounts {
    bins: Vec<[u64; 2]>,
}

impl From<OddsCounts> for Vec<[u64; 2]> {
    fn from(counts: OddsCounts) -> Self {
        counts.bins
    }
}

impl TryFrom<Vec<[u64; 2]>> for OddsCounts {
    type Error = String;

    fn try_from(bins: Vec<[u64; 2]>) -> Result<Self, String> {
        if bins.len() == BINS { Ok(Self { bins }) } else { Err(format!("{} bins instead of {BINS}", bins.len())) }
    }
}

impl Default for OddsCounts {
    fn default() -> Self {
        Self { bins: vec![[0; 2]; BINS] }
    }
}

impl OddsCounts {
    /// No press yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Counts a press with the log odds an observer gave it, in nats, and whether it was meant as a hold.
    pub fn add(&mut self, log_odds: f64, is_hold: bool) {
        let at = ((log_odds + REACH_NATS) * PER_NAT).clamp(0.0, (BINS - 1) as f64);
        self.bins[at as usize][usize::from(is_hold)] += 1;
    }

    /// Adds the counts of another part of the study.
    pub fn merge(&mut self, other: &Self) {
        for (bin, more) in self.bins.iter_mut().zip(&other.bins) {
            *bin = [bin[0] + more[0], bin[1] + more[1]];
        }
    }

    /// Presses meant as taps.
    pub fn taps(&self) -> u64 {
        self.bins.iter().map(|bin| bin[0]).sum()
    }

    /// Presses meant as holds.
    pub fn holds(&self) -> u64 {
        self.bins.iter().map(|bin| bin[1]).sum()
    }

    /// The edge nearest to a threshold; infinite as that is.
    pub fn nearest_edge(threshold_nats: f64) -> f64 {
        libm::round(threshold_nats * PER_NAT) / PER_NAT
    }

    /// False holds and missed holds of the rule that calls a hold at log odds of at least `threshold_nats`.
    ///
    /// Only edges of bins are thresholds; another value counts as the next edge above.
    pub fn errors_at(&self, threshold_nats: f64) -> [u64; 2] {
        let first = libm::ceil((threshold_nats + REACH_NATS) * PER_NAT - 1e-9).clamp(0.0, BINS as f64) as usize;
        let sum = |bins: &[[u64; 2]], class: usize| bins.iter().map(|bin| bin[class]).sum();
        [sum(&self.bins[first..], 0), sum(&self.bins[..first], 1)]
    }

    /// Lower edge in nats, taps and holds of each bin.
    pub fn bins(&self) -> impl DoubleEndedIterator<Item = (f64, u64, u64)> + '_ {
        self.bins.iter().enumerate().map(|(i, bin)| (i as f64 / PER_NAT - REACH_NATS, bin[0], bin[1]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_belong_to_the_bin_above() {
        let mut counts = OddsCounts::new();
        for (odds, hold) in [(0.0, true), (-1e-9, true), (0.2, false), (99.0, true), (-99.0, false)] {
            counts.add(odds, hold);
        }
        assert_eq!((counts.taps(), counts.holds()), (2, 3));
        assert_eq!(counts.errors_at(0.0), [1, 1]);
        assert_eq!(counts.errors_at(0.1), [0, 2]);
        assert_eq!(counts.errors_at(-30.0), [2, 0]);
        assert_eq!(counts.errors_at(30.0), [0, 3]);
    }

    #[test]
    fn parts_add_up_in_any_order() {
        let part = |odds: f64| {
            let mut counts = OddsCounts::new();
            counts.add(odds, odds > 1.0);
            counts
        };
        let (mut a, mut b) = (part(0.5), part(3.0));
        a.merge(&part(3.0));
        b.merge(&part(0.5));
        assert_eq!(a, b);
    }
}

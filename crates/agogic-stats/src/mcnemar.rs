//! McNemar's test for paired outcomes.

use serde::Serialize;

use crate::binomial::{Trials, binomial_lower, binomial_mass};
use crate::normal::normal_upper;
use crate::paired_counts::PairedCounts;

/// Statistics and p-values of McNemar's test.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct McNemar {
    /// (f − g)²/(f + g).
    pub chi_squared: f64,
    /// p-value of `chi_squared` on 1 degree of freedom.
    pub p: f64,
    /// max(|f − g| − 1, 0)²/(f + g).
    pub chi_squared_corrected: f64,
    /// p-value of `chi_squared_corrected` on 1 degree of freedom.
    pub p_corrected: f64,
    /// Two-sided exact p-value, twice the smaller binomial tail, at most 1.
    pub p_exact: f64,
    /// Twice the smaller tail with half the probability of the counts seen;
    /// 1 less half that probability if f = g.
    pub p_mid: f64,
}

/// Tests whether two outcomes of the same trials are equally likely.
///
/// # Definition
/// Only the pairs that differ count. Given f + g of them, f is binomial with
/// probability ½ if the two outcomes are equally likely.
///
/// # Undefined
/// `None` if no pair differs: the data then hold no evidence either way.
///
/// # Source
/// McNemar (1947), Psychometrika 12:153; Fagerland, Lydersen & Laake (2013), BMC
/// Medical Research Methodology 13:91, for the mid-P value.
pub fn mcnemar(counts: PairedCounts) -> Option<McNemar> {
    let smaller = counts.first_only.min(counts.second_only);
    let trials = Trials::new(smaller, counts.discordant()).ok()?;
    let total = counts.discordant() as f64;
    let apart = counts.first_only.abs_diff(counts.second_only) as f64;
    let corrected = (apart - 1.0).max(0.0);
    // √χ² is |z|, so the tail on 1 degree of freedom is two normal tails.
    let tail = |difference: f64| 2.0 * normal_upper(difference / total.sqrt());
    let doubled = 2.0 * binomial_lower(trials, 0.5);
    Some(McNemar {
        chi_squared: apart * apart / total,
        p: tail(apart),
        chi_squared_corrected: corrected * corrected / total,
        p_corrected: tail(corrected),
        p_exact: doubled.min(1.0),
        p_mid: if apart == 0.0 { 1.0 - 0.5 * binomial_mass(trials, 0.5) } else { doubled - binomial_mass(trials, 0.5) },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_differs() {
        assert!(mcnemar(PairedCounts::new(5, 0, 0, 5).unwrap()).is_none());
    }

    #[test]
    fn equal_counts_and_single_pairs() {
        let equal = mcnemar(PairedCounts::new(0, 6, 6, 0).unwrap()).unwrap();
        assert_eq!((equal.chi_squared, equal.p, equal.p_exact), (0.0, 1.0, 1.0));
        let single = mcnemar(PairedCounts::new(9, 1, 0, 9).unwrap()).unwrap();
        assert_eq!((single.p_exact, single.p_mid), (1.0, 0.5));
        assert_eq!(single.chi_squared_corrected, 0.0);
    }
}

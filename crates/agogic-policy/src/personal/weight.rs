//! How much a population should count for, learned from typists whose later presses are known.

use super::fit::{PairCurves, ThresholdFit};

/// The weight of the population, in presses, that served training typists best.
///
/// # Definition
/// Each typist comes as two samples: the first presses and the rest. For each candidate the value is fitted
/// to the first, with all *other* typists (both their samples) as the population, and judged on the rest.
/// The candidate with the least mean cost per judged press, averaged over typists, is taken; of equal ones
/// the largest, which departs least from the population. No candidate gives none.
///
/// # Source
/// Leave-one-out choice of a prior's weight: empirical Bayes as in Efron & Morris 1975 (from memory), by prediction error
/// in place of a likelihood, for thresholds have none.
pub fn learn_prior_presses(
    fit: &ThresholdFit,
    typists: &[(PairCurves, PairCurves)],
    candidates: &[f64],
) -> Option<f64> {
    let (one, _) = typists.first()?;
    let nothing = one.without(one);
    let everyone = typists.iter().fold(nothing, |sum, (first, rest)| sum.merged(first).merged(rest));
    let mut best: Option<(f64, f64)> = None;
    for &prior_presses in candidates {
        let fit = ThresholdFit { prior_presses, ..fit.clone() };
        let cost = |(first, rest): &(PairCurves, PairCurves)| {
            if rest.presses() == 0 {
                return 0.0;
            }
            let others = everyone.without(first).without(rest);
            let fitted = fit.fit(first, Some(&others));
            fit.costs.of(&rest.at(fitted.guard, fitted.value)) / rest.presses() as f64
        };
        let cost: f64 = typists.iter().map(cost).sum();
        let better = best.is_none_or(|(before, least)| cost < least || (cost == least && prior_presses > before));
        if better {
            best = Some((prior_presses, cost));
        }
    }
    best.map(|(prior_presses, _)| prior_presses)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{CriticalValues, ErrorCosts, rule};

    /// A typist whose taps lie below `gap` and whose holds lie above, some of them across it.
    fn typist(gap: f64, noise: f64, n: usize, phase: usize) -> PairCurves {
        let mut values = CriticalValues::new();
        for i in 0..n {
            // Spread over ±1 without randomness.
            let at = ((i + phase) * 37 % 101) as f64 / 50.0 - 1.0;
            values.add(gap - 40.0 + noise * at, false);
            values.add(gap + 40.0 + noise * at, true);
        }
        PairCurves::one(values.curve())
    }

    fn fit() -> ThresholdFit {
        let costs = ErrorCosts::new(1.0, 1.0).unwrap();
        ThresholdFit::of_threshold(rule("dwell-cutoff").unwrap().params[0], 200.0, costs, 0.0)
    }

    #[test]
    fn people_who_differ_want_little_weight_and_people_alike_want_much() {
        let candidates = [0.0, 1e6];
        let differ: Vec<_> = (0..12)
            .map(|i| 120.0 + 15.0 * f64::from(i))
            .map(|g| (typist(g, 50.0, 60, 0), typist(g, 50.0, 60, 5)))
            .collect();
        assert_eq!(learn_prior_presses(&fit(), &differ, &candidates), Some(0.0));
        let alike: Vec<_> = (0..12).map(|i| (typist(170.0, 90.0, 2, 7 * i), typist(170.0, 90.0, 60, 5))).collect();
        assert_eq!(learn_prior_presses(&fit(), &alike, &candidates), Some(1e6));
        assert_eq!(learn_prior_presses(&fit(), &[], &candidates), None);
        assert_eq!(learn_prior_presses(&fit(), &alike, &[]), None);
    }
}

//! What a rule loses against the observer, with its error over typists.

use agogic_policy::ErrorCosts;
use agogic_stats::{Clusters, Estimate, Level, paired_difference_skewed};

use crate::odds::OddsCounts;

/// One typist's errors under a rule, and the odds the observer gave the same presses.
#[derive(Clone, Copy, Debug)]
pub struct PairedErrors<'a> {
    /// False holds of the rule.
    pub false_holds: u64,
    /// Missed holds of the rule.
    pub missed_holds: u64,
    /// The observer's odds.
    pub odds: &'a OddsCounts,
}

/// Log odds from which the observer calls a hold at these costs, in nats.
///
/// # Definition
/// ln(cost of a false hold ÷ cost of a missed hold): there both calls are expected to cost the same, so no other way
/// to use the odds costs less. Rounded to the edges of [`OddsCounts`], a quarter nat apart; the loss is flat at its
/// least, so that an eighth of a nat makes no difference to speak of.
///
/// # Source
/// Wald 1950, *Statistical Decision Functions* (Bayes solutions; from memory).
pub fn observer_threshold_nats(costs: ErrorCosts) -> f64 {
    OddsCounts::nearest_edge(libm::log(costs.false_hold) - libm::log(costs.missed_hold))
}

/// The expected loss of a rule above that of the observer, per 1000 dual-role presses.
///
/// # Definition
/// With F and M the false and missed holds, a and b their costs, and N all dual-role presses, pooled over typists:
/// 1000 (a F + b M) ÷ N of the rule, less the same of the observer, who calls holds from
/// [`observer_threshold_nats`] on the same presses. That threshold follows from the costs and not from the presses,
/// so the difference is without bias: for a rule that sees no more than the observer its expectation is zero or more,
/// and zero only if the rule is as good. By chance a rule that is nearly as good may stand a little below zero.
///
/// Costs are needed. At the rule's own rate of false holds the observer misses as few holds as a rule that calls
/// nearly every press a hold: the vertical distance of that rule from the curve is zero, and it wrongs every tap.
///
/// # Units
/// Those of the costs, per 1000 dual-role presses; with costs of one, wrong roles.
///
/// # Undefined
/// Unknown without a press; without an interval for fewer than two typists, or where the two agree in every typist.
///
/// # Source
/// The error and the interval are those of [`paired_difference_skewed`].
pub fn loss_above_floor(typists: &[PairedErrors<'_>], costs: ErrorCosts, level: Level) -> Estimate {
    let threshold = observer_threshold_nats(costs);
    let clusters = |errors: &dyn Fn(&PairedErrors<'_>) -> [u64; 2]| {
        let of_typist = |typist: &PairedErrors<'_>| {
            let [false_holds, missed_holds] = errors(typist).map(|count| count as f64);
            let loss = costs.false_hold * false_holds + costs.missed_hold * missed_holds;
            (1000.0 * loss, (typist.odds.taps() + typist.odds.holds()) as f64)
        };
        Clusters::ratio("typist", typists.iter().map(of_typist)).expect("errors are among the presses")
    };
    let rule = clusters(&|typist| [typist.false_holds, typist.missed_holds]);
    let observer = clusters(&|typist| typist.odds.errors_at(threshold));
    paired_difference_skewed(&rule, &observer, level).expect("both have the same typists")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn costs(false_hold: f64, missed_hold: f64) -> ErrorCosts {
        ErrorCosts::new(false_hold, missed_hold).unwrap()
    }

    /// Sure holds, doubtful presses of which 30 % are holds, sure taps.
    fn odds(factor: u64) -> OddsCounts {
        let mut counts = OddsCounts::new();
        for (log_odds, taps, holds) in [(9.0, 0, 10), (-0.8, 14, 6), (-9.0, 70, 0)] {
            (0..factor * taps).for_each(|_| counts.add(log_odds, false));
            (0..factor * holds).for_each(|_| counts.add(log_odds, true));
        }
        counts
    }

    #[test]
    fn losses_by_hand() {
        let (a, b) = (odds(1), odds(3));
        let of = |costs: ErrorCosts, [false_holds, missed_holds]: [u64; 2]| {
            let paired = [&a, &b].map(|odds| {
                let factor = (odds.taps() + odds.holds()) / 100;
                PairedErrors { false_holds: factor * false_holds, missed_holds: factor * missed_holds, odds }
            });
            loss_above_floor(&paired, costs, Level::P95).value.unwrap()
        };
        // Equal costs: doubtful presses are taps, 6 missed of 100.
        assert!(of(costs(1.0, 1.0), [0, 6]).abs() < 1e-9);
        // Everything a hold: 84 false, against 6 missed. A rule without a missed hold is not free.
        assert!((of(costs(1.0, 1.0), [84, 0]) - 780.0).abs() < 1e-9);
        assert!((of(costs(1.0, 1.0), [0, 16]) - 100.0).abs() < 1e-9);
        // Where a missed hold costs three false ones, doubtful presses are holds: 14 false.
        assert!(of(costs(1.0, 3.0), [14, 0]).abs() < 1e-9);
        assert!((of(costs(1.0, 3.0), [0, 6]) - 40.0).abs() < 1e-9);
        // Only one kind costs: the observer errs in the other alone.
        assert!(of(costs(1.0, 0.0), [0, 16]).abs() < 1e-9);
        assert!(of(costs(0.0, 1.0), [84, 0]).abs() < 1e-9);
    }

    #[test]
    fn thresholds_follow_the_costs() {
        let at = |a, b| observer_threshold_nats(costs(a, b));
        assert_eq!(at(2.0, 2.0), 0.0);
        assert_eq!(at(libm::exp(1.5), 1.0), 1.5);
        // ln 2 = 0.693 lies nearest to 0.75.
        assert_eq!((at(2.0, 1.0), at(1.0, 2.0)), (0.75, -0.75));
        assert_eq!((at(1.0, 0.0), at(0.0, 1.0)), (f64::INFINITY, f64::NEG_INFINITY));
    }

    #[test]
    fn the_unknown_has_a_reason() {
        let none = loss_above_floor(&[], costs(1.0, 1.0), Level::P95);
        assert!(none.value.is_none() && none.reason.is_some());
        let odds = odds(1);
        let one = [PairedErrors { false_holds: 5, missed_holds: 5, odds: &odds }];
        let one = loss_above_floor(&one, costs(1.0, 1.0), Level::P95);
        assert!(one.value.is_some() && one.lo.is_none() && one.reason.is_some());
    }
}

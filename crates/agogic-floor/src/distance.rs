//! How far a rule stands from the floor, with its error over typists.

use agogic_stats::{Estimate, Interval, Level, StudentT};

use crate::curve::{FloorCurve, Limit};
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

/// A rule against the floor.
#[derive(Clone, Debug, PartialEq)]
pub struct FloorDistance {
    /// Missed holds per hold above the floor at the rule's rate of false holds.
    pub missed_above: Estimate,
    /// Errors per 1000 presses the rule could be spared; see [`FloorCurve::removable_per_1000`].
    pub removable_per_1000: Estimate,
}

const METHOD: &str = "floor on the same presses, linearised over typists, t";

/// Compares a rule with the floor on the same presses, pooled over typists.
///
/// # Definition
/// Values are those of [`FloorCurve::distance`] and [`FloorCurve::removable_per_1000`] at the pooled rates,
/// with the curve of the pooled odds. The error is that of the linearised value over typists: with the
/// floor's threshold held and, by the envelope theorem, the floor's slope as the price of a difference in
/// the rate that was made equal. The interval is a t interval with one degree of freedom less than typists.
///
/// # Undefined
/// Unknown without a tap or a hold; without an interval for fewer than two typists.
pub fn floor_distance(typists: &[PairedErrors<'_>], level: Level) -> FloorDistance {
    let mut pooled = OddsCounts::new();
    for typist in typists {
        pooled.merge(typist.odds);
    }
    let unknown = |reason: &str| {
        let estimate = Estimate::unknown(reason, METHOD, level, "typist", typists.len() as u64);
        FloorDistance { missed_above: estimate.clone(), removable_per_1000: estimate }
    };
    let Some(curve) = FloorCurve::new(None, &pooled) else { return unknown("no tap or no hold to compare on") };
    let (taps, holds) = (curve.taps, curve.holds);
    let sum = |part: fn(&PairedErrors<'_>) -> u64| typists.iter().map(part).sum::<u64>() as f64;
    let false_rate = sum(|t| t.false_holds) / taps;
    let missed_rate = sum(|t| t.missed_holds) / holds;
    let Some(above) = curve.distance(false_rate, missed_rate) else { return unknown("more errors than presses") };

    // Typist by typist: what the rule has more than the floor, with a weight for each kind of error.
    let linear = |threshold: f64, of_false: f64, of_missed: f64| -> Vec<f64> {
        let [floor_false, floor_missed] = pooled.errors_at(threshold).map(|count| count as f64);
        let gap = [false_rate - floor_false / taps, missed_rate - floor_missed / holds];
        typists
            .iter()
            .map(|typist| {
                let [false_holds, missed_holds] = typist.odds.errors_at(threshold).map(|count| count as f64);
                let more_false = typist.false_holds as f64 - false_holds;
                let more_missed = typist.missed_holds as f64 - missed_holds;
                of_false * (more_false - gap[0] * typist.odds.taps() as f64) / taps
                    + of_missed * (more_missed - gap[1] * typist.odds.holds() as f64) / holds
            })
            .collect()
    };
    let (at_false, _) = nearest(&curve, false_rate);
    let missed_above = estimate(above, &linear(at_false, curve.price(false_rate), 1.0), level);

    let (to, limit) = curve.target(false_rate, missed_rate);
    let (share_taps, share_holds) = (taps / (taps + holds), holds / (taps + holds));
    let price = curve.price(to.false_rate);
    let (of_false, of_missed) = match limit {
        Limit::None => (share_taps, share_holds),
        // One more false hold allowed to the floor saves it `price` missed holds.
        Limit::False => (share_holds * price, share_holds),
        Limit::Missed => (share_taps, if price > 0.0 { share_taps / price } else { share_holds }),
    };
    let (threshold, _) = nearest(&curve, to.false_rate);
    let scaled: Vec<f64> = linear(threshold, of_false, of_missed).iter().map(|z| 1000.0 * z).collect();
    let removable = estimate(curve.removable_per_1000(false_rate, missed_rate), &scaled, level);
    FloorDistance { missed_above, removable_per_1000: removable }
}

/// Threshold and rate of the corner nearest to a rate of false holds.
fn nearest(curve: &FloorCurve, false_rate: f64) -> (f64, f64) {
    let gap = |rate: f64| (rate - false_rate).abs();
    let first = (f64::INFINITY, 0.0);
    curve
        .points()
        .iter()
        .map(|p| (p.threshold_nats, p.false_rate))
        .fold(first, |best, point| if gap(point.1) < gap(best.1) { point } else { best })
}

/// A value with the error of the sum of `parts`, which add up to about zero.
fn estimate(value: f64, parts: &[f64], level: Level) -> Estimate {
    let n = parts.len() as f64;
    let estimate = Estimate::new(value, METHOD, level, "typist", parts.len() as u64);
    let Some(t) = (n >= 2.0).then(|| StudentT::new(n - 1.0).ok()).flatten() else {
        return estimate.because("one typist tells nothing of the differences between typists");
    };
    let mean = parts.iter().sum::<f64>() / n;
    let squares: f64 = parts.iter().map(|part| (part - mean) * (part - mean)).sum();
    let error = libm::sqrt(squares * n / (n - 1.0));
    let reach = t.critical(level) * error;
    estimate.with_mcse(error).with_interval(Interval { lo: value - reach, hi: value + reach })
}

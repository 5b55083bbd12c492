//! The floor: the least missed holds at each rate of false holds.

use agogic_keys::Span;

use crate::odds::OddsCounts;

/// A corner of the floor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FloorPoint {
    /// A hold is called at log odds of at least this, in nats; infinite where nothing is.
    pub threshold_nats: f64,
    /// False holds per tap.
    pub false_rate: f64,
    /// Missed holds per hold.
    pub missed_rate: f64,
}

/// The floor at one deadline.
///
/// # Definition
/// Presses are called holds where the observer's odds reach a threshold; the threshold moves. By Neyman and
/// Pearson no other way to use what the observer sees misses fewer holds at the same rate of false holds.
/// The curve is the lower convex hull of those points: what lies between two corners is reached by choosing
/// between their thresholds at random.
///
/// One threshold on the *odds* serves all typists together. The typist is a part of the observation; a
/// press counts the same whoever makes it; and so the pooled rates are those of one large test, whose best
/// rejection region is where the ratio of the pooled probabilities, hold over tap, is largest. That ratio,
/// with each typist's own share of holds in it, is the odds. A threshold for each typist on the likelihood
/// ratio alone would do worse on the pooled rates.
///
/// # Source
/// Neyman & Pearson 1933, Philosophical Transactions A 231:289 (from memory).
#[derive(Clone, Debug, PartialEq)]
pub struct FloorCurve {
    /// What the observer saw: everything up to this long after the press; without one, the whole encounter.
    pub deadline: Option<Span>,
    /// Taps behind the curve, or their probability.
    pub taps: f64,
    /// Holds behind the curve, or their probability.
    pub holds: f64,
    points: Vec<FloorPoint>,
}

impl FloorCurve {
    /// The floor of counted presses.
    ///
    /// # Undefined
    /// `None` without a tap or without a hold.
    pub fn new(deadline: Option<Span>, counts: &OddsCounts) -> Option<Self> {
        Self::of_masses(deadline, counts.bins().map(|(edge, taps, holds)| (edge, taps as f64, holds as f64)))
    }

    /// The floor of cells of observations, each with its log odds in nats, the probability of it with a tap,
    /// and with a hold.
    ///
    /// # Undefined
    /// `None` when one of the two has no probability at all.
    pub fn of_masses(deadline: Option<Span>, cells: impl IntoIterator<Item = (f64, f64, f64)>) -> Option<Self> {
        let mut cells: Vec<(f64, f64, f64)> = cells.into_iter().filter(|cell| cell.1 > 0.0 || cell.2 > 0.0).collect();
        cells.sort_by(|a, b| b.0.total_cmp(&a.0));
        let taps: f64 = cells.iter().map(|cell| cell.1).sum();
        let holds: f64 = cells.iter().map(|cell| cell.2).sum();
        if taps.is_nan() || holds.is_nan() || taps <= 0.0 || holds <= 0.0 {
            return None;
        }
        let mut points: Vec<FloorPoint> = Vec::new();
        let (mut called, mut found) = (0.0, 0.0);
        push(&mut points, FloorPoint { threshold_nats: f64::INFINITY, false_rate: 0.0, missed_rate: 1.0 });
        for (odds, tap, hold) in cells {
            called += tap;
            found += hold;
            let (false_rate, missed_rate) = ((called / taps).min(1.0), (1.0 - found / holds).max(0.0));
            push(&mut points, FloorPoint { threshold_nats: odds, false_rate, missed_rate });
        }
        Some(Self { deadline, taps, holds, points })
    }

    /// The corners, from no hold called to every press called a hold.
    pub fn points(&self) -> &[FloorPoint] {
        &self.points
    }

    /// The least missed holds per hold at `false_rate` false holds per tap.
    ///
    /// # Undefined
    /// `None` outside 0 to 1.
    pub fn missed_at(&self, false_rate: f64) -> Option<f64> {
        if !(0.0..=1.0).contains(&false_rate) {
            return None;
        }
        let above = self.points.partition_point(|point| point.false_rate <= false_rate);
        let from = self.points[above - 1];
        let Some(to) = self.points.get(above) else { return Some(from.missed_rate) };
        let share = (false_rate - from.false_rate) / (to.false_rate - from.false_rate);
        Some(from.missed_rate + share * (to.missed_rate - from.missed_rate))
    }

    /// How many more holds per hold a rule misses than the floor does at the rule's rate of false holds.
    ///
    /// # Undefined
    /// `None` where [`FloorCurve::missed_at`] is.
    pub fn distance(&self, false_rate: f64, missed_rate: f64) -> Option<f64> {
        Some(missed_rate - self.missed_at(false_rate)?)
    }

    /// Errors of both kinds per 1000 presses at these rates.
    pub fn errors_per_1000(&self, false_rate: f64, missed_rate: f64) -> f64 {
        1000.0 * (self.taps * false_rate + self.holds * missed_rate) / (self.taps + self.holds)
    }

    /// The corner with the fewest errors of both kinds together.
    pub fn fewest_errors(&self) -> FloorPoint {
        let errors = |point: &FloorPoint| self.errors_per_1000(point.false_rate, point.missed_rate);
        let best = |a: FloorPoint, b: &FloorPoint| if errors(b) < errors(&a) { *b } else { a };
        self.points.iter().fold(self.points[0], best)
    }
}

/// Adds a point to the right of a lower convex hull.
fn push(points: &mut Vec<FloorPoint>, point: FloorPoint) {
    while let [.., a, b] = points.as_slice() {
        let ab = (b.false_rate - a.false_rate) * (point.missed_rate - a.missed_rate);
        let ac = (point.false_rate - a.false_rate) * (b.missed_rate - a.missed_rate);
        if ab > ac {
            break;
        }
        points.pop();
    }
    if let Some(last) = points.last_mut()
        && last.false_rate == point.false_rate
    {
        *last = point;
    } else {
        points.push(point);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve() -> FloorCurve {
        // Three cells: sure holds, doubtful ones, sure taps.
        FloorCurve::of_masses(None, [(5.0, 0.0, 6.0), (0.0, 10.0, 4.0), (-5.0, 90.0, 0.0)]).unwrap()
    }

    #[test]
    fn corners_by_hand() {
        let found: Vec<_> = curve().points().iter().map(|p| (p.false_rate, p.missed_rate)).collect();
        assert_eq!(found.len(), 3);
        for (found, wanted) in found.iter().zip([(0.0, 0.4), (0.1, 0.0), (1.0, 0.0)]) {
            assert!((found.0 - wanted.0).abs() < 1e-12 && (found.1 - wanted.1).abs() < 1e-12, "{found:?}");
        }
        assert!((curve().missed_at(0.05).unwrap() - 0.2).abs() < 1e-12);
        assert_eq!(curve().missed_at(1.5), None);
        assert_eq!(curve().missed_at(f64::NAN), None);
        assert!((curve().distance(0.05, 0.5).unwrap() - 0.3).abs() < 1e-12);
    }

    #[test]
    fn the_fewest_errors_by_hand() {
        // 4 of 110, at no false hold.
        let best = curve().fewest_errors();
        assert!((best.missed_rate - 0.4).abs() < 1e-12 && best.false_rate == 0.0);
        assert!((curve().errors_per_1000(best.false_rate, best.missed_rate) - 4000.0 / 110.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_to_compare_with_is_no_curve() {
        assert!(FloorCurve::of_masses(None, [(0.0, 3.0, 0.0)]).is_none());
        assert!(FloorCurve::new(None, &OddsCounts::new()).is_none());
    }

    #[test]
    fn a_wrong_order_is_mended_by_chance_not_hidden() {
        // Odds in the wrong order give a curve above the diagonal; its hull is the diagonal.
        let curve = FloorCurve::of_masses(None, [(1.0, 9.0, 1.0), (0.0, 1.0, 9.0)]).unwrap();
        assert_eq!(curve.missed_at(0.25), Some(0.75));
    }
}

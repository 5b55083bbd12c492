//! The error at every threshold, exactly, from one critical value per encounter.

use serde::Serialize;

/// Wrong and right roles at one threshold.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Errors {
    /// Presses meant as taps.
    pub taps: u64,
    /// Of those, decided as holds.
    pub false_holds: u64,
    /// Presses meant as holds.
    pub holds: u64,
    /// Of those, decided as taps.
    pub missed_holds: u64,
}

/// Critical values of encounters, with what the presses were meant as: the material of a curve.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CriticalValues {
    pub(crate) taps: Vec<f64>,
    pub(crate) holds: Vec<f64>,
}

impl CriticalValues {
    /// An empty sample.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds the [critical value](crate::Setting::critical_value) of an encounter and what it was meant as.
    ///
    /// # Panics
    /// If the value is not a number.
    pub fn add(&mut self, value: f64, is_hold: bool) {
        assert!(!value.is_nan(), "a critical value is a number");
        if is_hold { self.holds.push(value) } else { self.taps.push(value) }
    }

    /// Adds another sample.
    pub fn merge(&mut self, other: &Self) {
        self.taps.extend(&other.taps);
        self.holds.extend(&other.holds);
    }

    /// Forgets all values and keeps the memory.
    pub fn clear(&mut self) {
        self.taps.clear();
        self.holds.clear();
    }

    /// Encounters in the sample.
    pub fn len(&self) -> usize {
        self.taps.len() + self.holds.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The curve of the sample.
    pub fn curve(&self) -> ThresholdCurve {
        let tagged =
            |values: &[f64], step: Step| -> Vec<Step> { values.iter().map(|&value| Step { value, ..step }).collect() };
        let mut steps = tagged(&self.taps, Step { value: 0.0, taps: 1, holds: 0 });
        steps.extend(tagged(&self.holds, Step { value: 0.0, taps: 0, holds: 1 }));
        steps.sort_unstable_by(|a, b| a.value.total_cmp(&b.value));
        ThresholdCurve::from_sorted(steps.into_iter())
    }
}

/// Encounters that share a critical value, or, once counted up, those at or below it.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Step {
    value: f64,
    taps: u64,
    holds: u64,
}

/// False and missed holds at every threshold.
///
/// # Definition
/// A press is a hold exactly when threshold ≤ its critical value. So the false holds at t are the taps with
/// values of t or more, and the missed holds the holds with values below t. Both change at critical values
/// only, so the curve is exact everywhere, not on a grid.
///
/// # Shape
/// One step for each distinct value: as many as encounters at worst. [`GridCurve`](crate::GridCurve) takes
/// a fixed amount of memory instead, and is exact at its grid.
///
/// # Undefined
/// Roles alone follow from critical values. The delay needs [pieces](crate::Setting::pieces), which a
/// `GridCurve` adds up. What reaches the host (keys that wait for each other, stray chords, text) depends on
/// several decisions together, and needs a run at each threshold.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ThresholdCurve {
    /// Counts at or below each value, in order of value.
    steps: Vec<Step>,
}

impl ThresholdCurve {
    /// Adds up steps in order of their values.
    fn from_sorted(parts: impl Iterator<Item = Step>) -> Self {
        let mut steps: Vec<Step> = Vec::new();
        for part in parts {
            match steps.last_mut() {
                Some(last) if last.value == part.value => {
                    last.taps += part.taps;
                    last.holds += part.holds;
                }
                last => {
                    let (taps, holds) = last.map_or((0, 0), |last| (last.taps, last.holds));
                    steps.push(Step { value: part.value, taps: taps + part.taps, holds: holds + part.holds });
                }
            }
        }
        Self { steps }
    }

    /// The steps as they were before they were counted up.
    fn parts(&self) -> impl Iterator<Item = Step> + '_ {
        let mut before = (0, 0);
        self.steps.iter().map(move |step| {
            let part = Step { value: step.value, taps: step.taps - before.0, holds: step.holds - before.1 };
            before = (step.taps, step.holds);
            part
        })
    }

    /// The curve of both samples together, as of two typists. The order does not matter.
    pub fn merged(&self, other: &Self) -> Self {
        let (mut mine, mut theirs) = (self.parts().peekable(), other.parts().peekable());
        let next = std::iter::from_fn(|| match (mine.peek(), theirs.peek()) {
            (Some(one), Some(two)) if one.value <= two.value => mine.next(),
            (Some(_), None) => mine.next(),
            _ => theirs.next(),
        });
        Self::from_sorted(next)
    }

    /// The curve of what is left when the sample of `part`, which this one holds, is taken away.
    pub(crate) fn without(&self, part: &Self) -> Self {
        let mut gone = part.parts().peekable();
        let left = self.parts().filter_map(|mut step| {
            if let Some(one) = gone.next_if(|one| one.value == step.value) {
                step.taps -= one.taps;
                step.holds -= one.holds;
            }
            (step.taps + step.holds > 0).then_some(step)
        });
        Self::from_sorted(left)
    }

    /// The curve at multiples of `unit`, where it stays exact; between them it takes the value at the next one.
    ///
    /// # Shape
    /// No more steps than multiples in the range: for the pooled curve of many typists.
    ///
    /// # Panics
    /// If the unit is not above zero.
    pub fn coarsened(&self, unit: f64) -> Self {
        assert!(unit > 0.0, "a unit above zero");
        // The largest multiple that is no more than the value, whatever rounding does to the division.
        let down = |value: f64| {
            let near = libm::round(value / unit);
            if near * unit <= value { near * unit } else { (near - 1.0) * unit }
        };
        let rounded = |value: f64| if value.is_finite() { down(value) } else { value };
        Self::from_sorted(self.parts().map(|part| Step { value: rounded(part.value), ..part }))
    }

    /// Errors at a threshold.
    pub fn at(&self, threshold: f64) -> Errors {
        self.errors(self.steps.partition_point(|step| step.value < threshold))
    }

    /// Walks the curve from its start.
    pub(crate) fn walk(&self) -> Walk<'_> {
        Walk { curve: self, below: 0 }
    }

    /// Errors where this many steps lie below the threshold.
    fn errors(&self, below: usize) -> Errors {
        let total = self.steps.last().map_or((0, 0), |last| (last.taps, last.holds));
        let (taps, holds) = below.checked_sub(1).map_or((0, 0), |at| (self.steps[at].taps, self.steps[at].holds));
        Errors { taps: total.0, false_holds: total.0 - taps, holds: total.1, missed_holds: holds }
    }

    /// Encounters in the curve.
    pub fn len(&self) -> u64 {
        self.steps.last().map_or(0, |last| last.taps + last.holds)
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.steps.is_empty()
    }

    /// The distinct critical values, in order. Between two of them nothing changes.
    pub fn values(&self) -> impl Iterator<Item = f64> + '_ {
        self.steps.iter().map(|step| step.value)
    }
}

/// Errors at thresholds that rise, without a search for each.
pub(crate) struct Walk<'a> {
    curve: &'a ThresholdCurve,
    below: usize,
}

impl Walk<'_> {
    /// Errors at a threshold no smaller than the one before.
    pub(crate) fn at(&mut self, threshold: f64) -> Errors {
        let rest = &self.curve.steps[self.below..];
        self.below += rest.iter().take_while(|step| step.value < threshold).count();
        self.curve.errors(self.below)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(taps: &[f64], holds: &[f64]) -> CriticalValues {
        CriticalValues { taps: taps.to_vec(), holds: holds.to_vec() }
    }

    #[test]
    fn a_threshold_equal_to_the_value_holds() {
        let curve = sample(&[90.0, 110.0, f64::NEG_INFINITY], &[110.0, 300.0, f64::INFINITY]).curve();
        let errors = |t| (curve.at(t).false_holds, curve.at(t).missed_holds);
        assert_eq!(errors(f64::NEG_INFINITY), (3, 0));
        assert_eq!(errors(0.0), (2, 0));
        assert_eq!((errors(90.0), errors(90.001)), ((2, 0), (1, 0)));
        assert_eq!((errors(110.0), errors(110.001)), ((1, 0), (0, 1)));
        assert_eq!((errors(301.0), errors(f64::INFINITY)), ((0, 2), (0, 2)));
        assert_eq!(curve.at(1.0), Errors { taps: 3, false_holds: 2, holds: 3, missed_holds: 0 });
        assert_eq!(curve.values().count(), 5);
        let mut walk = curve.walk();
        for threshold in [f64::NEG_INFINITY, 0.0, 90.0, 90.001, 110.0, 110.0, 300.0, 1e9, f64::INFINITY] {
            assert_eq!(walk.at(threshold), curve.at(threshold));
        }
    }

    #[test]
    fn merging_curves_is_merging_samples() {
        let (mut one, other) = (sample(&[1.0, 2.0, 2.0], &[5.0]), sample(&[2.0, 7.0], &[1.0, 5.0, 5.0]));
        let merged = one.curve().merged(&other.curve());
        assert_eq!(merged, other.curve().merged(&one.curve()));
        one.merge(&other);
        assert_eq!((merged.len(), &merged), (9, &one.curve()));
        assert_eq!(ThresholdCurve::default().merged(&merged), merged);
        assert_eq!(merged.without(&other.curve()), sample(&[1.0, 2.0, 2.0], &[5.0]).curve());
        assert!(merged.without(&merged).is_empty());
    }

    #[test]
    fn a_coarse_curve_is_exact_at_its_multiples() {
        let values: Vec<f64> = (0..500).map(|i| f64::from(i * 7919 % 3001) / 10.0).collect();
        let (taps, holds) = values.split_at(200);
        let mut sample = sample(taps, holds);
        sample.add(f64::INFINITY, true);
        sample.add(f64::NEG_INFINITY, false);
        let (fine, coarse) = (sample.curve(), sample.curve().coarsened(2.5));
        for k in -3..130 {
            let threshold = f64::from(k) * 2.5;
            assert_eq!(coarse.at(threshold), fine.at(threshold), "{threshold}");
        }
        assert!(coarse.values().count() <= 123 && fine.values().count() > 400);
        assert_eq!(coarse.at(2.4), fine.at(2.5));
    }

    #[test]
    fn an_empty_curve_has_no_errors() {
        assert_eq!(CriticalValues::new().curve().at(3.0), Errors::default());
        assert!(CriticalValues::new().curve().is_empty());
    }
}

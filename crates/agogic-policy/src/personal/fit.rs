//! The value of a threshold that costs a typist least, drawn towards what suits the population.

use serde::Serialize;

use super::costs::ErrorCosts;
use crate::curve::{CriticalValues, Errors, ThresholdCurve};
use crate::registry::Param;

/// Curves of one threshold at each value of a guard that bars holds: a sample, or a population.
///
/// With one curve it is a sample of the threshold alone.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PairCurves {
    /// One curve for each guard value, in the order of the grid.
    curves: Vec<ThresholdCurve>,
}

impl PairCurves {
    /// The curve of a threshold without a guard to fit.
    pub fn one(curve: ThresholdCurve) -> Self {
        Self { curves: vec![curve] }
    }

    /// A curve for each guard value of `grid`, from [critical pairs](crate::Setting::critical_pair).
    ///
    /// A press whose second value lies below the guard is barred: a tap at every threshold.
    pub fn of_pairs(pairs: &[(f64, f64, bool)], grid: &[f64]) -> Self {
        let curve = |&guard: &f64| {
            let mut values = CriticalValues::new();
            for &(value, time, is_hold) in pairs {
                values.add(if guard <= time { value } else { f64::NEG_INFINITY }, is_hold);
            }
            values.curve()
        };
        Self { curves: grid.iter().map(curve).collect() }
    }

    /// The same of both together, as of two typists.
    ///
    /// # Panics
    /// If the grids differ in length: the caller mixed up samples.
    pub fn merged(&self, other: &Self) -> Self {
        assert_eq!(self.curves.len(), other.curves.len(), "curves of one grid");
        let both = self.curves.iter().zip(&other.curves);
        Self { curves: both.map(|(mine, theirs)| mine.merged(theirs)).collect() }
    }

    /// The same at multiples of `unit` of the threshold: see [`ThresholdCurve::coarsened`]. A fit takes time
    /// in proportion to the distinct values of its curves; as a population they need not be finer than, say,
    /// a millisecond.
    pub fn coarsened(&self, unit: f64) -> Self {
        Self { curves: self.curves.iter().map(|curve| curve.coarsened(unit)).collect() }
    }

    /// What remains when a part of it is taken away, as one typist from a population.
    pub(super) fn without(&self, part: &Self) -> Self {
        let both = self.curves.iter().zip(&part.curves);
        Self { curves: both.map(|(mine, theirs)| mine.without(theirs)).collect() }
    }

    /// Encounters in it.
    pub fn presses(&self) -> u64 {
        self.curves.first().map_or(0, ThresholdCurve::len)
    }

    /// Errors at a guard value, by its place in the grid, and a threshold.
    pub fn at(&self, guard: usize, threshold: f64) -> Errors {
        self.curves[guard].at(threshold)
    }
}

/// A fit: the threshold, what it is drawn to, and what errors cost.
///
/// # Definition
/// The expected cost of a value is its cost on the sample plus, if there is a population,
/// `prior_presses` × its mean cost per press there: as if the sample held that many more presses of an
/// average typist. Among the values that cost no more on the sample than the default does, the fitted one
/// has the least expected cost. Over a stretch of values with equal cost it is the one nearest to the
/// default, the larger of two. With a guard, the guard value nearest to its default goes first.
///
/// The errors of a short sample change in few places, so many values look alike and its best one is partly
/// luck. Pseudo-presses of the population smooth that, and their weight fades as the sample grows: empirical
/// Bayes, with the population as the prior. [`learn_prior_presses`](crate::learn_prior_presses) sets the
/// weight from training typists. The condition on the default keeps a fit from ever being worse than no fit
/// on what was seen.
///
/// # Source
/// Efron & Morris 1975 (from memory) for shrinkage towards a population; costs by pseudo-counts are our own choice.
#[derive(Clone, Debug)]
pub struct ThresholdFit {
    /// The threshold, for its range and the steps it is kept in.
    pub param: Param,
    /// Its default.
    pub default: f64,
    /// Guard values to choose from, in the order of the curves. One value, whatever it is, without a guard.
    pub guard_grid: Vec<f64>,
    /// Place of the guard's default in the grid.
    pub guard_default: usize,
    /// What errors cost.
    pub costs: ErrorCosts,
    /// How many presses the population counts for.
    pub prior_presses: f64,
}

/// A fitted value with what speaks for it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Fitted {
    /// The value.
    pub value: f64,
    /// Place of the fitted guard value in its grid.
    pub guard: usize,
    /// Smallest and largest value with the same expected cost, around the fitted one.
    pub flat: (f64, f64),
    /// Errors of the fitted value on the sample.
    pub errors: Errors,
    /// Errors of the default on the sample.
    pub errors_of_default: Errors,
    /// Expected cost of the fitted value.
    pub expected_cost: f64,
    /// Expected cost of the default.
    pub expected_cost_of_default: f64,
}

impl ThresholdFit {
    /// A fit of one threshold alone.
    pub fn of_threshold(param: Param, default: f64, costs: ErrorCosts, prior_presses: f64) -> Self {
        Self { param, default, guard_grid: vec![0.0], guard_default: 0, costs, prior_presses }
    }

    /// The expected cost of a value: see the definition of the fit.
    pub fn expected_cost(
        &self,
        sample: &PairCurves,
        population: Option<&PairCurves>,
        guard: usize,
        threshold: f64,
    ) -> f64 {
        let average = population.map(|population| population.at(guard, threshold));
        self.cost(&sample.at(guard, threshold), average.as_ref())
    }

    fn cost(&self, sample: &Errors, population: Option<&Errors>) -> f64 {
        let prior = population
            .filter(|errors| errors.taps + errors.holds > 0)
            .map_or(0.0, |errors| self.prior_presses * (self.costs.of(errors) / (errors.taps + errors.holds) as f64));
        self.costs.of(sample) + prior
    }

    /// Fits the value to a sample; `population` is what it is drawn to.
    ///
    /// # Shape
    /// One curve per guard value, in both.
    pub fn fit(&self, sample: &PairCurves, population: Option<&PairCurves>) -> Fitted {
        let param = &self.param;
        let start = param.to_steps(self.default);
        let seen = |guard, steps| sample.at(guard, param.from_steps(steps));
        let bound = self.costs.of(&seen(self.guard_default, start));
        let mut best: Option<(Place, f64)> = None;
        for guard in 0..self.guard_grid.len() {
            let mut walk = sample.curves[guard].walk();
            let mut average = population.map(|population| population.curves[guard].walk());
            let mut from = param.to_steps(param.min);
            for to in self.ends(guard, sample, population) {
                // All of a stretch costs the same, and thresholds hold up to its end.
                let end = param.from_steps(to);
                let errors = walk.at(end);
                let cost = self.cost(&errors, average.as_mut().map(|walk| walk.at(end)).as_ref());
                let place = Place { guard, steps: start.clamp(from, to), from, to };
                from = to + 1;
                let better = self.costs.of(&errors) <= bound
                    && best.as_ref().is_none_or(|(before, least)| {
                        cost < *least || (cost == *least && self.distance(&place) <= self.distance(before))
                    });
                if better {
                    best = Some((place, cost));
                }
            }
        }
        let (Place { guard, steps, from, to }, expected_cost) = best.expect("the default itself is a candidate");
        Fitted {
            value: param.from_steps(steps),
            guard,
            flat: (param.from_steps(from), param.from_steps(to)),
            errors: seen(guard, steps),
            errors_of_default: seen(self.guard_default, start),
            expected_cost,
            expected_cost_of_default: self.expected_cost(
                sample,
                population,
                self.guard_default,
                param.from_steps(start),
            ),
        }
    }

    /// The ends of stretches of steps over which nothing changes, rising; the last is the end of the range.
    fn ends<'a>(
        &self,
        guard: usize,
        sample: &'a PairCurves,
        population: Option<&'a PairCurves>,
    ) -> impl Iterator<Item = i64> + 'a {
        let param = self.param;
        let (min, max) = (param.to_steps(param.min), param.to_steps(param.max));
        // A threshold holds up to the critical value itself, so a stretch ends there.
        let ends = move |curves: &'a PairCurves| {
            let values = curves.curves[guard].values().filter(|value| value.is_finite());
            values.map(move |value| param.to_steps(value)).filter(move |to| (min..max).contains(to))
        };
        let mut own = ends(sample).peekable();
        let mut others = population.map(ends).into_iter().flatten().peekable();
        let mut last = None;
        let mut done = false;
        std::iter::from_fn(move || {
            loop {
                let next = match (own.peek(), others.peek()) {
                    (Some(one), Some(other)) if one <= other => own.next(),
                    (Some(_), None) => own.next(),
                    (_, Some(_)) => others.next(),
                    (None, None) if done => return None,
                    (None, None) => {
                        done = true;
                        Some(max)
                    }
                };
                if next != last {
                    last = next;
                    return next;
                }
            }
        })
    }

    /// How far a place is from the defaults: in the guard first.
    fn distance(&self, place: &Place) -> (f64, u64) {
        let guard = (self.guard_grid[place.guard] - self.guard_grid[self.guard_default]).abs();
        (guard, place.steps.abs_diff(self.param.to_steps(self.default)))
    }
}

/// A candidate: the step nearest to the default within a stretch of equal cost.
struct Place {
    guard: usize,
    steps: i64,
    from: i64,
    to: i64,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rule;

    fn fit_cutoff(taps: &[f64], holds: &[f64], population: Option<&PairCurves>, prior: f64) -> Fitted {
        let fit = ThresholdFit::of_threshold(
            rule("dwell-cutoff").unwrap().params[0],
            200.0,
            ErrorCosts::new(1.0, 1.0).unwrap(),
            prior,
        );
        fit.fit(&curves(taps, holds), population)
    }

    fn curves(taps: &[f64], holds: &[f64]) -> PairCurves {
        let mut values = CriticalValues::new();
        taps.iter().for_each(|&value| values.add(value, false));
        holds.iter().for_each(|&value| values.add(value, true));
        PairCurves::one(values.curve())
    }

    #[test]
    fn a_person_with_a_gap_gets_the_edge_of_it_that_is_nearest_to_the_default() {
        let slow = fit_cutoff(&[150.0, 230.0, 260.0], &[300.0, 400.0], None, 0.0);
        assert_eq!((slow.value, slow.flat), (260.001, (260.001, 300.0)));
        assert_eq!((slow.errors.false_holds, slow.errors_of_default.false_holds), (0, 2));
        let quick = fit_cutoff(&[60.0, 80.0], &[120.0, 150.0], None, 0.0);
        assert_eq!((quick.value, quick.flat), (120.0, (80.001, 120.0)));
        // Nothing to gain: the default stays.
        assert_eq!(fit_cutoff(&[60.0], &[250.0], None, 0.0).value, 200.0);
        assert_eq!(fit_cutoff(&[], &[], None, 0.0).value, 200.0);
    }

    #[test]
    fn the_population_speaks_where_the_sample_is_silent() {
        // The sample allows 100–300; the population errs least from 160 to 170.
        let population = curves(&[90.0, 120.0, 160.0], &[170.0, 180.0, 260.0]);
        let fitted = fit_cutoff(&[100.0], &[300.0], Some(&population), 10.0);
        assert_eq!((fitted.value, fitted.flat), (170.0, (160.001, 170.0)));
        // A sample of its own opinion outweighs it only when it is long enough.
        let taps = |n: usize| vec![190.0; n];
        assert_eq!(fit_cutoff(&taps(1), &[300.0], Some(&population), 60.0).value, 200.0);
        let holds = |n: usize| vec![150.0; n];
        assert_eq!(fit_cutoff(&[100.0], &holds(1), Some(&population), 60.0).value, 170.0);
        assert_eq!(fit_cutoff(&[100.0], &holds(40), Some(&population), 60.0).value, 150.0);
    }

    #[test]
    fn a_guard_is_fitted_together_with_the_threshold() {
        // Taps come early after another press, however long they last; holds come late.
        let pairs: Vec<(f64, f64, bool)> = (0..20)
            .map(|i| (250.0 + f64::from(i), 60.0 + f64::from(i), false))
            .chain((0..20).map(|i| (150.0 + f64::from(i), 130.0 + f64::from(i), true)))
            .collect();
        let grid = [0.0, 50.0, 100.0, 150.0];
        let fit = ThresholdFit {
            guard_grid: grid.to_vec(),
            ..ThresholdFit::of_threshold(
                rule("dwell-cutoff").unwrap().params[0],
                200.0,
                ErrorCosts::new(1.0, 1.0).unwrap(),
                0.0,
            )
        };
        let fitted = fit.fit(&PairCurves::of_pairs(&pairs, &grid), None);
        assert_eq!((grid[fitted.guard], fitted.value), (100.0, 150.0));
        assert_eq!((fitted.errors.false_holds, fitted.errors.missed_holds), (0, 0));
        assert_eq!(fitted.errors_of_default.false_holds + fitted.errors_of_default.missed_holds, 40);
    }
}

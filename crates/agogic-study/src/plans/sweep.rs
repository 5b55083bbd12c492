//! What is swept: a rule, the values it is swept over, and the points at which it is looked at.

use agogic_keys::{Purpose, stream};
use agogic_policy::{Param, Setting};
use agogic_stats::sobol::{Design, SobolError, SobolSequence};
use serde::Serialize;

use super::RulePlan;

/// What is traded off, all to be made small; names of estimands.
pub const GOALS: [&str; 3] = ["false_holds", "missed_holds", "tap_delay"];

/// What a front is held against.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FrontPlan {
    /// A setting so bad that nobody would want it, in the units and order of [`GOALS`].
    pub reference: [f64; 3],
}

impl Default for FrontPlan {
    /// 50 false holds per 1000 taps, 50 missed holds per 100 holds, 300 ms: assumed, common practice, no source.
    fn default() -> Self {
        Self { reference: [50.0, 50.0, 300.0] }
    }
}

/// How the points of a sweep are chosen, and what is known at each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SweepDesign {
    /// Every step of one threshold, in one pass over the presses: roles and mean delays, exactly.
    Curve,
    /// Every combination of steps, each by a plain run.
    Grid,
    /// Points of Sobol's sequence, each by a plain run.
    Sobol,
    /// A Latin hypercube drawn from the seed of the study, each point by a plain run.
    LatinHypercube,
}

impl SweepDesign {
    /// Names in the spec.
    pub const NAMES: [(&'static str, Self); 4] = [
        ("curve", Self::Curve),
        ("grid", Self::Grid),
        ("sobol", Self::Sobol),
        ("latin-hypercube", Self::LatinHypercube),
    ];

    /// The design of that name.
    pub fn by_name(name: &str) -> Option<Self> {
        Self::NAMES.iter().find(|(known, _)| *known == name).map(|(_, design)| *design)
    }

    /// Name in the spec.
    pub fn name(self) -> &'static str {
        Self::NAMES.iter().find(|(_, design)| *design == self).map_or("", |(name, _)| name)
    }

    /// Whether the points are steps of each value rather than a number of places between its ends.
    pub fn has_steps(self) -> bool {
        matches!(self, Self::Curve | Self::Grid)
    }
}

/// A value that is swept, from one end to the other.
#[derive(Clone, Copy, Debug)]
pub struct Axis {
    /// The value of the rule, or the guard.
    pub param: Param,
    /// Smallest.
    pub from: f64,
    /// Largest.
    pub to: f64,
    /// How many equidistant values, both ends among them; `None` where the design does without.
    pub steps: Option<usize>,
}

impl Axis {
    /// The value at a share of the way, as it is kept.
    pub fn at(&self, share: f64) -> f64 {
        let value = self.from + (self.to - self.from) * share;
        // Rounding must not leave the range.
        self.param.from_steps(self.param.to_steps(value)).clamp(self.param.min, self.param.max)
    }

    /// All its steps.
    pub fn values(&self) -> Vec<f64> {
        let steps = self.steps.unwrap_or(2).max(2);
        (0..steps).map(|step| self.at(step as f64 / (steps - 1) as f64)).collect()
    }
}

/// A sweep without mistakes.
#[derive(Clone, Debug)]
pub struct SweepPlan {
    /// Label; unique in the study.
    pub label: String,
    /// The setting around which values are swept.
    pub rule: RulePlan,
    /// How the points were chosen.
    pub design: SweepDesign,
    /// What is swept, in the order of the registry: values of the rule, then guards.
    pub axes: Vec<Axis>,
    /// The points: one value for each axis.
    pub points: Vec<Vec<f64>>,
}

impl SweepPlan {
    /// The points of a design over some axes; `index` tells the sweeps of a study apart.
    ///
    /// # Errors
    /// More axes than the sequence has coordinates, or too few points for a hypercube.
    pub fn points(
        axes: &[Axis],
        design: SweepDesign,
        points: usize,
        seed: u64,
        index: u64,
    ) -> Result<Vec<Vec<f64>>, SobolError> {
        let place = |shares: &[f64]| axes.iter().zip(shares).map(|(axis, &share)| axis.at(share)).collect();
        Ok(match design {
            SweepDesign::Curve | SweepDesign::Grid => {
                let mut all = vec![Vec::new()];
                for axis in axes {
                    let values = axis.values();
                    let with = |point: &Vec<f64>| -> Vec<Vec<f64>> {
                        values.iter().map(|&value| point.iter().copied().chain([value]).collect()).collect()
                    };
                    all = all.iter().flat_map(with).collect();
                }
                all
            }
            SweepDesign::Sobol => SobolSequence::new(axes.len())?.take(points).map(|shares| place(&shares)).collect(),
            SweepDesign::LatinHypercube => {
                let mut rng = stream(seed, Purpose::Design, index, 0);
                let hypercube = Design::latin_hypercube(axes.len(), points, &mut rng)?;
                // The first point of each row belongs to one hypercube; the others mix it with a second.
                hypercube.points().step_by(axes.len() + 2).map(|shares| place(&shares)).collect()
            }
        })
    }

    /// The setting at a point.
    ///
    /// # Panics
    /// If `base` is of another rule than the plan: the caller mixed up sweeps.
    pub fn setting(&self, base: &Setting, point: &[f64]) -> Setting {
        setting_at(base, &self.axes, point)
    }
}

/// A setting with other values on some axes; the setting as it is without any.
pub fn setting_at(base: &Setting, axes: &[Axis], values: &[f64]) -> Setting {
    let mut setting = base.clone();
    for (axis, &value) in axes.iter().zip(values) {
        setting = setting.with_value(axis.param.name, value).expect("the value was accepted");
    }
    setting
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_policy::rule;

    fn axis(from: f64, to: f64, steps: Option<usize>) -> Axis {
        Axis { param: rule("dwell-cutoff").unwrap().params[0], from, to, steps }
    }

    #[test]
    fn a_grid_has_every_combination_in_order() {
        let axes = [axis(100.0, 200.0, Some(3)), axis(5.0, 6.0, Some(2))];
        let points = SweepPlan::points(&axes, SweepDesign::Grid, 0, 1, 0).unwrap();
        let expected = [[100.0, 5.0], [100.0, 6.0], [150.0, 5.0], [150.0, 6.0], [200.0, 5.0], [200.0, 6.0]];
        assert_eq!(points, expected.map(Vec::from));
        assert_eq!(axis(1.0, 2.0, Some(4)).values(), [1.0, 1.333, 1.667, 2.0], "as kept, in whole µs");
    }

    #[test]
    fn a_hypercube_has_one_point_in_every_slice_of_every_axis() {
        let axes = [axis(100.0, 200.0, None), axis(10.0, 30.0, None)];
        let points = SweepPlan::points(&axes, SweepDesign::LatinHypercube, 20, 7, 0).unwrap();
        for (at, (from, width)) in [(100.0, 5.0), (10.0, 1.0)].into_iter().enumerate() {
            let mut slices: Vec<usize> = points.iter().map(|p| ((p[at] - from) / width) as usize).collect();
            slices.sort_unstable();
            assert_eq!(slices, (0..20).collect::<Vec<_>>());
        }
        let other = SweepPlan::points(&axes, SweepDesign::LatinHypercube, 20, 7, 1).unwrap();
        assert_ne!(points, other, "each sweep has its own stream");
        assert!(SweepPlan::points(&axes, SweepDesign::LatinHypercube, 3, 7, 0).is_err());
    }

    #[test]
    fn the_first_points_of_the_sequence_are_the_published_ones() {
        // Joe & Kuo 2008, SIAM J. Sci. Comput. 30:2635: (0, 0), (1/2, 1/2), (3/4, 1/4), (1/4, 3/4), (3/8, 3/8) (from
        // memory). The sequence of agogic-stats leaves out the origin.
        let axes = [axis(100.0, 200.0, None), axis(100.0, 200.0, None)];
        let points = SweepPlan::points(&axes, SweepDesign::Sobol, 4, 1, 0).unwrap();
        assert_eq!(points, [[150.0, 150.0], [175.0, 125.0], [125.0, 175.0], [137.5, 137.5]].map(Vec::from));
    }
}

//! The settings that take part: policies of the study, points of its sweeps, and newcomers near the leaders.

use std::borrow::Cow;

use agogic_policy::{Setting, Sight};
use agogic_sim::{Decider, TrainedArm};
use agogic_study::{Study, SweepPlan};
use agogic_typist::Typist;

/// A setting that takes part.
#[derive(Debug)]
pub(crate) struct Candidate {
    pub label: String,
    /// Label of its sweep, or `policies`.
    pub from: String,
    pub newcomer: bool,
    how: How,
}

#[derive(Debug)]
enum How {
    /// A policy of the study, by its place.
    Policy(usize),
    /// A point of a sweep, by the place of the sweep.
    Point { setting: Setting, sweep: usize, values: Vec<f64> },
    /// A setting next to another one.
    Near(Setting),
}

impl Candidate {
    /// The policies of the study.
    pub fn policies(study: &Study) -> Vec<Self> {
        let policies = study.policies.iter().enumerate();
        policies
            .map(|(at, label)| Self {
                label: label.clone(),
                from: "policies".into(),
                newcomer: false,
                how: How::Policy(at),
            })
            .collect()
    }

    /// All that the spec names, each setting once; points of sweeps as a person would [write](agogic_policy::Param::written)
    /// them down.
    pub fn all(study: &Study, arm: &TrainedArm<'_>) -> Vec<Self> {
        let mut all = Self::policies(study);
        let mut known: Vec<String> = arm.deciders.iter().map(Decider::label).collect();
        for (sweep, (plan, base)) in study.sweeps.iter().zip(&arm.sweeps).enumerate() {
            for values in &plan.points {
                let written = plan.axes.iter().zip(values).map(|(axis, value)| axis.param.written(*value));
                let values: Vec<f64> = written.collect();
                let setting = plan.setting(base, &values);
                if !known.contains(&setting.label()) {
                    known.push(setting.label());
                    all.push(Self::point(plan, sweep, setting, values, false));
                }
            }
        }
        all
    }

    /// A point of a sweep, or one near it.
    pub fn point(plan: &SweepPlan, sweep: usize, setting: Setting, values: Vec<f64>, newcomer: bool) -> Self {
        Self { label: setting.label(), from: plan.label.clone(), newcomer, how: How::Point { setting, sweep, values } }
    }

    /// A setting beside the spec, for a look at what a turned value does.
    pub fn near(setting: Setting) -> Self {
        Self { label: setting.label(), from: String::new(), newcomer: false, how: How::Near(setting) }
    }

    /// The settings next to it: each swept value moved both ways by the step of the sweep halved `round` times, the
    /// others as they are. Nothing for a policy.
    pub fn neighbours(&self, study: &Study, arm: &TrainedArm<'_>, round: u32) -> Vec<Self> {
        let How::Point { sweep, values, .. } = &self.how else { return Vec::new() };
        let (plan, base) = (&study.sweeps[*sweep], &arm.sweeps[*sweep]);
        let mut found = Vec::new();
        for (at, axis) in plan.axes.iter().enumerate() {
            let step = step(plan, at) / f64::from(1_u32 << round);
            for moved in [values[at] - step, values[at] + step] {
                // Nobody sets a threshold to six digits.
                let rounded = axis.param.written(moved.clamp(axis.from, axis.to));
                if rounded != values[at] {
                    let mut point = values.clone();
                    point[at] = rounded;
                    found.push(Self::point(plan, *sweep, plan.setting(base, &point), point, true));
                }
            }
        }
        found
    }

    /// The most newcomers that [`neighbours`](Self::neighbours) may give for one candidate.
    pub fn most_neighbours(study: &Study) -> usize {
        study.sweeps.iter().map(|plan| 2 * plan.axes.len()).max().unwrap_or(0)
    }

    /// The setting that judges everybody; `None` where each typist has an own one.
    pub fn setting<'a>(&'a self, arm: &'a TrainedArm<'_>) -> Option<&'a Setting> {
        match &self.how {
            How::Policy(at) => match &arm.deciders[*at] {
                Decider::Common(setting) => Some(setting),
                Decider::Personal(_) | Decider::OwnTables(_) => None,
            },
            How::Point { setting, .. } | How::Near(setting) => Some(setting),
        }
    }

    /// The rule of the setting; of a policy with values of each typist its own name for that.
    pub fn rule(&self, arm: &TrainedArm<'_>) -> &'static str {
        self.setting(arm).map_or("personal", |setting| setting.entry().name)
    }

    /// Whether its rule sees keys beside the own one.
    pub fn knows_keys(&self, arm: &TrainedArm<'_>) -> bool {
        let base = match &self.how {
            How::Policy(at) => arm.deciders[*at].base(),
            How::Point { setting, .. } | How::Near(setting) => setting,
        };
        base.entry().sight >= Sight::Keys
    }

    /// The setting for a typist: fitted, or the same for everybody.
    pub fn setting_for<'a>(&'a self, arm: &'a TrainedArm<'_>, typist: &Typist, seed: u64) -> Cow<'a, Setting> {
        match &self.how {
            How::Policy(at) => arm.deciders[*at].setting(&arm.runner, typist, seed),
            How::Point { setting, .. } | How::Near(setting) => Cow::Borrowed(setting),
        }
    }

    /// Its swept values, by name; empty for a policy of the study.
    pub fn values(&self, study: &Study) -> Vec<(&'static str, f64)> {
        let How::Point { sweep, values, .. } = &self.how else { return Vec::new() };
        study.sweeps[*sweep].axes.iter().map(|axis| axis.param.name).zip(values.iter().copied()).collect()
    }

    /// The step of each swept value of its sweep, by name.
    pub fn steps(&self, study: &Study) -> Vec<(&'static str, f64)> {
        let How::Point { sweep, .. } = &self.how else { return Vec::new() };
        let plan = &study.sweeps[*sweep];
        plan.axes.iter().enumerate().map(|(at, axis)| (axis.param.name, step(plan, at))).collect()
    }
}

/// The distance of neighbouring values on an axis; of scattered points that of a grid of as many.
fn step(plan: &SweepPlan, at: usize) -> f64 {
    let axis = &plan.axes[at];
    let steps = match axis.steps {
        Some(steps) => steps as f64 - 1.0,
        None => (plan.points.len() as f64).powf(1.0 / plan.axes.len() as f64),
    };
    (axis.to - axis.from) / steps.max(1.0)
}

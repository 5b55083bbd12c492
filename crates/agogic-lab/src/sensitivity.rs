//! Sensitivity: how much of an outcome's variance each value of a rule, and each trait of the typists, accounts for.

use std::borrow::Cow;

use agogic_keys::{Purpose, stream};
use agogic_policy::Setting;
use agogic_sim::blocks::worth_keeping;
use agogic_sim::{Buffers, Engine, Store, TrainedArm, Trial};
use agogic_stats::Estimate;
use agogic_stats::sobol::Design;
use agogic_study::{Arm, EstimandInfo, SensitivityPlan, Study, setting_at};
use agogic_typist::{Population, TraitSpread};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// Outcomes whose variance is shared out; names of estimands.
pub const OUTCOMES: [&str; 4] = ["wrong_keys", "false_holds", "missed_holds", "tap_delay"];

/// What a reader of indices should know.
pub const SENSITIVITY_NOTE: &str = "An index is the share of an outcome's variance over the stated ranges: `first` what an input explains alone, \
     `total` what would be left if all other inputs were known. Both are estimated, so a small one can come out below \
     zero and a large one above one; read such a value as zero, or one, within its interval. The typists have the same \
     random streams at every point; intervals speak of the design, not of other typists";

/// Address of the resamples of indices.
const ADDRESS: u64 = 30;

/// One index of one input in one arm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct IndexRow {
    /// Label of the arm.
    pub arm: String,
    /// Name of the outcome.
    pub outcome: Cow<'static, str>,
    /// Name of the input.
    pub input: Cow<'static, str>,
    /// Whether the input belongs to the `policy` or to the `typists`.
    pub of: Cow<'static, str>,
    /// `first` or `total`.
    pub index: Cow<'static, str>,
    /// Smallest and largest value of the input.
    pub range: (f64, f64),
    /// The index.
    pub estimate: Estimate,
}

/// One point of the design with its outcomes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PointRow {
    /// Label of the arm.
    pub arm: String,
    /// Place in the design: row by row, in each A, B and the mixtures of A with one input of B.
    pub point: usize,
    /// One value for each input.
    pub inputs: Vec<f64>,
    /// Outcomes in the order of [`OUTCOMES`], in their units, pooled over typists; `None` without opportunity.
    pub outcomes: [Option<f64>; OUTCOMES.len()],
}

/// What a sensitivity analysis found.
#[derive(Clone, Debug)]
pub struct SensitivityResult {
    /// Indices: arm by arm, outcome by outcome, input by input.
    pub indices: Vec<IndexRow>,
    /// The points they come from.
    pub points: Vec<PointRow>,
}

/// Runs the sensitivity analysis of a study; `None` where the study asks for none.
///
/// `progress` is called with the number of points done; it may be called from any thread. Finished points are kept in
/// `store` and taken up from there, unless they are done in a moment.
///
/// # Definition
/// Inputs are independent and uniform over their ranges: values of a rule in their unit, traits by the median of
/// the population, its spread unchanged. At each point of a Saltelli design from Sobol's sequence the first
/// typists of the study type and are judged. Their streams are the same at every point (common random numbers),
/// so the outcome is a fixed function of the inputs, whose variance the indices share out. A rule that learns
/// keeps the tables of the arm's own population.
///
/// # Undefined
/// An outcome that some point has no opportunity for has no indices.
///
/// # Source
/// Saltelli et al. 2010, Computer Physics Communications 181:259; see [`Design::indices`].
pub fn sensitivity(
    engine: &Engine<'_>,
    store: Option<&Store>,
    progress: &(dyn Fn(u64) + Sync),
) -> Option<SensitivityResult> {
    let study = engine.study;
    let plan = study.sensitivity.as_ref()?;
    let design = Design::sequence(plan.inputs(), plan.rows).expect("the spec was checked");
    let (mut indices, mut points) = (Vec::new(), Vec::new());
    for arm in &engine.arms {
        let found = points_of(study, arm, plan, &design, store, progress);
        indices.extend(indices_of(study, arm.arm(), plan, &design, &found));
        points.extend(found);
    }
    Some(SensitivityResult { indices, points })
}

/// Settings that are judged on the presses of one population.
struct Job {
    population: Population,
    /// Place in the design, and the setting there.
    settings: Vec<(usize, Setting)>,
}

fn points_of(
    study: &Study,
    trained: &TrainedArm<'_>,
    plan: &SensitivityPlan,
    design: &Design,
    store: Option<&Store>,
    progress: &(dyn Fn(u64) + Sync),
) -> Vec<PointRow> {
    let base = trained.probe.as_ref().expect("the engine makes one for each arm");
    let arm = trained.arm();
    let inputs: Vec<Vec<f64>> = design.points().map(|shares| place(plan, &shares)).collect();
    // Points that differ in the rule alone share their presses.
    let mut jobs: Vec<(&[f64], Job)> = Vec::new();
    for (row, points) in inputs.chunks(plan.inputs() + 2).enumerate() {
        let first = jobs.len();
        for (at, point) in points.iter().enumerate() {
            let (values, traits) = point.split_at(plan.axes.len());
            let at = row * (plan.inputs() + 2) + at;
            let setting = setting_at(base, &plan.axes, values);
            match jobs[first..].iter_mut().find(|(known, _)| *known == traits) {
                Some((_, job)) => job.settings.push((at, setting)),
                None => {
                    let population = population(plan, &arm.population, traits);
                    jobs.push((traits, Job { population, settings: vec![(at, setting)] }));
                }
            }
        }
    }
    let store = store.filter(|_| worth_keeping(plan.runs() * plan.typists * arm.keys as u64));
    let done: Vec<Vec<(usize, [Option<f64>; OUTCOMES.len()])>> = jobs
        .into_par_iter()
        .map(|(_, job)| {
            let places = job.settings.iter().map(|(at, _)| *at);
            let key = || format!("points of {:?}: {:?}", arm.label, places.clone().collect::<Vec<_>>());
            let sound = |found: &Vec<(usize, _)>| found.iter().map(|(at, _)| *at).eq(places.clone());
            let outcomes = Store::take_up_or_make(store, key, sound, || judge(study, trained, plan, &job));
            progress(job.settings.len() as u64);
            outcomes
        })
        .collect();
    let mut outcomes = vec![[None; OUTCOMES.len()]; inputs.len()];
    done.into_iter().flatten().for_each(|(at, found)| outcomes[at] = found);
    let rows = inputs.into_iter().zip(outcomes).enumerate();
    rows.map(|(point, (inputs, outcomes))| PointRow { arm: arm.label.clone(), point, inputs, outcomes }).collect()
}

/// The inputs at a point of the unit cube.
fn place(plan: &SensitivityPlan, shares: &[f64]) -> Vec<f64> {
    let (values, traits) = shares.split_at(plan.axes.len());
    let values = plan.axes.iter().zip(values).map(|(axis, &share)| axis.at(share));
    let traits = plan.traits.iter().zip(traits).map(|(range, &share)| range.from + (range.to - range.from) * share);
    values.chain(traits).collect()
}

fn population(plan: &SensitivityPlan, base: &Population, medians: &[f64]) -> Population {
    let mut population = base.clone();
    for (range, &median) in plan.traits.iter().zip(medians) {
        let spread = base.spread_of(range.info.id).spread;
        let moved = population.with_trait(range.info.id, TraitSpread { median, spread });
        population = moved.expect("the spec was checked, and what lies between its ends is accepted");
    }
    population
}

/// The outcomes of every setting of a job, pooled over its typists.
fn judge(
    study: &Study,
    arm: &TrainedArm<'_>,
    plan: &SensitivityPlan,
    job: &Job,
) -> Vec<(usize, [Option<f64>; OUTCOMES.len()])> {
    let infos = infos();
    let settings: Vec<&Setting> = job.settings.iter().map(|(_, setting)| setting).collect();
    let mut sums = vec![[(0.0, 0.0); OUTCOMES.len()]; settings.len()];
    let mut buffers = Buffers::default();
    for number in 0..plan.typists {
        let trial = Trial { population: &job.population, ..arm.runner.judged(study.seed, number) };
        let session = arm.runner.perform(trial).session;
        arm.runner.judge(&mut buffers, &arm.runner.transcript(&session), &settings, &study.costs, |at, score, _| {
            for (sum, info) in sums[at].iter_mut().zip(infos) {
                let (y, x) = (info.parts)(&score);
                *sum = (sum.0 + y, sum.1 + x);
            }
        });
    }
    let pooled = |sums: &[(f64, f64); OUTCOMES.len()]| -> [Option<f64>; OUTCOMES.len()] {
        std::array::from_fn(|i| (sums[i].1 > 0.0).then(|| sums[i].0 / sums[i].1 * infos[i].scale))
    };
    job.settings.iter().zip(&sums).map(|((at, _), sums)| (*at, pooled(sums))).collect()
}

fn infos() -> [&'static EstimandInfo; OUTCOMES.len()] {
    OUTCOMES.map(|name| EstimandInfo::by_name(name).expect("names of our own table"))
}

fn indices_of(study: &Study, arm: &Arm, plan: &SensitivityPlan, design: &Design, points: &[PointRow]) -> Vec<IndexRow> {
    let inference = &study.inference;
    let ranges = plan.axes.iter().map(|axis| ("policy", axis.param.name, (axis.from, axis.to)));
    let ranges = ranges.chain(plan.traits.iter().map(|range| ("typists", range.info.name, (range.from, range.to))));
    let ranges: Vec<_> = ranges.collect();
    let of = |at: usize| -> Vec<(Estimate, Estimate)> {
        let outputs: Option<Vec<f64>> = points.iter().map(|point| point.outcomes[at]).collect();
        let unknown = |reason: &str| {
            let one = |kind| Estimate::unknown(reason, kind, inference.level, "row", plan.rows as u64);
            vec![(one("sobol first order"), one("sobol total")); ranges.len()]
        };
        let Some(outputs) = outputs else { return unknown("some point has no opportunity for this outcome") };
        let mut rng = stream(study.seed, Purpose::Resampling, at as u64, ADDRESS);
        match design.indices(&outputs, inference.level, inference.resamples, &mut rng) {
            Ok(indices) => indices.into_iter().map(|index| (index.first, index.total)).collect(),
            Err(refused) => unknown(&format!("failed to {refused}")),
        }
    };
    // Each outcome draws from its own stream, and their order is kept.
    let found: Vec<Vec<(Estimate, Estimate)>> = (0..OUTCOMES.len()).into_par_iter().map(of).collect();
    let mut rows = Vec::new();
    for (outcome, estimates) in OUTCOMES.into_iter().zip(found) {
        for ((of, input, range), (first, total)) in ranges.iter().copied().zip(estimates) {
            for (index, estimate) in [("first", first), ("total", total)] {
                rows.push(IndexRow {
                    arm: arm.label.clone(),
                    outcome: outcome.into(),
                    input: input.into(),
                    of: of.into(),
                    index: index.into(),
                    range,
                    estimate,
                });
            }
        }
    }
    rows
}

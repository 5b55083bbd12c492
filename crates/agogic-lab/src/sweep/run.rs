//! The runner of sweeps: the presses of a study, looked at with every setting of every sweep.

use agogic_policy::{GridCurve, Setting};
use agogic_score::TypistScore;
use agogic_sim::blocks::{BlockPlace, BlockPlan};
use agogic_sim::{Buffers, Engine, Performed, Store, TrainedArm, TypistOdds, perform_watched};
use agogic_study::{EstimandInfo, Study, SweepDesign, SweepPlan};
use rayon::prelude::*;

use super::front::{Front, front};
use super::rows::{SweepRow, rows};
use super::swept::{ArmSweep, Swept};

use crate::floor::Floor;

/// What is known of a setting that was run.
const OF_RUNS: [&str; 7] =
    ["false_holds", "missed_holds", "tap_delay", "hold_delay", "wrong_keys", "harm", "tap_delay_p95"];

/// What is known at a point of a curve; of a curve without delays the first two.
const OF_CURVES: [&str; 4] = ["false_holds", "missed_holds", "tap_delay", "hold_delay"];

/// What the sweeps of a study found.
#[derive(Clone, Debug)]
pub struct SweepResult {
    /// Counts, arm by arm.
    pub arms: Vec<ArmSweep>,
    /// Estimates: arm by arm, the policies first, then sweep by sweep and point by point.
    pub rows: Vec<SweepRow>,
    /// The trade-off in each arm.
    pub fronts: Vec<Front>,
}

/// Runs the sweeps of a study on all cores of the current thread pool, and its policies beside them.
///
/// `progress` is called with the typists that are done, those that the observer has judged counted twice; it may be called
/// from any thread. Finished blocks are kept in `store` and taken up from there; small studies keep nothing.
///
/// # Definition
/// The presses are those of [`run`](crate::run()), typist by typist. A curve looks at each press once and knows
/// the outcome at every threshold; all other designs decide each press with each of their settings. Counts are
/// kept by typist, so settings stay paired. A study that may stop early still runs to its last typist here.
///
/// # Undefined
/// A curve knows roles and mean delays. What reaches the host (wrong keys, harm) and quantiles of the delay take
/// plain runs. `share` of `overlap-share` has no delays in its curve.
pub fn run_sweep(engine: &Engine<'_>, store: Option<&Store>, progress: &(dyn Fn(u64) + Sync)) -> SweepResult {
    let study = engine.study;
    let plan = BlockPlan::of(study);
    let store = store.filter(|_| plan.is_kept());
    let arms: Vec<ArmSweep> = (0..study.arms.len()).map(|at| run_arm(engine, &plan, at, store, progress)).collect();
    let rows = arms.iter().flat_map(|arm| rows(study, arm)).collect();
    let fronts = arms.iter().map(|arm| front(study, arm)).collect();
    SweepResult { arms, rows, fronts }
}

/// How one sweep of an arm is taken.
enum Taken<'a> {
    /// In one pass.
    Curve { base: &'a Setting, name: &'static str, grid: Vec<f64>, known: usize },
    /// Setting by setting.
    Runs(Vec<Setting>),
}

impl<'a> Taken<'a> {
    fn new(plan: &SweepPlan, base: &'a Setting) -> Self {
        if plan.design != SweepDesign::Curve {
            return Self::Runs(plan.points.iter().map(|point| plan.setting(base, point)).collect());
        }
        let name = plan.axes[0].param.name;
        let grid: Vec<f64> = plan.points.iter().map(|point| point[0]).collect();
        let empty = curve(base, name, &grid);
        let timed = empty.points().all(|point| point.tap_delay_us.is_some());
        Self::Curve { base, name, grid, known: if timed { OF_CURVES.len() } else { 2 } }
    }

    /// What it knows of each of its points.
    fn estimands(&self) -> Vec<&'static EstimandInfo> {
        match self {
            Self::Curve { known, .. } => infos(&OF_CURVES[..*known]),
            Self::Runs(_) => infos(&OF_RUNS),
        }
    }
}

fn infos(names: &[&str]) -> Vec<&'static EstimandInfo> {
    names.iter().map(|name| EstimandInfo::by_name(name).expect("names of our own table")).collect()
}

fn curve(base: &Setting, name: &str, grid: &[f64]) -> GridCurve {
    GridCurve::new(base, name, grid).expect("the spec was checked")
}

/// Numerators and denominators of one typist: of the policies, then of each sweep; setting by setting, and in
/// each its estimands in order.
type Parts = Vec<Vec<(f64, f64)>>;

fn run_arm(
    engine: &Engine<'_>,
    plan: &BlockPlan,
    at: usize,
    store: Option<&Store>,
    progress: &(dyn Fn(u64) + Sync),
) -> ArmSweep {
    let study = engine.study;
    let arm = &engine.arms[at];
    let taken: Vec<Taken<'_>> = study.sweeps.iter().zip(&arm.sweeps).map(|(p, base)| Taken::new(p, base)).collect();
    // In the order of the typists, whichever thread had which.
    let blocks: Vec<(Vec<Parts>, Vec<TypistOdds>)> = plan
        .of_arm(at)
        .into_par_iter()
        .map_init(Buffers::default, |buffers, BlockPlace { typists, .. }| {
            let key = || format!("sweeps of {:?}: typists {typists:?}", arm.arm().label);
            let sound = |(parts, _): &(Vec<Parts>, _)| parts.len() as u64 == typists.end - typists.start;
            let make = || {
                let each = typists.clone().map(|number| one_typist(study, arm, &taken, buffers, number));
                let (parts, odds): (Vec<Parts>, Vec<Option<TypistOdds>>) = each.unzip();
                let odds: Vec<TypistOdds> = odds.into_iter().flatten().collect();
                (parts, odds)
            };
            let block = Store::take_up_or_make(store, key, sound, make);
            progress((block.0.len() + block.1.len()) as u64);
            block
        })
        .collect();
    let (typists, odds): (Vec<Vec<Parts>>, Vec<Vec<TypistOdds>>) = blocks.into_iter().unzip();
    let typists: Vec<Parts> = typists.into_iter().flatten().collect();
    let odds: Vec<TypistOdds> = odds.into_iter().flatten().collect();
    let gather = |of: usize, infos: &[&'static EstimandInfo], at: usize| {
        let found = infos.iter().enumerate().map(|(i, info)| {
            let parts = typists.iter().map(|parts| parts[of][at * infos.len() + i]);
            (*info, info.clusters(parts))
        });
        found.collect::<Vec<_>>()
    };
    let runs = infos(&OF_RUNS);
    let policies = study.policies.iter().enumerate();
    let policies = policies
        .map(|(at, label)| Swept { label: label.clone(), values: Vec::new(), found: gather(0, &runs, at) })
        .collect();
    let sweeps = study.sweeps.iter().zip(&arm.sweeps).zip(&taken).enumerate();
    let sweeps = sweeps
        .map(|(i, ((plan, base), taken))| {
            let estimands = taken.estimands();
            let points = plan.points.iter().enumerate();
            points
                .map(|(at, values)| Swept {
                    label: plan.setting(base, values).label(),
                    values: values.clone(),
                    found: gather(i + 1, &estimands, at),
                })
                .collect()
        })
        .collect();
    let floor = (!odds.is_empty()).then(|| Floor::of(odds));
    ArmSweep { label: arm.arm().label.clone(), policies, sweeps, floor }
}

fn one_typist(
    study: &Study,
    arm: &TrainedArm<'_>,
    taken: &[Taken<'_>],
    buffers: &mut Buffers,
    number: u64,
) -> (Parts, Option<TypistOdds>) {
    let (Performed { typist, session }, odds) = perform_watched(study, &arm.runner, buffers, number);
    let transcript = arm.runner.transcript(&session);
    let runs = infos(&OF_RUNS);
    let own = |score: &TypistScore| runs.iter().map(|info| (info.parts)(score)).collect::<Vec<_>>();

    let mut parts: Parts = Vec::with_capacity(taken.len() + 1);
    let settings = arm.settings(&typist, study.seed);
    let mut judged = Vec::with_capacity(settings.len() * runs.len());
    arm.runner.judge(buffers, &transcript, &settings, &study.costs, |_, score, _| judged.extend(own(&score)));
    parts.push(judged);

    let mut curves: Vec<Option<(GridCurve, &Setting)>> = taken
        .iter()
        .map(|taken| match taken {
            Taken::Curve { base, name, grid, .. } => Some((curve(base, name, grid), *base)),
            Taken::Runs(_) => None,
        })
        .collect();
    if curves.iter().any(Option::is_some) {
        arm.runner.encounters(&mut buffers.scan, &session.presses, |press, encounter| {
            for (curve, base) in curves.iter_mut().flatten() {
                curve.add(base, encounter, session.truths[press].hold);
            }
        });
    }
    for (taken, curve) in taken.iter().zip(&curves) {
        parts.push(match (taken, curve) {
            (Taken::Runs(settings), _) => {
                let mut judged = Vec::with_capacity(settings.len() * runs.len());
                arm.runner
                    .judge(buffers, &transcript, settings, &study.costs, |_, score, _| judged.extend(own(&score)));
                judged
            }
            (Taken::Curve { known, .. }, Some((curve, _))) => curve_parts(curve, *known),
            (Taken::Curve { .. }, None) => unreachable!("each curve was made above"),
        });
    }
    (parts, odds)
}

/// The first `known` of [`OF_CURVES`] at each point.
fn curve_parts(curve: &GridCurve, known: usize) -> Vec<(f64, f64)> {
    let mut parts = Vec::new();
    for point in curve.points() {
        let (taps, holds) = (point.errors.taps as f64, point.errors.holds as f64);
        let delay = |us: Option<u64>| us.unwrap_or_default() as f64;
        let all = [
            (point.errors.false_holds as f64, taps),
            (point.errors.missed_holds as f64, holds),
            (delay(point.tap_delay_us), taps),
            (delay(point.hold_delay_us), holds),
        ];
        parts.extend(&all[..known]);
    }
    parts
}

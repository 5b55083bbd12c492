//! Figures of a sweep: the front of each arm, and the curve of each single threshold.

use agogic_figures::{
    Curve, CurvePoint, CurveSeries, Figure, Floor, IntervalNote, Setting, Stretch, TradeOff, TradeOffPolicy, Width,
};
use agogic_lab::{ArmSweep, Front, FrontPoint, SweepResult, SweepRow};
use agogic_study::{GOALS, Study};

use crate::figures::{FigureFileError, observer, scaled};
use crate::tables::slug;

/// Swept settings drawn on a front beside the policies; more hide one another.
const MOST: usize = 12;

/// The figures of a sweep with their names, without endings.
///
/// # Errors
/// The data cannot be drawn.
pub fn sweep_figures(
    study: &Study,
    result: &SweepResult,
    width: Width,
) -> Result<Vec<(String, Figure)>, FigureFileError> {
    let mut all = Vec::new();
    for (arm, front) in result.arms.iter().zip(&result.fronts) {
        all.push((format!("front-{}", slug(&front.arm)), front_figure(study, arm, front, width)?));
    }
    for plan in study.sweeps.iter().filter(|plan| plan.axes.len() == 1) {
        for goal in &GOALS[..2] {
            if let Some(figure) = curve(study, result, &plan.label, goal, width)? {
                all.push((format!("curve-{}-{}", slug(&plan.label), slug(goal)), figure));
            }
        }
    }
    Ok(all)
}

fn context(study: &Study, arm: &str) -> String {
    let presses = study.arms.iter().find(|own| own.label == arm).map_or(0, |own| own.keys);
    format!("{arm}: {} simulated typists, {presses} presses each, text {}", study.typists, study.text_from)
}

/// The policies of the study, and of the swept settings those on the front, evenly chosen where there are many.
fn drawn(front: &Front) -> Vec<&FrontPoint> {
    let (policies, swept): (Vec<&FrontPoint>, Vec<&FrontPoint>) =
        front.points.iter().partition(|point| point.sweep == "policies");
    let mut kept: Vec<&FrontPoint> = swept.into_iter().filter(|point| point.on_front).collect();
    kept.sort_by(|a, b| a.goals[0].value.partial_cmp(&b.goals[0].value).expect("numbers"));
    let most = MOST.min(kept.len());
    let chosen = (0..most).map(|i| kept[i * (kept.len() - 1) / (most - 1).max(1)]);
    policies.into_iter().chain(chosen).collect()
}

fn front_figure(study: &Study, arm: &ArmSweep, front: &Front, width: Width) -> Result<Figure, FigureFileError> {
    let policies = drawn(front).into_iter().map(|point| TradeOffPolicy {
        name: point.setting.clone(),
        family: point.sweep.clone(),
        false_holds_per_1000_taps: scaled(&point.goals[0], 1.0),
        missed_holds_per_100_holds: scaled(&point.goals[1], 1.0),
        mean_delay_ms: point.goals[2].value,
    });
    let curves = arm.floor.iter().flat_map(|floor| &floor.curves);
    let floors = curves.map(|curve| Floor {
        label: match curve.deadline {
            None => "ideal observer".to_owned(),
            Some(deadline) => format!("ideal observer within {} ms", deadline.ms()),
        },
        points: curve.points().iter().map(|p| (1000.0 * p.false_rate, 100.0 * p.missed_rate)).collect(),
    });
    let method = front.points.first().map_or("", |point| point.goals[0].method.as_str());
    let figure = TradeOff {
        title: "The front of the trade-off, and settings of the study".to_owned(),
        context: context(study, &front.arm),
        policies: policies.collect(),
        floors: floors.collect(),
        observer: observer(&study.floor, study.floor.typists),
        interval: IntervalNote::new(method, study.inference.level.confidence(), "typist"),
        stretch: Stretch::Auto,
    };
    Ok(figure.draw(width)?)
}

/// A goal over one threshold, a curve for each arm; `None` where the sweep does not know it.
fn curve(
    study: &Study,
    result: &SweepResult,
    sweep: &str,
    goal: &str,
    width: Width,
) -> Result<Option<Figure>, FigureFileError> {
    let rows: Vec<&SweepRow> = result.rows.iter().filter(|row| row.sweep == sweep && row.estimand == goal).collect();
    let Some(first) = rows.first() else { return Ok(None) };
    let Some((threshold, _)) = first.values.first() else { return Ok(None) };
    let series = result.arms.iter().map(|arm| CurveSeries {
        name: arm.label.clone(),
        points: rows
            .iter()
            .filter(|row| row.arm == arm.label)
            .filter_map(|row| Some(CurvePoint { at: row.values.first()?.1, reading: scaled(&row.estimate, 1.0) }))
            .collect(),
    });
    let (name, unit) = threshold.rsplit_once('_').unwrap_or((threshold, ""));
    let quoted = study.sweeps.iter().filter(|plan| plan.label == sweep).flat_map(|plan| {
        let (from, to) = (plan.axes[0].from, plan.axes[0].to);
        let base = plan.rule.blank().ok();
        let value =
            base.and_then(|base| base.value(threshold).ok().flatten()).filter(|value| (from..=to).contains(value));
        value.map(|at| Setting { at, name: "usual".to_owned() })
    });
    let figure = Curve {
        title: format!("{} over {name}", goal.replace('_', " ")),
        threshold: name.replace('_', " "),
        threshold_unit: unit.to_owned(),
        quantity: goal.replace('_', " "),
        unit: first.unit.to_owned(),
        context: format!("{sweep}. {} simulated typists in each arm, text {}", study.typists, study.text_from),
        series: series.collect(),
        settings: quoted.collect(),
        interval: IntervalNote::new(&first.estimate.method, study.inference.level.confidence(), "typist"),
    };
    Ok(Some(figure.draw(width)?))
}

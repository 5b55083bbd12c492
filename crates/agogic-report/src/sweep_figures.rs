//! Figures of a sweep: the front of each arm, and the curve of each single threshold.

use agogic_figures::{Curve, CurvePoint, CurveSeries, IntervalNote, Setting, Stretch, TradeOff, TradeOffPolicy};
use agogic_files::SweepRecord;
use agogic_lab::{Front, FrontPoint, SweepRow};
use agogic_study::{GOALS, Study, SweepPlan};

use crate::figures::{Drawing, floors, observer, scaled};
use crate::looks;
use crate::tables::slug;

/// Swept settings drawn on a front beside the policies; more hide one another.
const MOST: usize = 12;

/// The figures of a sweep: the front of each arm, then the curves of each single threshold.
pub fn sweep_figures(study: &Study, swept: &SweepRecord) -> Vec<Drawing> {
    let mut all: Vec<Drawing> = swept.fronts.iter().map(|front| front_figure(study, swept, front)).collect();
    for plan in &study.sweeps {
        all.extend(curves(study, swept, plan));
    }
    all
}

/// False and missed holds over the threshold of a sweep; none where it sweeps several values.
pub(crate) fn curves(study: &Study, swept: &SweepRecord, plan: &SweepPlan) -> Vec<Drawing> {
    if plan.axes.len() != 1 {
        return Vec::new();
    }
    GOALS[..2].iter().filter_map(|goal| curve(study, swept, plan, goal)).collect()
}

fn context(study: &Study, arm: &str) -> String {
    let presses = study.arms.iter().find(|own| own.label == arm).map_or(0, |own| own.keys);
    format!("{arm}: {} simulated typists, {presses} presses each, text {}", study.typists, study.text_from)
}

/// The policies of the study, and of the swept settings those on the front, evenly chosen where there are many.
fn drawn(front: &Front) -> Vec<&FrontPoint> {
    let (policies, swept): (Vec<&FrontPoint>, Vec<&FrontPoint>) =
        front.points.iter().partition(|point| point.sweep == "policies");
    let mut front: Vec<&FrontPoint> = swept.into_iter().filter(|point| point.on_front).collect();
    front.sort_by(|a, b| a.goals[0].value.partial_cmp(&b.goals[0].value).expect("numbers"));
    let most = MOST.min(front.len());
    let chosen = (0..most).map(|i| front[i * (front.len() - 1) / (most - 1).max(1)]);
    policies.into_iter().chain(chosen).collect()
}

/// The rule of a point of a front.
fn rule_of<'a>(study: &'a Study, point: &FrontPoint) -> &'a str {
    let swept = study.sweeps.iter().find(|plan| plan.label == point.sweep).map(|plan| plan.rule.entry.name);
    let own = || study.policies.iter().position(|label| *label == point.setting);
    swept.or_else(|| Some(study.plans.get(own()?)?.rule.entry.name)).unwrap_or("")
}

/// The policies of a study and swept settings, with the floor.
pub(crate) fn front_figure(study: &Study, swept: &SweepRecord, front: &Front) -> Drawing {
    let policies = drawn(front).into_iter().map(|point| {
        let (family, look) = looks::family(&point.setting, rule_of(study, point));
        TradeOffPolicy {
            name: point.setting.clone(),
            family,
            look,
            false_holds_per_1000_taps: scaled(&point.goals[0], 1.0),
            missed_holds_per_100_holds: scaled(&point.goals[1], 1.0),
            mean_delay_ms: point.goals[2].value,
        }
    });
    let method = front.points.first().map_or("", |point| point.goals[0].method.as_str());
    let figure = TradeOff {
        title: "The front of the trade-off, and settings of the study".to_owned(),
        context: context(study, &front.arm),
        policies: policies.collect(),
        floors: floors(&swept.floor, &front.arm),
        observer: observer(&study.floor, study.floor.typists),
        interval: IntervalNote::new(method, study.inference.level.confidence(), "typist"),
        stretch: Stretch::Auto,
    };
    Drawing::trade_off(format!("front-{}", slug(&front.arm)), figure)
}

/// A goal over one threshold, a curve for each arm; `None` where the sweep does not know it.
fn curve(study: &Study, swept: &SweepRecord, plan: &SweepPlan, goal: &str) -> Option<Drawing> {
    let of = |row: &&SweepRow| row.sweep == plan.label && row.estimand == goal;
    let rows: Vec<&SweepRow> = swept.rows.iter().filter(of).collect();
    let first = rows.first()?;
    let (threshold, _) = first.values.first()?;
    let series = swept.fronts.iter().enumerate().map(|(n, front)| CurveSeries {
        name: front.arm.clone(),
        look: looks::of_arm(study, n),
        points: rows
            .iter()
            .filter(|row| row.arm == front.arm)
            .filter_map(|row| Some(CurvePoint { at: row.values.first()?.1, reading: scaled(&row.estimate, 1.0) }))
            .collect(),
    });
    let (name, unit) = threshold.rsplit_once('_').unwrap_or((&**threshold, ""));
    let (from, to) = (plan.axes[0].from, plan.axes[0].to);
    let usual = plan.rule.blank().ok().and_then(|base| base.value(threshold).ok().flatten());
    let quoted = usual.filter(|value| (from..=to).contains(value)).map(|at| Setting { at, name: "usual".to_owned() });
    let figure = Curve {
        title: format!("{} over {name}", goal.replace('_', " ")),
        threshold: name.replace('_', " "),
        threshold_unit: unit.to_owned(),
        quantity: goal.replace('_', " "),
        unit: first.unit.to_string(),
        context: format!("{}. {} simulated typists in each arm, text {}", plan.label, study.typists, study.text_from),
        series: series.collect(),
        settings: quoted.into_iter().collect(),
        interval: IntervalNote::new(&first.estimate.method, study.inference.level.confidence(), "typist"),
    };
    Some(Drawing::curve(format!("curve-{}-{}", slug(&plan.label), slug(goal)), figure))
}

//! Tables as Parquet and CSV.

use std::path::Path;

use agogic_keys::Span;
use agogic_score::{KindRow, TargetClass, TypistScore};
use agogic_stats::Estimate;
use polars::prelude::*;

use crate::csv_text::{ESTIMATE_COLUMNS, cautions_cell, cell, csv_of, estimate_cells};
use agogic_lab::ArmResult;
use agogic_lab::ResultRow;
use agogic_lab::hand_rows;
use agogic_sim::{FileError, TypistRow, TypistSummary};
use agogic_study::Study;

pub(crate) fn refused(path: &Path) -> impl Fn(PolarsError) -> FileError {
    let path = path.to_owned();
    move |refused| FileError::Table { path: path.clone(), message: refused.to_string() }
}

pub(crate) fn parquet(mut frame: DataFrame, path: &Path) -> Result<Vec<u8>, FileError> {
    let mut bytes = Vec::new();
    // One row group at a time, so that the bytes do not depend on the number of threads.
    ParquetWriter::new(&mut bytes).set_parallel(false).finish(&mut frame).map_err(refused(path))?;
    Ok(bytes)
}

/// `results.parquet`: one row per policy and estimand.
pub(crate) fn results_parquet(rows: &[ResultRow], path: &Path) -> Result<Vec<u8>, FileError> {
    let texts = |of: &dyn Fn(&ResultRow) -> String| rows.iter().map(of).collect::<Vec<_>>();
    let maybe = |of: &dyn Fn(&ResultRow) -> Option<String>| rows.iter().map(of).collect::<Vec<_>>();
    let numbers = |of: &dyn Fn(&Estimate) -> Option<f64>| rows.iter().map(|r| of(&r.estimate)).collect::<Vec<_>>();
    let frame = df!(
        "arm" => texts(&|r| r.arm.clone()),
        "policy" => texts(&|r| r.policy.clone()),
        "group" => texts(&|r| r.group.to_string()),
        "estimand" => texts(&|r| r.estimand.to_owned()),
        "role" => texts(&|r| r.role.name().to_owned()),
        "statistic" => texts(&|r| r.statistic.name().to_owned()),
        "unit" => texts(&|r| r.unit.to_owned()),
        "minus" => maybe(&|r| r.minus.clone()),
        "against" => rows.iter().map(|r| r.against).collect::<Vec<_>>(),
        "estimate" => numbers(&|e| e.value),
        "estimate_mcse" => numbers(&|e| e.mcse),
        "ci_lo" => numbers(&|e| e.lo),
        "ci_hi" => numbers(&|e| e.hi),
        "ci_level" => rows.iter().map(|r| r.estimate.level).collect::<Vec<_>>(),
        "ci_method" => texts(&|r| r.estimate.method.clone()),
        "resampling_unit" => texts(&|r| r.estimate.unit.clone()),
        "n" => rows.iter().map(|r| r.estimate.n).collect::<Vec<_>>(),
        "n_informative" => rows.iter().map(|r| r.estimate.informative).collect::<Vec<_>>(),
        "critical" => numbers(&|e| e.critical),
        "critical_mcse" => numbers(&|e| e.critical_mcse),
        "cautions" => maybe(&|r| cautions_cell(&r.estimate)),
        "reason" => maybe(&|r| r.estimate.reason.clone()),
    )
    .map_err(refused(path))?;
    parquet(frame, path)
}

/// `results.csv`: the same rows; an empty field is null.
pub(crate) fn results_csv(rows: &[ResultRow], path: &Path) -> Result<Vec<u8>, FileError> {
    let own = ["arm", "policy", "group", "estimand", "role", "statistic", "unit", "minus", "against"];
    let head = own.into_iter().chain(ESTIMATE_COLUMNS).map(str::to_owned).collect();
    let lines = rows.iter().map(|row| {
        let named = [&row.arm, &row.policy, &*row.group, row.estimand, row.role.name(), row.statistic.name(), row.unit];
        let mut cells: Vec<String> = named.map(str::to_owned).into();
        cells.extend([row.minus.clone().unwrap_or_default(), cell(row.against)]);
        cells.extend(estimate_cells(&row.estimate));
        cells
    });
    csv_of(head, lines, path)
}

/// A column of counts: its name and where it comes from.
type CountColumn = (&'static str, fn(&TypistScore) -> u64);

/// The columns of counts in `typists.parquet`.
const COUNTS: &[CountColumn] = &[
    ("keys", |s| s.counts.keys),
    ("words", |s| s.counts.words),
    ("taps", |s| s.counts.taps),
    ("false_holds", |s| s.counts.false_holds),
    ("false_holds_by_correction", |s| s.counts.false_by.by_correction),
    ("false_holds_by_roll", |s| s.counts.false_by.by_roll),
    ("false_holds_by_other_contact", |s| s.counts.false_by.by_other_contact),
    ("false_holds_by_repeat", |s| s.counts.false_by.by_repeat),
    ("false_holds_by_long_dwell", |s| s.counts.false_by.by_long_dwell),
    ("holds", |s| s.counts.holds),
    ("holds_enclosed", |s| s.counts.holds_by.enclosed),
    ("holds_trailing", |s| s.counts.holds_by.trailing),
    ("holds_bare", |s| s.counts.holds_by.bare),
    ("runs", |s| s.counts.runs),
    ("missed_runs", |s| s.counts.missed_runs),
    ("missed_holds", |s| s.counts.missed_holds),
    ("missed_enclosed", |s| s.counts.missed_by.enclosed),
    ("missed_trailing", |s| s.counts.missed_by.trailing),
    ("missed_bare", |s| s.counts.missed_by.bare),
    ("tap_delay_us", |s| s.counts.tap_delay_us),
    ("tap_delay_p50_us", |s| s.counts.tap_delay_p50_us),
    ("tap_delay_p95_us", |s| s.counts.tap_delay_p95_us),
    ("tap_delay_p99_us", |s| s.counts.tap_delay_p99_us),
    ("taps_over_40_ms", |s| s.counts.taps_over_40_ms),
    ("taps_over_100_ms", |s| s.counts.taps_over_100_ms),
    ("hold_delay_us", |s| s.counts.hold_delay_us),
    ("stray_chords", |s| s.counts.stray_chords),
    ("lost_chords", |s| s.counts.lost_chords),
    ("host_keys", |s| s.counts.host_keys),
    ("delayed_keys", |s| s.counts.delayed_keys),
    ("host_delay_us", |s| s.counts.host_delay_us),
    ("key_delay_p95_us", |s| s.counts.key_delay_p95_us),
    ("harm_us", |s| s.harm.total_us()),
    ("characters_correct", |s| s.text.correct),
    ("characters_not_fixed", |s| s.text.not_fixed),
];

/// `typists.parquet`: one row per arm, typist and policy.
pub(crate) fn typists_parquet(study: &Study, arms: &[ArmResult], path: &Path) -> Result<Vec<u8>, FileError> {
    let size = (ROW_GROUP / study.policies.len().max(1)).max(1);
    let refused = refused(path);
    let mut bytes = Vec::new();
    let schema = typists_frame(study, "", &[]).map_err(&refused)?.schema().clone();
    // One row group at a time, so that the bytes do not depend on the number of threads.
    let writer = ParquetWriter::new(&mut bytes).set_parallel(false);
    let mut writer = writer.batched(&schema).map_err(&refused)?;
    for arm in arms {
        let mut rows = arm.typists.iter();
        loop {
            let some: Vec<TypistRow> = rows.by_ref().take(size).collect();
            if some.is_empty() {
                break;
            }
            let frame = typists_frame(study, &arm.label, &some).map_err(&refused)?;
            writer.write_batch(&frame).map_err(&refused)?;
        }
    }
    writer.finish().map_err(&refused)?;
    // The writer still holds the bytes.
    drop(writer);
    Ok(bytes)
}

/// Rows of `typists.parquet` that are made ready at once.
const ROW_GROUP: usize = 50_000;

/// Typists of an arm, a row for each policy.
fn typists_frame(study: &Study, arm: &str, typists: &[TypistRow]) -> PolarsResult<DataFrame> {
    let n = study.policies.len();
    let numbers = |name: &str, of: &dyn Fn(&TypistSummary) -> f64| {
        let values: Vec<f64> = typists.iter().flat_map(|row| std::iter::repeat_n(of(&row.person), n)).collect();
        Column::new(name.into(), values)
    };
    let labels: Vec<&str> = typists.iter().flat_map(|_| study.policies.iter().map(String::as_str)).collect();
    let typist: Vec<u64> = typists.iter().flat_map(|row| std::iter::repeat_n(row.person.typist, n)).collect();
    let text = |row: &TypistRow| study.texts[study.text_of(row.person.typist)].as_str();
    let texts: Vec<&str> = typists.iter().flat_map(|row| std::iter::repeat_n(text(row), n)).collect();
    let mut columns = vec![
        Column::new("arm".into(), vec![arm; typists.len() * n]),
        Column::new("typist".into(), typist),
        Column::new("policy".into(), labels),
        Column::new("text".into(), texts),
        numbers("wpm", &|person| person.wpm),
        numbers("interval_ms", &|person| person.interval_ms),
        numbers("dwell_ms", &|person| person.dwell_ms),
        numbers("rollover", &|person| person.rollover),
        numbers("release_ms", &|person| person.release_ms),
    ];
    for (name, of) in COUNTS {
        let values: Vec<u64> = typists.iter().flat_map(|row| row.scores.iter().map(of)).collect();
        columns.push(Column::new((*name).into(), values));
    }
    DataFrame::new(typists.len() * n, columns)
}

/// `kinds.csv`: wrong outcomes of all typists by arm, policy, outcome, modifier and key.
pub(crate) fn kinds_csv(study: &Study, arms: &[ArmResult], path: &Path) -> Result<Vec<u8>, FileError> {
    let head = ["arm", "policy", "outcome", "modifier", "key", "key_class", "count"];
    let of_policy = |arm: &ArmResult, label: &String, row: KindRow| {
        let class = serde_json::to_value(TargetClass::of(row.key)).expect("a name");
        let class = class.as_str().unwrap_or_default();
        let named = [&arm.label, label, row.outcome.name(), row.modifier.name(), row.key.name(), class];
        let mut cells: Vec<String> = named.map(str::to_owned).into();
        cells.push(row.count.to_string());
        cells
    };
    let lines = arms.iter().flat_map(|arm| {
        study.policies.iter().zip(&arm.kinds).flat_map(move |(label, kinds)| {
            kinds.rows().filter(|row| row.count > 0).map(move |row| of_policy(arm, label, row))
        })
    });
    csv_of(head.map(str::to_owned).into(), lines, path)
}

/// `floor.csv`: the corners of the floors by arm and deadline; an empty deadline means none.
pub(crate) fn floor_csv(arms: &[ArmResult], path: &Path) -> Result<Vec<u8>, FileError> {
    let head = ["arm", "deadline_ms", "threshold_nats", "false_holds_per_1000_taps", "missed_holds_per_100_holds"];
    let curves = arms.iter().flat_map(|arm| arm.floor.iter().flat_map(move |f| f.curves.iter().map(move |c| (arm, c))));
    let lines = curves.flat_map(|(arm, curve)| {
        let deadline = cell(curve.deadline.map(Span::ms));
        curve.points().iter().map(move |point| {
            let numbers = [point.threshold_nats, 1000.0 * point.false_rate, 100.0 * point.missed_rate];
            let mut cells = vec![arm.label.clone(), deadline.clone()];
            cells.extend(numbers.map(|number| number.to_string()));
            cells
        })
    });
    csv_of(head.map(str::to_owned).into(), lines, path)
}

/// Names of the fingers in the order of [`HandLoad`](agogic_keys::HandLoad).
const FINGERS: [&str; 11] = [
    "left little",
    "left ring",
    "left middle",
    "left index",
    "left thumb",
    "right little",
    "right ring",
    "right middle",
    "right index",
    "right thumb",
    "either thumb",
];

/// `hands.csv`: for each assignment the load of each finger per 1000 keys, and the reach of the shortcuts.
pub(crate) fn hands_csv(study: &Study, path: &Path) -> Result<Vec<u8>, FileError> {
    let mut lines = Vec::new();
    for row in hand_rows(study) {
        let mut write = |what: String, value: f64, unit: &str| {
            lines.push(vec![row.assignment.clone(), what, value.to_string(), unit.to_owned()]);
        };
        for (finger, load) in FINGERS.iter().zip(row.load.fingers) {
            write(format!("{finger}: presses"), load.presses, "per 1000 keys");
            write(format!("{finger}: holds"), load.holds, "per 1000 keys");
            write(format!("{finger}: key down"), load.held_s, "s per 1000 keys, from assumed dwells");
        }
        let Some(reach) = row.reach else { continue };
        write("shortcuts held with the hand that presses the target".into(), reach.same_hand, "share by weight");
        write("shortcuts that need one finger twice".into(), reach.same_finger, "share by weight");
        write("shortcuts the left hand can make alone".into(), reach.left_alone, "share by weight");
        write("shortcuts the right hand can make alone".into(), reach.right_alone, "share by weight");
        write("way of the fingers to a shortcut".into(), reach.travel_keys, "key widths");
        if let Some(stretch) = reach.stretch_keys {
            write("spread or fold of a hand that makes one alone".into(), stretch, "key widths");
        }
    }
    csv_of(["assignment", "what", "value", "unit"].map(str::to_owned).into(), lines.into_iter(), path)
}

//! Tables as Parquet and CSV.

use agogic_score::TypistScore;
use agogic_stats::Estimate;
use polars::prelude::*;

use crate::csv_text::{ESTIMATE_COLUMNS, cautions_cell, cell, csv_of, estimate_cells};
use agogic_lab::{ArmResult, ResultRow};
use agogic_sim::{FileError, TypistRow, TypistSummary};
use agogic_study::Study;

/// The dataframe library refuses to make a file.
pub(crate) fn refused(file: &'static str) -> impl Fn(PolarsError) -> FileError {
    move |refused| FileError::Table { path: file.into(), message: refused.to_string() }
}

pub(crate) fn parquet(mut frame: DataFrame, file: &'static str) -> Result<Vec<u8>, FileError> {
    let mut bytes = Vec::new();
    // One row group at a time, so that the bytes do not depend on the number of threads.
    ParquetWriter::new(&mut bytes).set_parallel(false).finish(&mut frame).map_err(refused(file))?;
    Ok(bytes)
}

/// `results.parquet`: one row per policy and estimand.
pub(crate) fn results_parquet(rows: &[ResultRow]) -> Result<Vec<u8>, FileError> {
    let texts = |of: &dyn Fn(&ResultRow) -> String| rows.iter().map(of).collect::<Vec<_>>();
    let maybe = |of: &dyn Fn(&ResultRow) -> Option<String>| rows.iter().map(of).collect::<Vec<_>>();
    let numbers = |of: &dyn Fn(&Estimate) -> Option<f64>| rows.iter().map(|r| of(&r.estimate)).collect::<Vec<_>>();
    let frame = df!(
        "arm" => texts(&|r| r.arm.clone()),
        "policy" => texts(&|r| r.policy.clone()),
        "group" => texts(&|r| r.group.to_string()),
        "estimand" => texts(&|r| r.estimand.to_string()),
        "role" => texts(&|r| r.role.name().to_owned()),
        "statistic" => texts(&|r| r.statistic.name().to_owned()),
        "unit" => texts(&|r| r.unit.to_string()),
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
    .map_err(refused("results.parquet"))?;
    parquet(frame, "results.parquet")
}

/// `results.csv`: the same rows; an empty field is null.
pub(crate) fn results_csv(rows: &[ResultRow]) -> Result<Vec<u8>, FileError> {
    let own = ["arm", "policy", "group", "estimand", "role", "statistic", "unit", "minus", "against"];
    let head = own.into_iter().chain(ESTIMATE_COLUMNS).map(str::to_owned).collect();
    let lines = rows.iter().map(|row| {
        let named =
            [&row.arm, &row.policy, &*row.group, &row.estimand, row.role.name(), row.statistic.name(), &row.unit];
        let mut cells: Vec<String> = named.map(str::to_owned).into();
        cells.extend([row.minus.clone().unwrap_or_default(), cell(row.against)]);
        cells.extend(estimate_cells(&row.estimate));
        cells
    });
    csv_of(head, lines, "results.csv")
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
pub(crate) fn typists_parquet(study: &Study, arms: &[ArmResult]) -> Result<Vec<u8>, FileError> {
    let size = (ROW_GROUP / study.policies.len().max(1)).max(1);
    let refused = refused("typists.parquet");
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

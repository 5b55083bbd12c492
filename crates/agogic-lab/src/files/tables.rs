//! Tables as Parquet and CSV.

use std::path::Path;

use agogic_stats::Estimate;
use polars::prelude::*;

use super::FileError;
use crate::estimands::ResultRow;
use crate::run::TypistRow;
use crate::study::Study;

fn refused(path: &Path) -> impl Fn(PolarsError) -> FileError {
    let path = path.to_owned();
    move |refused| FileError::Table { path: path.clone(), message: refused.to_string() }
}

fn parquet(mut frame: DataFrame, path: &Path) -> Result<Vec<u8>, FileError> {
    let mut bytes = Vec::new();
    // One row group at a time, so that the bytes do not depend on the number of threads.
    ParquetWriter::new(&mut bytes).set_parallel(false).finish(&mut frame).map_err(refused(path))?;
    Ok(bytes)
}

/// `results.parquet`: one row per policy and estimand.
pub(super) fn results_parquet(rows: &[ResultRow], path: &Path) -> Result<Vec<u8>, FileError> {
    let texts = |of: &dyn Fn(&ResultRow) -> String| rows.iter().map(of).collect::<Vec<_>>();
    let maybe = |of: &dyn Fn(&ResultRow) -> Option<String>| rows.iter().map(of).collect::<Vec<_>>();
    let numbers = |of: &dyn Fn(&Estimate) -> Option<f64>| rows.iter().map(|r| of(&r.estimate)).collect::<Vec<_>>();
    let frame = df!(
        "policy" => texts(&|r| r.policy.clone()),
        "estimand" => texts(&|r| r.estimand.to_owned()),
        "unit" => texts(&|r| r.unit.to_owned()),
        "minus" => maybe(&|r| r.minus.clone()),
        "estimate" => numbers(&|e| e.value),
        "estimate_mcse" => numbers(&|e| e.mcse),
        "ci_lo" => numbers(&|e| e.lo),
        "ci_hi" => numbers(&|e| e.hi),
        "ci_level" => rows.iter().map(|r| r.estimate.level).collect::<Vec<_>>(),
        "ci_method" => texts(&|r| r.estimate.method.clone()),
        "resampling_unit" => texts(&|r| r.estimate.unit.clone()),
        "n" => rows.iter().map(|r| r.estimate.n).collect::<Vec<_>>(),
        "reason" => maybe(&|r| r.estimate.reason.clone()),
    )
    .map_err(refused(path))?;
    parquet(frame, path)
}

/// `results.csv`: the same rows; an empty field is null.
pub(super) fn results_csv(rows: &[ResultRow], path: &Path) -> Result<Vec<u8>, FileError> {
    let failed = |e: csv::Error| FileError::Table { path: path.to_owned(), message: e.to_string() };
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record([
        "policy",
        "estimand",
        "unit",
        "minus",
        "estimate",
        "estimate_mcse",
        "ci_lo",
        "ci_hi",
        "ci_level",
        "ci_method",
        "resampling_unit",
        "n",
        "reason",
    ])
    .map_err(failed)?;
    let number = |value: Option<f64>| value.map_or(String::new(), |v| v.to_string());
    for row in rows {
        let e = &row.estimate;
        out.write_record([
            row.policy.as_str(),
            row.estimand,
            row.unit,
            row.minus.as_deref().unwrap_or(""),
            &number(e.value),
            &number(e.mcse),
            &number(e.lo),
            &number(e.hi),
            &e.level.to_string(),
            &e.method,
            &e.unit,
            &e.n.to_string(),
            e.reason.as_deref().unwrap_or(""),
        ])
        .map_err(failed)?;
    }
    out.into_inner().map_err(|e| FileError::Table { path: path.to_owned(), message: e.to_string() })
}

/// `typists.parquet`: one row per typist and policy.
pub(super) fn typists_parquet(study: &Study, typists: &[TypistRow], path: &Path) -> Result<Vec<u8>, FileError> {
    let n = study.policies.len();
    let per_typist = |of: &dyn Fn(&TypistRow) -> f64| -> Vec<f64> {
        typists.iter().flat_map(|row| std::iter::repeat_n(of(row), n)).collect()
    };
    let count = |of: &dyn Fn(&agogic_score::Counts) -> u64| -> Vec<u64> {
        typists.iter().flat_map(|row| row.counts.iter().map(of)).collect()
    };
    let labels: Vec<&str> =
        typists.iter().flat_map(|_| study.policies.iter().map(|policy| policy.label.as_str())).collect();
    let frame = df!(
        "typist" => typists.iter().flat_map(|row| std::iter::repeat_n(row.typist, n)).collect::<Vec<_>>(),
        "policy" => labels,
        "interval_ms" => per_typist(&|row| row.interval_ms),
        "dwell_ms" => per_typist(&|row| row.dwell_ms),
        "rollover" => per_typist(&|row| row.rollover),
        "trailing_share" => per_typist(&|row| row.trailing_share),
        "keys" => count(&|c| c.keys),
        "words" => count(&|c| c.words),
        "taps" => count(&|c| c.taps),
        "false_holds" => count(&|c| c.false_holds),
        "holds" => count(&|c| c.holds),
        "missed_holds" => count(&|c| c.missed_holds),
        "tap_delay_us" => count(&|c| c.tap_delay_us),
        "tap_delay_p95_us" => count(&|c| c.tap_delay_p95_us),
        "hold_delay_us" => count(&|c| c.hold_delay_us),
        "stray_chords" => count(&|c| c.stray_chords),
        "lost_chords" => count(&|c| c.lost_chords),
        "host_keys" => count(&|c| c.host_keys),
        "host_delay_us" => count(&|c| c.host_delay_us),
    )
    .map_err(refused(path))?;
    parquet(frame, path)
}

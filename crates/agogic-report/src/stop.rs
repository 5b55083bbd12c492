//! A run with a rule to stop: how far it went, and limits that hold although it was looked at.

use agogic_files::Results;
use agogic_lab::{ALL, ResultRow, Statistic};

use crate::sheet::{Cell, Column, Sheet};
use crate::tables::slug;

const ANYTIME: Statistic = Statistic::PooledAnytime;

fn rows<'a>(results: &'a Results, arm: &'a str) -> impl Iterator<Item = &'a ResultRow> {
    results.rows.iter().filter(move |row| row.arm == arm && row.group == ALL && row.statistic == ANYTIME)
}

/// How far a run with a rule to stop went; `None` for one without.
pub fn stop_sentence(results: &Results, arm: &str) -> Option<String> {
    rows(results, arm).next()?;
    let (ran, planned) = (results.judged(arm) as u64, results.manifest.typists);
    let went = if ran < planned {
        format!("The run of `{arm}` stopped at {ran} typists, of {planned} at most, since it was precise enough.")
    } else {
        format!(
            "The run of `{arm}` went on to its last typist, {planned}, without being precise enough to stop sooner."
        )
    };
    Some(format!(
        "{went} A run that may stop when it looks precise errs more often than intervals of a fixed number of typists say; \
         those under “looked at any time” hold all the same."
    ))
}

/// The estimates a run with a rule to stop was looked at for, with limits that hold at any look and with those of
/// a fixed number of typists; `None` for a run without such a rule.
pub fn stop_table(results: &Results, arm: &str) -> Option<Sheet> {
    let caption = stop_sentence(results, arm)?;
    let row = |row: &ResultRow| {
        let fixed = results.row(arm, &row.policy, &row.estimand, Statistic::Pooled).map(|row| &row.estimate);
        vec![
            Cell::Words(row.policy.clone()),
            Cell::Words(format!("{}, {}", row.estimand.replace('_', " "), row.unit)),
            Cell::estimate(Some(&row.estimate), 2),
            Cell::estimate(fixed, 2),
        ]
    };
    Some(Sheet {
        name: format!("stopped-{}", slug(arm)),
        caption,
        columns: vec![
            Column::words("policy"),
            Column::words("of"),
            Column::numbers("looked at any time", ""),
            Column::numbers("as of a fixed number", ""),
        ],
        rows: rows(results, arm).map(row).collect(),
    })
}

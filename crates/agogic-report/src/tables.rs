//! The table of policies.

use agogic_lab::{ALL, ResultRow, Statistic, Study, StudyResult};
use comfy_table::{CellAlignment, ContentArrangement, Table, presets};

/// How a table is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// For a terminal.
    Screen,
    /// Markdown.
    Markdown,
}

/// Columns of the table: estimand, statistic, heading, digits.
const COLUMNS: [(&str, Statistic, &str, usize); 6] = [
    ("wrong_keys", Statistic::Pooled, "wrong keys\nper 1000 words", 1),
    ("false_holds", Statistic::Pooled, "false holds\nper 1000 taps", 2),
    ("missed_holds", Statistic::Pooled, "missed holds\nper 100 holds", 2),
    ("harm", Statistic::Pooled, "harm, s\nper 1000 words", 0),
    ("tap_delay", Statistic::Pooled, "tap delay\nms", 0),
    ("wrong_roles", Statistic::Removable, "above floor\nper 1000 presses", 1),
];

/// One row per policy of an arm, in the order of the study: estimates with their intervals.
pub fn policy_table(study: &Study, result: &StudyResult, arm: &str, style: Style) -> String {
    let mut table = Table::new();
    table.set_content_arrangement(ContentArrangement::Disabled);
    table.load_style(match style {
        Style::Screen => presets::NOTHING,
        Style::Markdown => presets::ASCII_MARKDOWN,
    });
    let heading = |text: &str| match style {
        Style::Screen => text.to_owned(),
        Style::Markdown => text.replace('\n', ", "),
    };
    let mut header = vec!["policy".to_owned()];
    header.extend(COLUMNS.iter().map(|(_, _, text, _)| heading(text)));
    table.set_header(header);
    for policy in &study.policies {
        let mut cells = vec![policy.clone()];
        for (estimand, statistic, _, digits) in COLUMNS {
            let row = result
                .rows
                .iter()
                .filter(|row| row.arm == arm && row.policy == *policy && row.estimand == estimand)
                .find(|row| row.statistic == statistic && row.group == ALL);
            cells.push(row.map_or_else(String::new, |row| cell(row, digits)));
        }
        table.add_row(cells);
    }
    for (at, _) in COLUMNS.iter().enumerate() {
        if let Some(column) = table.column_mut(at + 1) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table.trim_fmt()
}

fn cell(row: &ResultRow, digits: usize) -> String {
    let e = &row.estimate;
    match (e.value, e.lo, e.hi) {
        (Some(value), Some(lo), Some(hi)) => format!("{value:.digits$} ({lo:.digits$}–{hi:.digits$})"),
        (Some(value), ..) => format!("{value:.digits$} (no interval)"),
        (None, ..) => "unknown".to_owned(),
    }
}

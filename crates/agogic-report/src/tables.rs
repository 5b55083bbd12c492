//! The table of policies.

use agogic_lab::{ALL, ResultRow, Statistic, Study, StudyResult, hand_rows};
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
    let mut table = new_table(style);
    let mut header = vec!["policy".to_owned()];
    header.extend(COLUMNS.iter().map(|(_, _, text, _)| heading(text, style)));
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
    align(&mut table, COLUMNS.len());
    table.trim_fmt()
}

/// One row per arm of a study of several assignments: what its first policy does there, beside what the
/// assignment asks of the hands. `None` for a study of one assignment.
pub fn assignment_table(study: &Study, result: &StudyResult, style: Style) -> Option<String> {
    let hands = hand_rows(study);
    let policy = study.policies.first()?;
    if hands.len() < 2 {
        return None;
    }
    let mut table = new_table(style);
    table.set_header(
        [
            "arm",
            "false holds\nper 1000 taps",
            "harm, s\nper 1000 words",
            "busiest holder\nholds per 1000 keys",
            "same hand\n% of shortcuts",
            "left alone\n% of shortcuts",
        ]
        .map(|text| heading(text, style)),
    );
    for arm in &study.arms {
        let hand = hands.iter().find(|row| row.assignment == arm.assignment_name)?;
        let of = |estimand: &str, digits: usize| {
            let found = result.rows.iter().find(|row| {
                row.arm == arm.label
                    && row.policy == *policy
                    && row.estimand == estimand
                    && row.statistic == Statistic::Pooled
                    && row.group == ALL
            });
            found.map_or_else(String::new, |row| cell(row, digits))
        };
        let busiest = hand.load.fingers.iter().map(|finger| finger.holds).fold(0.0, f64::max);
        let share = |value: Option<f64>| value.map_or_else(|| "unknown".to_owned(), |v| format!("{:.0}", 100.0 * v));
        table.add_row([
            arm.label.clone(),
            of("false_holds", 2),
            of("harm", 0),
            format!("{busiest:.1}"),
            share(hand.reach.map(|reach| reach.same_hand)),
            share(hand.reach.map(|reach| reach.left_alone)),
        ]);
    }
    align(&mut table, 5);
    Some(table.trim_fmt())
}

fn new_table(style: Style) -> Table {
    let mut table = Table::new();
    table.set_content_arrangement(ContentArrangement::Disabled);
    table.load_style(match style {
        Style::Screen => presets::NOTHING,
        Style::Markdown => presets::ASCII_MARKDOWN,
    });
    table
}

fn heading(text: &str, style: Style) -> String {
    match style {
        Style::Screen => text.to_owned(),
        Style::Markdown => text.replace('\n', ", "),
    }
}

/// All columns but the first to the right.
fn align(table: &mut Table, columns: usize) {
    for at in 1..=columns {
        if let Some(column) = table.column_mut(at) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
}

fn cell(row: &ResultRow, digits: usize) -> String {
    let e = &row.estimate;
    match (e.value, e.lo, e.hi) {
        (Some(value), Some(lo), Some(hi)) => format!("{value:.digits$} ({lo:.digits$}–{hi:.digits$})"),
        (Some(value), ..) => format!("{value:.digits$} (no interval)"),
        (None, ..) => "unknown".to_owned(),
    }
}

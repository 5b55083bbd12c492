//! The page of a sensitivity analysis: which values and traits an outcome hangs on.

use agogic_figures::{FigureError, Forest, ForestRow, IntervalNote};
use agogic_lab::{IndexRow, OUTCOMES, SENSITIVITY_NOTE};
use agogic_study::Study;

use crate::advice_page::heading;
use crate::figures::{Drawing, scaled};
use crate::page::rendered;
use crate::section::Section;
use crate::sheet::{Cell, Column, Sheet};
use crate::tables::slug;
use crate::words::capital;

/// The page of a sensitivity analysis.
///
/// It holds nothing that differs between two runs of one study, so it repeats to the byte.
///
/// # Errors
/// The data cannot be drawn.
pub fn sensitivity_page(study: &Study, indices: &[IndexRow]) -> Result<String, FigureError> {
    let mut answer = Section::new("answer", "Answer");
    let mut sections = Vec::new();
    for arm in &study.arms {
        for outcome in OUTCOMES {
            if let Some(sentence) = most(indices, &arm.label, outcome) {
                answer.paragraph(&sentence);
            }
        }
        let title = format!("Indices: {}", arm.label);
        let mut section = Section::new(&format!("indices-of-{}", slug(&arm.label)), &title);
        section.table(&index_table(indices, &arm.label), None);
        for drawing in index_figures(study, indices, &arm.label) {
            section.figure(&drawing)?;
        }
        sections.push(section);
    }
    if answer.is_empty() {
        answer.paragraph("No outcome has indices: some point of the design gave it no opportunity.");
    }
    sections.insert(0, answer);
    sections.push(methods(study));
    let (points, typists) = study.sensitivity.as_ref().map_or((0, 0), |plan| (plan.runs(), plan.typists));
    let facts = format!(
        "{points} points with {typists} simulated typists each, in each of {} groups of people and keyboards, seed {}. \
         Every number is of simulated people.",
        study.arms.len(),
        study.seed
    );
    Ok(rendered(&study.name, env!("CARGO_PKG_VERSION"), &heading(study, "Sensitivity"), &facts, &sections))
}

/// The input that an outcome hangs on most, in a sentence; `None` where its indices are unknown.
fn most(indices: &[IndexRow], arm: &str, outcome: &str) -> Option<String> {
    let totals = indices.iter().filter(|row| row.arm == arm && row.outcome == outcome && row.index == "total");
    let known = totals.filter(|row| row.estimate.value.is_some());
    let first = known.max_by(|a, b| a.estimate.value.partial_cmp(&b.estimate.value).expect("indices are numbers"))?;
    Some(format!(
        "`{arm}`: over the stated ranges {} hang most on `{}`, total index {}.",
        outcome.replace('_', " "),
        first.input,
        first.estimate.text(2)
    ))
}

/// The indices of an arm: inputs down, outcomes across.
pub fn index_table(indices: &[IndexRow], arm: &str) -> Sheet {
    let rows: Vec<&IndexRow> = indices.iter().filter(|row| row.arm == arm).collect();
    let mut columns = ["input", "range", "index"].map(Column::words).to_vec();
    columns.extend(OUTCOMES.iter().map(|name| Column::numbers(&name.replace('_', " "), "")));
    // The rows of the first outcome name every input and index once.
    let lines = rows.iter().filter(|row| row.outcome == OUTCOMES[0]).map(|one| {
        let range = format!("{} to {}", one.range.0, one.range.1);
        let mut cells = [one.input.to_string(), range, one.index.to_string()].map(Cell::Words).to_vec();
        cells.extend(OUTCOMES.iter().map(|outcome| {
            let same = |row: &&&IndexRow| row.outcome == *outcome && row.input == one.input && row.index == one.index;
            Cell::estimate(rows.iter().find(same).map(|row| &row.estimate), 2)
        }));
        cells
    });
    Sheet {
        name: format!("indices-{}", slug(arm)),
        caption: format!(
            "How much of the variance of each outcome each input accounts for, in `{arm}`. {SENSITIVITY_NOTE}."
        ),
        columns,
        rows: lines.collect(),
    }
}

/// The indices of each outcome of an arm with their intervals; none for an outcome that has no indices.
pub fn index_figures(study: &Study, indices: &[IndexRow], arm: &str) -> Vec<Drawing> {
    let one = |outcome: &str| {
        let rows = || indices.iter().filter(move |row| row.arm == arm && row.outcome == outcome);
        let mut methods: Vec<&str> = Vec::new();
        for row in rows().filter(|row| row.estimate.value.is_some()) {
            if !methods.contains(&row.estimate.method.as_str()) {
                methods.push(&row.estimate.method);
            }
        }
        if methods.is_empty() {
            return None;
        }
        let of = |kind: &'static str| {
            rows().filter(move |row| row.index == kind).map(move |row| {
                ForestRow::new(row.input.to_string(), scaled(&row.estimate, 1.0)).in_group(format!("{kind} index"))
            })
        };
        let forest = Forest {
            title: format!("What {} hang on", outcome.replace('_', " ")),
            quantity: "share of the variance".into(),
            unit: String::new(),
            context: arm.to_owned(),
            rows: of("total").chain(of("first")).collect(),
            signed: false,
            reference: Some(0.0),
            limits: None,
            interval: IntervalNote::new(methods.join(" or "), study.inference.level.confidence(), "row of the design"),
            simultaneous: None,
        };
        Some(Drawing::forest(format!("indices-{}-{}", slug(outcome), slug(arm)), forest))
    };
    OUTCOMES.into_iter().filter_map(one).collect()
}

fn methods(study: &Study) -> Section {
    let mut section = Section::new("methods", "How it was found");
    let Some(plan) = &study.sensitivity else { return section };
    let ranges: Vec<String> = plan
        .axes
        .iter()
        .map(|axis| format!("`{}` {} to {}", axis.param.name, axis.from, axis.to))
        .chain(
            plan.traits.iter().map(|range| format!("median of `{}` {} to {}", range.info.name, range.from, range.to)),
        )
        .collect();
    section.paragraph(&format!(
        "Around `{}`, inputs moved independently and evenly over their ranges: {}. {} rows of {} points each from Sobol's \
         sequence; at each point the first {} typists of the study typed and were judged, with the same random streams.",
        plan.rule.blank().map(|setting| setting.label()).unwrap_or_default(),
        ranges.join(", "),
        plan.rows,
        plan.inputs() + 2,
        plan.typists
    ));
    section.paragraph(&format!("{}.", capital(SENSITIVITY_NOTE)));
    section.paragraph(
        "An index is about the ranges as they were stated: a wider range makes its input matter more. `points.csv` beside \
         this page has every point.",
    );
    section.text("Spec of the study", &study.spec).folded("The spec");
    section
}

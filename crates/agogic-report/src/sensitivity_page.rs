//! The page of a sensitivity analysis: which values and traits an outcome hangs on.

use agogic_figures::{FigureError, Forest, ForestRow, IntervalNote};
use agogic_lab::{IndexRow, OUTCOMES, SENSITIVITY_NOTE};
use agogic_study::Study;

use crate::advice_page::heading;
use crate::common_sections::{assumed, assumed_in_short, to_repeat};
use crate::figures::{Drawing, scaled};
use crate::first_screen::{Card, FirstScreen, settings_in_words};
use crate::page::rendered;
use crate::section::Section;
use crate::sheet::{Cell, Column, Sheet};
use crate::tables::slug;
use crate::words::{capital, in_each_group, listed, value_name};

/// The page of a sensitivity analysis.
///
/// It holds nothing that differs between two runs of one study, so it repeats to the byte.
///
/// # Errors
/// The data cannot be drawn.
pub fn sensitivity_page(study: &Study, indices: &[IndexRow]) -> Result<String, FigureError> {
    let first = answer(study, indices)?;
    let mut sections = Vec::new();
    for (at, arm) in study.arms.iter().enumerate() {
        let title = format!("Indices: {}", arm.label);
        let mut section = Section::new(&format!("indices-of-{}", slug(&arm.label)), &title);
        let fill = |section: &mut Section| {
            section.table(&in_plain_words(index_table(indices, &arm.label)), None);
            section.figures(index_figures(study, indices, &arm.label))?;
            Ok(())
        };
        if at == 0 {
            fill(&mut section)?;
        } else {
            section.fold("Every index, with figures", fill)?;
        }
        sections.push(section);
    }
    sections.extend([assumed(study), methods(study), to_repeat(study)]);
    let (points, typists) = study.sensitivity.as_ref().map_or((0, 0), |plan| (plan.runs(), plan.typists));
    let facts = format!(
        "{points} points with {typists} simulated typists each{}, seed {}. \
         Every number is of simulated people.",
        in_each_group(study.arms.len()),
        study.seed
    );
    Ok(rendered(
        ("study", &study.name),
        env!("CARGO_PKG_VERSION"),
        &heading(study, "Sensitivity"),
        &facts,
        &first,
        &sections,
    ))
}

/// The input that each outcome hangs on most.
fn answer(study: &Study, indices: &[IndexRow]) -> Result<FirstScreen, FigureError> {
    let primary = if OUTCOMES.contains(&study.primary.name) { study.primary.name } else { OUTCOMES[0] };
    let arms = study.arms.iter().filter_map(|arm| Some((&*arm.label, most(indices, &arm.label, primary)?)));
    let arms: Vec<(&str, String)> = arms.map(|(arm, row)| (arm, value_name(&row.input))).collect();
    let outcome = primary.replace('_', " ");
    let sentence = if arms.is_empty() {
        format!("What {outcome} hang on is not known: some point of the design gave them no opportunity.")
    } else {
        let pairs = settings_in_words(arms.iter().map(|(arm, input)| (*arm, input.as_str())));
        format!("Over the stated ranges {outcome} hang most on {pairs}.")
    };
    let mut first = FirstScreen::new(&sentence, &assumed_in_short(study));
    for arm in &study.arms {
        let mut card =
            Card::new(if study.arms.len() > 1 { &arm.label } else { "" }, "total index of the foremost input");
        let mut unknown = Vec::new();
        for outcome in OUTCOMES {
            let name = outcome.replace('_', " ");
            match most(indices, &arm.label, outcome) {
                Some(row) => {
                    first.intervals_as(&row.estimate);
                    card.estimate(&name, &format!("hang on {}", value_name(&row.input)), &row.estimate, 2);
                }
                None => unknown.push(name),
            }
        }
        card.fails_unknown(
            "not looked at: indices are about ranges, not about people. `agogic run` says whom a setting fails.",
        );
        if !unknown.is_empty() {
            card.line(&format!(
                "Unknown for {}: some point of the design gave no opportunity, or nothing varies.",
                listed(&unknown)
            ));
        }
        first.card(card);
    }
    if let Some(arm) = study.arms.first()
        && let Some(drawing) = index_figures(study, indices, &arm.label).first()
    {
        first.picture(drawing, &format!("`{}`.", arm.label), &format!("indices-of-{}", slug(&arm.label)))?;
    }
    first.full.fold("In full: a sentence an outcome", |full| {
        for arm in &study.arms {
            for row in OUTCOMES.into_iter().filter_map(|outcome| most(indices, &arm.label, outcome)) {
                full.paragraph(&format!(
                    "`{}`: over the stated ranges {} hang most on {}, total index {}.",
                    arm.label,
                    row.outcome.replace('_', " "),
                    value_name(&row.input),
                    row.estimate.text(2)
                ));
            }
        }
        Ok(())
    })?;
    Ok(first)
}

/// The input that an outcome hangs on most; `None` where its indices are unknown.
fn most<'a>(indices: &'a [IndexRow], arm: &str, outcome: &str) -> Option<&'a IndexRow> {
    let totals = indices.iter().filter(|row| row.arm == arm && row.outcome == outcome && row.index == "total");
    let known = totals.filter(|row| row.estimate.value.is_some());
    known.max_by(|a, b| a.estimate.value.partial_cmp(&b.estimate.value).expect("indices are numbers"))
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

/// The same with names of inputs as the page says them.
fn in_plain_words(mut sheet: Sheet) -> Sheet {
    for row in &mut sheet.rows {
        if let Some(Cell::Words(name)) = row.first_mut() {
            *name = value_name(name);
        }
    }
    sheet
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
                ForestRow::new(value_name(&row.input), scaled(&row.estimate, 1.0)).in_group(format!("{kind} index"))
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
        .map(|axis| format!("{} {} to {}", value_name(axis.param.name), axis.from, axis.to))
        .chain(
            plan.traits
                .iter()
                .map(|range| format!("median of {} {} to {}", value_name(range.info.name), range.from, range.to)),
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
    section
}

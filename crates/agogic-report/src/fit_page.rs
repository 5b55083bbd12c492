//! The page of one person fitted to a log.

use agogic_figures::{FigureError, Forest, ForestRow, IntervalNote, Reading};
use agogic_fit::{Fit, Goodness, TraitFit};

use crate::figures::Drawing;
use crate::first_screen::{Card, FirstScreen};
use crate::page::rendered;
use crate::section::Section;
use crate::sheet::{Cell, Column, Sheet};
use crate::words::{listed, value_name};

/// Traits that are read first.
const FIRST: [(&str, &str); 3] = [
    ("interval_ms", "median interval"),
    ("dwell_ms", "median dwell"),
    ("release_ms", "a hold's release after its target"),
];

/// The page of a fit. `notes` are what to mind, each a sentence.
///
/// # Errors
/// The data cannot be drawn.
pub fn fit_page(found: &Fit, participant: &str, notes: &[String]) -> Result<String, FigureError> {
    let mut traits = Section::new("traits", "Every trait");
    traits.figure(&figure(found))?.table(&traits_table(found), None);
    let mut laws = Section::new("laws", "Does the model fit?");
    let worst = found.goodness.iter().filter_map(|own| Some((own.law, own.distance?)));
    let worst = worst.max_by(|a, b| a.1.total_cmp(&b.1));
    let line = worst.map_or("Every law".to_owned(), |(law, distance)| {
        format!("Every law; the largest gap is {:.1} %, of {law}", 100.0 * distance)
    });
    laws.table(&laws_table(found), None).folded(&line);
    let mut assumed = Section::new("assumptions", "What is assumed");
    assumed.paragraph(&format!(
        "The person is taken as one of `{}`. Every trait is drawn towards that population, the more the less the log tells \
         of it; where the log tells nothing, the population stands in.",
        found.population
    ));
    assumed.list(notes.iter().map(String::as_str));
    let mut methods = Section::new("methods", "How it was found");
    methods.paragraph(&format!("Intervals: {} %, {}; unit: {}.", found.level * 100.0, found.method, found.unit));
    let seen = &found.evidence;
    let facts = format!(
        "{} presses, {} intervals, {} dwells, {} hold gestures, {} corrections.",
        seen.presses, seen.intervals, seen.dwells, seen.gestures, seen.corrections
    );
    let sections = [traits, laws, assumed, methods];
    let heading = format!("How {participant} types");
    Ok(rendered(("log of", participant), env!("CARGO_PKG_VERSION"), &heading, &facts, &answer(found)?, &sections))
}

fn answer(found: &Fit) -> Result<FirstScreen, FigureError> {
    let spread = |row: &&TraitFit| row.population_spread > 0.0;
    let all = found.traits.iter().filter(spread).count();
    let settled = found.traits.iter().filter(spread).filter(|row| row.observations > 0 && !row.too_short).count();
    let sentence = format!("The log settles {settled} of {all} traits; for the others `{}` speak.", found.population);
    let assumed =
        format!("the person is one of `{}`; what the log leaves open is drawn towards them.", found.population);
    let mut first = FirstScreen::new(&sentence, &assumed);
    let mut card = Card::new("", &format!("as one of `{}`", found.population));
    for (name, what) in FIRST {
        let Some(row) = found.traits.iter().find(|row| row.name == name) else { continue };
        if row.observations > 0 {
            let beside = format!("{:.0}–{:.0}, population {:.0}", row.lo, row.hi, row.population_median);
            card.number(what, row.unit, &format!("{:.0}", row.value), &beside);
        } else {
            card.number(what, row.unit, "unknown", "the log shows none");
        }
    }
    let open: Vec<String> = found
        .traits
        .iter()
        .filter(spread)
        .filter(|row| row.observations == 0 || row.too_short)
        .map(|row| value_name(row.name))
        .collect();
    match open.as_slice() {
        [] => card.fails_nobody("no trait is left to the population."),
        open if open.len() > 4 => card.fails(&format!(
            "the log is too short for {} and {} more traits.",
            open[..3].join(", "),
            open.len() - 3
        )),
        open => card.fails(&format!("the log is too short for {}.", listed(open))),
    };
    first.card(card);
    first.intervals(&format!(
        "Beside the numbers: {} % intervals, {}; unit: {}.",
        found.level * 100.0,
        found.method,
        found.unit
    ));
    first.picture(&figure(found), "Times against the median of the population, which is 1.", "traits")?;
    Ok(first)
}

/// Times over their medians in the population.
fn figure(found: &Fit) -> Drawing {
    let rows =
        found.traits.iter().filter(|row| row.unit == "ms" && row.observations > 0 && row.population_median > 0.0);
    let over = |row: &TraitFit| [row.value, row.lo, row.hi].map(|value| value / row.population_median);
    let forest = Forest {
        title: "Times of this person, over those of the population".into(),
        quantity: "over the population's median".into(),
        unit: String::new(),
        context: format!("as one of {}", found.population),
        rows: rows
            .map(|row| {
                let [value, lo, hi] = over(row);
                let name = row.name.trim_end_matches("_ms").replace('_', " ");
                ForestRow::new(name, Reading::with_interval(value, lo, hi))
            })
            .collect(),
        reference: Some(1.0),
        signed: false,
        limits: None,
        interval: IntervalNote::new(found.method, found.level, found.unit),
        simultaneous: None,
    };
    Drawing::forest("times".into(), forest)
}

/// Digits that a number deserves.
fn digits(value: f64) -> usize {
    match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 10.0 => 1,
        v if v >= 1.0 => 2,
        _ => 3,
    }
}

fn traits_table(found: &Fit) -> Sheet {
    let number = |value: f64| Cell::Number(value, digits(value));
    let row = |own: &TraitFit| {
        let (lo, hi) = (agogic_stats::fixed(own.lo, digits(own.lo)), agogic_stats::fixed(own.hi, digits(own.hi)));
        vec![
            Cell::Words(value_name(own.name)),
            Cell::Words(own.unit.to_owned()),
            number(own.value),
            Cell::Words(format!("{lo} to {hi}")),
            own.likeliest.value.map_or_else(|| Cell::Words("unknown".into()), number),
            number(own.population_median),
            Cell::Number(100.0 * own.weight, 0),
            Cell::Number(own.observations as f64, 0),
            match own.more.presses_to_halve {
                Some(more) if own.observations > 0 => Cell::Number(more as f64, 0),
                _ => Cell::Nothing,
            },
            Cell::Words(own.note.clone().unwrap_or_default()),
        ]
    };
    Sheet {
        name: "traits".into(),
        caption: "Share of the log: how much of the spread between people the log has done away with; the rest of an estimate \
                  is the population's."
            .into(),
        columns: vec![
            Column::words("trait"),
            Column::words("unit"),
            Column::numbers("estimate", ""),
            Column::words("interval"),
            Column::numbers("log alone", ""),
            Column::numbers("population", "median"),
            Column::numbers("share of the log", "%"),
            Column::numbers("seen", ""),
            Column::numbers("more to halve it", "presses"),
            Column::words("note"),
        ],
        rows: found.traits.iter().map(row).collect(),
    }
}

fn laws_table(found: &Fit) -> Sheet {
    let share = |value: Option<f64>| value.map_or(Cell::Nothing, |value| Cell::Number(100.0 * value, 1));
    let row = |own: &Goodness| {
        vec![
            Cell::Words(own.law.to_owned()),
            Cell::Number(own.n as f64, 0),
            share(own.distance),
            share(own.usual_distance),
            own.p_value.map_or(Cell::Nothing, |p| Cell::Number(p, 2)),
            Cell::Words(own.reason.clone().unwrap_or_default()),
        ]
    };
    Sheet {
        name: "laws".into(),
        caption: "Distance: the largest gap between the log and the law fitted to it (Kolmogorov–Smirnov). p is over times \
                  drawn anew from the fitted law and fitted again. A long log of a real person departs from any law: look \
                  at the size of the gap."
            .into(),
        columns: vec![
            Column::words("law of"),
            Column::numbers("seen", ""),
            Column::numbers("distance", "%"),
            Column::numbers("usual at most", "%"),
            Column::numbers("p", ""),
            Column::words("note"),
        ],
        rows: found.goodness.iter().map(row).collect(),
    }
}

//! The picture of simulated rates over those of people.

use agogic_figures::{Figure, Forest, ForestRow, IntervalNote, Reading, Width};
use agogic_literature::{Comparison, Spread, rates_of_people};
use agogic_people::{MISSED, RATE_FLOOR, SPURIOUS};

use crate::figures::FigureFileError;

/// The rates of settings, simulated over those of people, for one part of a data set.
///
/// # Errors
/// There is no such part, or the figure cannot be drawn.
pub fn people_figure(
    comparisons: &[Comparison],
    part: &str,
    typists: u64,
    seed: u64,
) -> Result<Figure, FigureFileError> {
    let mut rows = Vec::new();
    for (stem, group) in [(SPURIOUS, "false holds"), (MISSED, "missed holds")] {
        for (label, comparison, simulated) in rates_of_people(comparisons, part, stem) {
            let over = |rate: f64| simulated.max(RATE_FLOOR) / rate.max(RATE_FLOOR);
            let reading = match comparison.row.spread {
                // The interval of the people, turned over: the simulation's own error is far smaller.
                Spread::Limits(lo, hi) => Reading::with_interval(over(comparison.row.value), over(hi), over(lo)),
                _ => Reading::point(over(comparison.row.value)),
            };
            rows.push(ForestRow::new(label, reading).in_group(group));
        }
    }
    let figure = Forest {
        title: "Rates of rules, simulated over people".to_owned(),
        quantity: "simulated rate over that of people".to_owned(),
        unit: "ratio; rates below 1 per 1000 taps or 1 per 100 holds taken as 1".to_owned(),
        context: format!("{part}; {typists} simulated typists, seed {seed}"),
        rows,
        signed: false,
        reference: Some(1.0),
        limits: Some((0.5, 2.0)),
        interval: IntervalNote::new("Korn & Graubard, of the people", 0.95, "person"),
        simultaneous: None,
    };
    Ok(figure.draw(Width::TwoColumn)?)
}

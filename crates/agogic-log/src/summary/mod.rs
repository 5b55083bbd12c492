//! What a log shows: times, rates, intervals about them, and what was wrong.

mod blocks;
mod measure;
mod person;
mod plot;
mod render;

use agogic_stats::{Estimate, Level, quantile_interval};
use serde::Serialize;

pub use blocks::BLOCK_PRESSES;
pub use measure::{Measure, Quantiles};
pub use person::{LONGEST_INTERVAL_MS, PersonSummary};
pub use plot::{Histogram, Ink};

use crate::{Log, LogReport};

/// What a log shows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Summary {
    /// Each participant.
    pub people: Vec<PersonSummary>,
    /// What differs between participants; empty with fewer than two.
    pub across: Vec<Across>,
    /// What became of every row.
    pub report: LogReport,
}

/// How one quantity is spread over participants.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Across {
    /// The quantity, with its unit.
    pub quantity: &'static str,
    /// Participants for whom it is known.
    pub participants: u64,
    /// Quartile, median and quartile over participants; the intervals are over participants too.
    pub quartiles: [Estimate; 3],
}

/// Summarises a log.
///
/// # Definition
/// Intervals about one person's numbers say how far they would move with other typing of the same person
/// under the same circumstances. Their unit is the block of [`BLOCK_PRESSES`] successive presses, since
/// neighbouring presses are alike. Intervals over participants say how far they would move with other
/// people.
pub fn summarise(log: &Log, level: Level) -> Summary {
    let people: Vec<PersonSummary> = log
        .by_participant()
        .into_iter()
        .map(|(participant, sessions)| PersonSummary::of(participant, &sessions, level))
        .collect();
    let across = across(&people, level);
    Summary { people, across, report: log.report.clone() }
}

type Quantity = (&'static str, fn(&PersonSummary) -> Option<f64>);

const QUANTITIES: [Quantity; 4] = [
    ("median dwell, ms", |person| person.dwell_ms.median()),
    ("median interval, ms", |person| person.interval_ms.median()),
    ("rollover share", |person| person.rollover.value),
    ("keys a minute", |person| person.keys_per_minute.value),
];

fn across(people: &[PersonSummary], level: Level) -> Vec<Across> {
    let mut found = Vec::new();
    for (quantity, of) in QUANTITIES {
        let values: Vec<f64> = people.iter().filter_map(of).collect();
        if values.len() < 2 {
            continue;
        }
        let quartiles = [0.25, 0.5, 0.75]
            .map(|p| quantile_interval(&values, p, level, "participant").expect("values are finite and not none"));
        found.push(Across { quantity, participants: values.len() as u64, quartiles });
    }
    found
}

//! The aggregates of open logs as rows of the comparison.

use std::sync::LazyLock;

use agogic_people::{Figure, Half, MISSED, SPURIOUS, split_third};
use serde::{Deserialize, Serialize};

use super::Runs;
use crate::row::{Role, Row, Rule, Spread, Status, Width};
use crate::statistic::Statistic;

/// One part of a data set in numbers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PeopleFile {
    /// Name of the data set; part of the rule that splits its people.
    pub data_set: String,
    /// The half, or nothing where all people are in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub half: Option<Half>,
    /// People in this part.
    pub people: u64,
    /// Those with enough taps and holds to count.
    pub counted: u64,
    /// Presses of those who count.
    pub presses: u64,
    /// The figures.
    pub figures: Vec<Figure>,
}

/// What is known of a data set beside its figures.
struct DataSet {
    /// Name in the file, and citation key.
    name: &'static str,
    source: &'static str,
    runs: Runs,
    people: &'static str,
    place: &'static str,
    /// Files: what they are called in ids, the role of their rows, and what they hold.
    files: &'static [(&'static str, Role, &'static str)],
}

const DATA_SETS: &[DataSet] = &[
    DataSet {
        name: "dhakal2018-sample",
        source: "dhakal2018",
        runs: Runs::Sentences,
        people: "visitors of an online typing test who copied 15 sentences, by an open sample of the study's data",
        place: "press and release logs (non-commercial use with attribution), figures of `agogic people`",
        files: &[
            ("calibration", Role::Calibration, include_str!("../../data/people/dhakal2018-calibration.json")),
            ("held-out", Role::HeldOut, include_str!("../../data/people/dhakal2018-held-out.json")),
        ],
    },
    DataSet {
        name: "monaco2018",
        source: "monaco2018",
        runs: Runs::Whole,
        people: "students who wrote free text in six sessions",
        place: "press and release logs (research use with attribution), figures of `agogic people`",
        files: &[("whole", Role::HeldOut, include_str!("../../data/people/monaco2018.json"))],
    },
];

fn read(part: &str, text: &str) -> PeopleFile {
    serde_json::from_str(text)
        .unwrap_or_else(|refused| panic!("the file of `{part}` is no figures of people: {refused}"))
}

/// The rows of all files.
pub(crate) fn people_rows() -> &'static [Row] {
    static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| DATA_SETS.iter().flat_map(rows_of).collect());
    &ROWS
}

fn rows_of(set: &'static DataSet) -> Vec<Row> {
    let mut rows = Vec::new();
    for (part, role, text) in set.files {
        let file = read(part, text);
        assert_eq!(file.data_set, set.name, "the file of `{part}`");
        for figure in file.figures {
            // Kept for as long as the program runs: rows are constants.
            let name: &'static str = Box::leak(figure.name.clone().into_boxed_str());
            let unit: &'static str = Box::leak(figure.unit.clone().into_boxed_str());
            let id = format!("{}-people-{part}-{}", set.source, slug(name));
            rows.push(Row {
                id: Box::leak(id.into_boxed_str()),
                source: set.source,
                statistic: Statistic::People { part, name, runs: set.runs },
                definition: name,
                population: "volunteers",
                people: set.people,
                value: figure.value,
                spread: match (figure.lo, figure.hi) {
                    (Some(lo), Some(hi)) => Spread::Limits(lo, hi),
                    _ => Spread::Unknown,
                },
                n: figure.people,
                unit,
                place: set.place,
                role: *role,
                status: Status::Computed,
                rule: rule(name, set.runs),
            });
        }
    }
    rows
}

/// A name as part of an id.
fn slug(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars() {
        if c.is_ascii_alphanumeric() {
            out.push(c.to_ascii_lowercase());
        } else if !out.ends_with('-') {
            out.push('-');
        }
    }
    out.trim_end_matches('-').to_owned()
}

/// When the simulation agrees with a figure. All were fixed before the held-out people were looked at.
fn rule(name: &str, runs: Runs) -> Rule {
    const RATE: &str =
        "what a designer would act on: errors that differ by less than two fifths seldom change a choice; two fifths";
    const TIME: &str = "within-person times of people who type other texts on other keyboards; a sixth";
    let within = |width, reason| Rule::Margin { width, reason };
    let is = |stem: &str| name.starts_with(stem);
    if is(SPURIOUS) || is(MISSED) {
        return Rule::Factor { most: 1.4, reason: RATE };
    }
    if runs == Runs::Whole {
        return Rule::Descriptive { reason: "held against people for its rates; other figures are shown" };
    }
    if split_third(name).1.is_some() {
        return match name {
            _ if is("enclosed") => within(Width::Absolute(0.08), "an SD of .24 between people; a third of it"),
            _ if is("rolled pairs") => within(Width::Absolute(0.05), "as the mean of all people's, for a third"),
            _ if is("lead") || is("release") => within(Width::Relative(1.0 / 6.0), TIME),
            _ if is("letters of one") || is("doubled") => within(Width::Absolute(20.0), "a tenth of a pair's interval"),
            _ if is("corrections") => within(Width::Absolute(0.015), "a third of the published spread between people"),
            _ => Rule::Descriptive { reason: "follows from the others" },
        };
    }
    match name {
        "lead p95" | "hold dwell p95" | "lull inside a run p95" => {
            Rule::Descriptive { reason: "pauses to think, which depend on the task" }
        }
        _ if is("lead p") || is("release p") || is("hold dwell p") => within(Width::Relative(1.0 / 6.0), TIME),
        _ if is("lull inside a run p") => within(Width::Relative(0.25), "depends on what precedes capitals; a quarter"),
        _ if is("lull inside a run below") => within(Width::Absolute(0.04), "as its quantiles"),
        _ if is("tail p") => within(Width::Absolute(15.0), "two ticks of an 8 ms clock, which many logs show; 15 ms"),
        _ if is("enclosed") => within(Width::Absolute(0.05), "an SD of .24 between people; a fifth of it"),
        "rolls nested" => within(Width::Absolute(0.005), "a third of itself"),
        "rolled pairs" => within(Width::Absolute(0.03), "as the published mean of rollover"),
        _ if is("interval over") => within(Width::Relative(0.1), "hesitations; a tenth"),
        _ if is("letters of one") || is("doubled") => within(Width::Absolute(10.0), "a twentieth of a pair's interval"),
        "corrections per character left" => {
            within(Width::Absolute(0.01), "a quarter of the published spread between people")
        }
        _ if is("corrections") => within(Width::Absolute(0.0075), "as the published SD"),
        _ if is("overlap p") => within(Width::Relative(0.2), "from two to eight clock ticks; a fifth"),
        _ if is("dwell p") => within(Width::Relative(0.07), "as the published mean dwell, and a little for its shape"),
        "dwells of at least 150 ms" => within(Width::Relative(0.2), "a steep tail: 4 ms of dwell move it by a fifth"),
        _ if is("dwells of at least") => Rule::Factor { most: 1.4, reason: "a steep tail" },
        "dwell, middle spread of logs within people" => within(Width::Relative(0.1), "sets the tail; a tenth"),
        "dwell, SD between people of the log of that" => {
            within(Width::Relative(0.25), "a quarter of a spread of a spread")
        }
        _ if is("dwell of the") => within(Width::Absolute(0.04), "a tenth of the spread of the dwell within people"),
        "r(dwell, interval before) within people" => {
            within(Width::Absolute(0.03), "a relation within people that is weak itself")
        }
        _ if is("r(") => within(Width::Absolute(0.1), "as the published correlations"),
        _ if name.contains("SD between people of mean logs") => {
            within(Width::Relative(0.15), "a spread between people")
        }
        _ if name.contains("middle spread of logs within people") => {
            within(Width::Relative(0.15), "a spread within people")
        }
        _ => Rule::Descriptive { reason: "follows from the others" },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_is_the_half_it_says() {
        for (part, _, text) in DATA_SETS.iter().flat_map(|set| set.files) {
            let file = read(part, text);
            assert_eq!(file.half.map_or("whole", Half::name), *part);
            assert!(file.counted > 20 && file.figures.len() > 100, "{} of {}", file.counted, file.data_set);
        }
        let held_out: Vec<_> = people_rows().iter().filter(|row| row.role == Role::HeldOut).collect();
        assert!(held_out.iter().filter(|row| row.testable()).count() > 150);
        // What is held out shares its names with what is not, and nothing else: an id tells the part.
        assert!(held_out.iter().all(|row| row.id.contains("-held-out-") || row.id.contains("-whole-")));
    }

    #[test]
    fn names_become_ids() {
        assert_eq!(slug("false-holds: first-contact, lull 150, slow"), "false-holds-first-contact-lull-150-slow");
        assert_eq!(slug("r(log lead, log interval)"), "r-log-lead-log-interval");
    }
}

//! Song, Wagner & Tian 2001: one letter pair typed again and again.

use crate::row::{Role, Row, Rule, Spread, Status};
use crate::statistic::{Group, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "song2001",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "one typist, 142 letter pairs, each typed 30 to 40 times in isolation",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 1,
    unit: "log units",
    place: "section on the latency of pairs",
    role: Role::HeldOut,
    status: Status::Quoted,
    rule: Rule::Descriptive { reason: "one typist, pairs in isolation" },
};

pub(super) const ROWS: &[Row] = &[Row {
    id: "song2001-pair-spread",
    statistic: Statistic::PersonMean(Measure::FluentLogSd, Group::All),
    definition: "SD of about 30 ms within one letter pair, over a mean near the middle of 50 to 250 ms; as a spread of the log",
    value: 0.20,
    ..ROW
}];

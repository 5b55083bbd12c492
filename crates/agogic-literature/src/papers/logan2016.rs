//! Logan, Ulrich & Lindsey 2016: standard and nonstandard typists.

use crate::row::{Role, Row, Rule, Spread, Status};
use crate::statistic::{Group, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "logan2016",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "trained",
    people: "48 students, those who use the standard mapping of fingers to keys",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 48,
    unit: "WPM",
    place: "Results",
    role: Role::HeldOut,
    status: Status::Quoted,
    rule: Rule::Descriptive { reason: "students picked for a laboratory study; no SD was seen" },
};

pub(super) const ROWS: &[Row] = &[Row {
    id: "logan2016-standard-speed",
    statistic: Statistic::PersonMean(Measure::Speed, Group::All),
    definition: "mean speed of typists with the standard mapping",
    value: 79.99,
    ..ROW
}];

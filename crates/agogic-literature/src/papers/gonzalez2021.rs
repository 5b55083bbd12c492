//! González, Calot, Ierache & Hasperué 2021: the shape of times in free text.
//!
//! The paper ranks fourteen families; the three-parameter log-logistic comes first for hold and flight times,
//! the log-normal close, the Gaussian is rejected. The log of a log-logistic time has an excess kurtosis of 1.2,
//! that of a log-normal time of 0.

use crate::row::{Role, Row, Rule, Side, Spread, Status};
use crate::statistic::{Group, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "gonzalez2021",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "typists of three public free-text data sets",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 0,
    unit: "ratio",
    place: "abstract and highlights",
    role: Role::HeldOut,
    status: Status::Seen,
    rule: Rule::Direction { side: Side::Above },
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "gonzalez2021-interval-skew",
        statistic: Statistic::PersonMean(Measure::IntervalSkewness, Group::All),
        definition: "most timings do not follow a Gaussian law but a right-skewed one: mean over people of the skewness of the intervals; the sign",
        value: 0.0,
        ..ROW
    },
    Row {
        id: "gonzalez2021-interval-tails",
        statistic: Statistic::PersonMean(Measure::LogIntervalKurtosis, Group::All),
        definition: "log-logistic before log-normal: tails of the log interval heavier than a Gaussian's; the sign of the excess kurtosis",
        value: 0.0,
        ..ROW
    },
    Row {
        id: "gonzalez2021-dwell-tails",
        statistic: Statistic::PersonMean(Measure::LogDwellKurtosis, Group::All),
        definition: "log-logistic before log-normal: tails of the log dwell heavier than a Gaussian's; the sign of the excess kurtosis",
        value: 0.0,
        ..ROW
    },
];

//! Touch typists in Feit, Weir & Oulasvirta 2016, and what that paper quotes of earlier ones.

use super::RATIO;
use crate::row::{Role, Row, Rule, Spread, Status};
use crate::statistic::{Group, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "feit2016",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "trained",
    people: "13 touch typists typing Finnish or English sentences on one keyboard",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 13,
    unit: "ms",
    place: "Table 2",
    role: Role::HeldOut,
    status: Status::Quoted,
    rule: Rule::Descriptive {
        reason: "intervals more than 2 SD from a person's mean are left out, 4 % of them; the simulation keeps them",
    },
};
/// Another study's typists, in the paper's table of earlier results.
const EARLIER: Row = Row {
    people: "touch typists of an earlier study",
    place: "Table 1, quoting an earlier study",
    n: 0,
    unit: "ratio",
    rule: RATIO,
    ..ROW
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "feit2016-touch-speed",
        statistic: Statistic::PersonMean(Measure::Speed, Group::All),
        definition: "mean speed of the touch typists; the population was fitted to it",
        value: 57.8,
        unit: "WPM",
        place: "Results and Table 2",
        role: Role::Calibration,
        rule: Rule::Descriptive { reason: "no SD was seen, and 13 people" },
        ..ROW
    },
    Row {
        id: "feit2016-touch-interval",
        definition: "mean interval of the touch typists",
        value: 176.39,
        spread: Spread::People(44.31),
        ..ROW
    },
    Row {
        id: "feit2016-touch-interval-sd",
        statistic: Statistic::PersonSd(Measure::Interval, Group::All),
        definition: "SD between the touch typists of the mean interval; the population was fitted to it, trimmed alike",
        value: 44.31,
        spread: Spread::FromValue,
        role: Role::Calibration,
        ..ROW
    },
    Row {
        id: "feit2016-earlier-two-fingers",
        statistic: Statistic::Ratio(Measure::TwoFingers, Measure::OtherHand, Group::All),
        definition: "two fingers of one hand over two hands (194 over 155 ms); argued the population's effect, with others",
        value: 1.252,
        role: Role::Calibration,
        ..EARLIER
    },
    Row {
        id: "feit2016-earlier-same-finger",
        statistic: Statistic::Ratio(Measure::SameFinger, Measure::OtherHand, Group::All),
        definition: "one finger on two keys over two hands (223 over 155 ms); argued the population's effect",
        value: 1.439,
        role: Role::Calibration,
        ..EARLIER
    },
    Row {
        id: "feit2016-earlier-repeat",
        statistic: Statistic::Ratio(Measure::Repeat, Measure::OtherHand, Group::All),
        definition: "the same key twice over two hands (176 over 155 ms)",
        value: 1.135,
        ..EARLIER
    },
];

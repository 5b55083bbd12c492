//! Gentner and colleagues 1982 to 1983: professional typists by hand and finger.
//!
//! The class means 114, 131, 157, 185 and 192 ms are quoted without the number of a table.

use crate::row::{Role, Row, Rule, Side, Spread, Status};
use crate::statistic::{Group, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "gentner1983",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "11 typists of 60 to 110 WPM on typewriters; simulated people of the same speed",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 11,
    unit: "ms",
    place: "class means quoted in a review",
    role: Role::HeldOut,
    status: Status::Quoted,
    rule: Rule::Direction { side: Side::Above },
};
/// Simulated people as fast as the typists.
const SKILLED: Group = Group::SpeedBand { lo: 60.0, hi: 110.0 };
const SIZE: Rule = Rule::Descriptive {
    reason: "professional typists on typewriters; no spread was seen; the size shows, the sign counts",
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "gentner1983-two-fingers-slower",
        statistic: Statistic::Difference(Measure::TwoFingers, Measure::OtherHand, SKILLED),
        definition: "two fingers of one hand are slower than two hands; the sign",
        value: 0.0,
        ..ROW
    },
    Row {
        id: "gentner1983-same-finger-slowest",
        statistic: Statistic::Difference(Measure::SameFinger, Measure::Repeat, SKILLED),
        definition: "one finger on two keys is slower than the same key twice; the sign",
        value: 0.0,
        ..ROW
    },
    Row {
        id: "gentner1983-doubles-slower",
        statistic: Statistic::Difference(Measure::Repeat, Measure::TwoFingers, SKILLED),
        definition: "the same key twice is slower than two fingers of one hand; the sign, which the model was told against two hands",
        value: 0.0,
        ..ROW
    },
    Row {
        id: "gentner1983-two-fingers-ratio",
        statistic: Statistic::Ratio(Measure::TwoFingers, Measure::OtherHand, SKILLED),
        definition: "two fingers of one hand over two hands (131 over 114 ms)",
        value: 1.149,
        unit: "ratio",
        rule: SIZE,
        ..ROW
    },
    Row {
        id: "gentner1983-same-finger-ratio",
        statistic: Statistic::Ratio(Measure::SameFinger, Measure::OtherHand, SKILLED),
        definition: "one finger on two keys over two hands (188 over 114 ms); argued the model's range",
        value: 1.654,
        unit: "ratio",
        role: Role::Calibration,
        rule: SIZE,
        ..ROW
    },
    Row {
        id: "gentner1983-doubles-ratio",
        statistic: Statistic::Ratio(Measure::Repeat, Measure::OtherHand, SKILLED),
        definition: "the same key twice over two hands (157 over 114 ms)",
        value: 1.377,
        unit: "ratio",
        rule: SIZE,
        ..ROW
    },
    Row {
        id: "gentner1983-variability",
        statistic: Statistic::Correlation(Measure::IntervalLogSd, Measure::Speed),
        definition: "relative variability falls with skill; the sign, which the model was told",
        value: 0.0,
        n: 18,
        unit: "correlation",
        place: "abstract",
        role: Role::Calibration,
        status: Status::Seen,
        rule: Rule::Direction { side: Side::Below },
        ..ROW
    },
];

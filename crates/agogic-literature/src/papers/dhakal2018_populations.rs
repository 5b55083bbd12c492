//! Dhakal et al. 2018 beside the populations `slow` and `trained`.
//!
//! The slowest tenth is a population of its own here; the rows of `dhakal2018_levels` compare it with the slowest
//! tenth of `volunteers`. No group of the study is trained: values at the speed of trained people are read off
//! between the groups the paper prints.

use super::{LOCATION, RATE, SHARE, TAIL_SPREAD};
use crate::row::{Role, Row, Rule, Side, Spread, Status, Width};
use crate::statistic::{Group, Measure, Statistic};

const SLOW: Row = Row {
    id: "",
    source: "dhakal2018",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "slow",
    people: "the tenth of 168 960 visitors of an online typing test that is slowest by WPM",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 16_896,
    unit: "ms",
    place: "Table 3",
    role: Role::HeldOut,
    status: Status::Quoted,
    rule: LOCATION,
};
const TRAINED: Row = Row {
    population: "trained",
    people: "all visitors of the online typing test, at the speed of touch typists, 58 WPM",
    n: 168_960,
    status: Status::Computed,
    ..SLOW
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "dhakal2018-slow-interval",
        definition: "mean interval of the slowest tenth",
        value: 481.03,
        spread: Spread::People(123.36),
        role: Role::Calibration,
        ..SLOW
    },
    Row {
        id: "dhakal2018-slow-interval-sd",
        statistic: Statistic::PersonSd(Measure::Interval, Group::All),
        definition: "SD between people of the mean interval, slowest tenth",
        value: 123.36,
        spread: Spread::FromValue,
        role: Role::Calibration,
        rule: TAIL_SPREAD,
        ..SLOW
    },
    Row {
        id: "dhakal2018-slow-speed",
        statistic: Statistic::PersonMean(Measure::Speed, Group::All),
        definition: "mean speed of the slowest tenth",
        value: 20.91,
        spread: Spread::People(4.05),
        unit: "WPM",
        ..SLOW
    },
    Row {
        id: "dhakal2018-slow-speed-sd",
        statistic: Statistic::PersonSd(Measure::Speed, Group::All),
        definition: "SD between people of the speed, slowest tenth; chose the floor of the interval, with others",
        value: 4.05,
        spread: Spread::FromValue,
        unit: "WPM",
        role: Role::Calibration,
        rule: TAIL_SPREAD,
        ..SLOW
    },
    Row {
        id: "dhakal2018-slow-dwell",
        statistic: Statistic::PersonMean(Measure::Dwell, Group::All),
        definition: "mean dwell of the slowest tenth",
        value: 128.99,
        role: Role::Calibration,
        ..SLOW
    },
    Row {
        id: "dhakal2018-slow-rollover",
        statistic: Statistic::PersonMean(Measure::RolledPerCharacter, Group::All),
        definition: "share of presses made while the key before is down, slowest tenth",
        value: 0.076,
        unit: "share",
        rule: SHARE,
        ..SLOW
    },
    Row {
        id: "dhakal2018-slow-corrections",
        statistic: Statistic::PersonMean(Measure::Corrections, Group::All),
        definition: "presses of Backspace or Delete over all presses, slowest tenth",
        value: 0.0905,
        unit: "share",
        role: Role::Calibration,
        rule: RATE,
        ..SLOW
    },
    Row {
        id: "dhakal2018-slow-benefit",
        statistic: Statistic::Difference(Measure::SameHand, Measure::OtherHand, Group::All),
        definition: "in the slowest tenth pairs of two hands are 20 to 28 ms slower",
        value: -24.0,
        place: "p. 5 to 6",
        role: Role::Calibration,
        rule: Rule::Margin {
            width: Width::Absolute(10.0),
            reason: "the middle of the printed range; 10 ms is 2 % of the group's interval",
        },
        ..SLOW
    },
    Row {
        id: "dhakal2018-slow-repeat",
        statistic: Statistic::Difference(Measure::Repeat, Measure::OtherHand, Group::All),
        definition: "in the slowest tenth repetition is more than 150 ms faster than pairs of two hands",
        value: -150.0,
        place: "p. 5 to 6",
        rule: Rule::Direction { side: Side::Below },
        ..SLOW
    },
    Row {
        id: "dhakal2018-trained-rollover",
        statistic: Statistic::PersonMean(Measure::RolledPerCharacter, Group::All),
        definition: "share of rolled presses at 58 WPM, between 27.20 % at 56.50 and 35.75 % at 64.59 WPM; the paper \
                     finds that it does not depend on training",
        value: 0.288,
        unit: "share",
        place: "Table 4, clusters 6 and 7, on a line between them",
        rule: SHARE,
        ..TRAINED
    },
    Row {
        id: "dhakal2018-trained-dwell",
        statistic: Statistic::PersonMean(Measure::Dwell, Group::All),
        definition: "mean dwell at 58 WPM, between 116.25 ms at 51.56 and 104.49 ms at 89.56 WPM",
        value: 114.3,
        place: "Table 3, on a line between all and the fastest",
        role: Role::Calibration,
        ..TRAINED
    },
    Row {
        id: "dhakal2018-trained-corrections",
        statistic: Statistic::PersonMean(Measure::Corrections, Group::All),
        definition: "corrections over characters at 58 WPM, between 6.31 % at 51.56 and 3.40 % at 89.56 WPM",
        value: 0.058,
        unit: "share",
        place: "Table 3, on a line between all and the fastest",
        role: Role::Calibration,
        rule: RATE,
        ..TRAINED
    },
];

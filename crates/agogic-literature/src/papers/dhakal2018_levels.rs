//! Dhakal, Feit, Kristensson & Oulasvirta 2018: levels and spreads of speed, interval, dwell and rollover.

use super::{LOCATION, SHARE, SPREAD, TAIL_SPREAD};
use crate::row::{Role, Row, Rule, Side, Spread, Status, Width};
use crate::statistic::{Group, KeyMeasure, Measure, Statistic};

const FAST: Group = Group::Fastest(0.1);
const SLOW: Group = Group::Slowest(0.1);

const ROW: Row = Row {
    id: "",
    source: "dhakal2018",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "168 960 visitors of an online typing test, 15 English sentences each",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 168_960,
    unit: "ms",
    place: "Table 3",
    role: Role::HeldOut,
    status: Status::Quoted,
    rule: LOCATION,
};
const GROUP: Row = Row { n: 16_896, people: "the tenth of the participants that is slowest or fastest by WPM", ..ROW };

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "dhakal2018-interval-mean",
        definition: "mean over people of the mean press-to-press time, all keys, gaps above 5 s left out",
        value: 238.656,
        spread: Spread::People(111.60),
        place: "p. 5 and Table 3",
        role: Role::Calibration,
        ..ROW
    },
    Row {
        id: "dhakal2018-interval-sd",
        statistic: Statistic::PersonSd(Measure::Interval, Group::All),
        definition: "SD between people of the mean press-to-press time",
        value: 111.60,
        spread: Spread::FromValue,
        place: "p. 5 and Table 3",
        role: Role::Calibration,
        rule: SPREAD,
        ..ROW
    },
    Row {
        id: "dhakal2018-dwell-mean",
        statistic: Statistic::PersonMean(Measure::Dwell, Group::All),
        definition: "mean over people of the mean press-to-release time, all keys",
        value: 116.25,
        spread: Spread::People(23.88),
        role: Role::Calibration,
        ..ROW
    },
    Row {
        id: "dhakal2018-dwell-sd",
        statistic: Statistic::PersonSd(Measure::Dwell, Group::All),
        definition: "SD between people of the mean press-to-release time",
        value: 23.88,
        spread: Spread::FromValue,
        role: Role::Calibration,
        rule: SPREAD,
        ..ROW
    },
    Row {
        id: "dhakal2018-rollover-fast",
        statistic: Statistic::PersonMean(Measure::RolledPerCharacter, FAST),
        definition: "share of presses made while the key before is down, fastest tenth",
        value: 0.499,
        unit: "share",
        role: Role::Calibration,
        rule: SHARE,
        ..GROUP
    },
    Row {
        id: "dhakal2018-rollover-slow",
        statistic: Statistic::PersonMean(Measure::RolledPerCharacter, SLOW),
        definition: "share of presses made while the key before is down, slowest tenth",
        value: 0.076,
        unit: "share",
        role: Role::Calibration,
        rule: SHARE,
        ..GROUP
    },
    Row {
        id: "dhakal2018-overlap-mean",
        statistic: Statistic::PersonMean(Measure::Overlap, Group::All),
        definition: "mean time both keys are down when rolling; whether the study counts Shift was not seen, simulated without",
        value: 30.0,
        place: "p. 6 to 7",
        role: Role::Calibration,
        rule: Rule::Margin {
            width: Width::Relative(0.2),
            reason: "printed as a round number and read with a clock of 10 to 15 ms; 20 %",
        },
        ..ROW
    },
    Row {
        id: "dhakal2018-overlap-long",
        statistic: Statistic::KeyQuantile(KeyMeasure::Overlap, 0.99, Group::All),
        definition: "overlaps are up to 100 ms long; shown beside the 99th percentile of single overlaps",
        value: 100.0,
        place: "p. 6 to 7",
        rule: Rule::Descriptive { reason: "whether single presses or means of people reach 100 ms was not seen" },
        ..ROW
    },
    Row {
        id: "dhakal2018-speed-mean",
        statistic: Statistic::PersonMean(Measure::Speed, Group::All),
        definition: "mean words of five characters a minute, first to last press of a sentence",
        value: 51.56,
        spread: Spread::People(20.20),
        unit: "WPM",
        place: "p. 5 and Table 3",
        ..ROW
    },
    Row {
        id: "dhakal2018-speed-sd",
        statistic: Statistic::PersonSd(Measure::Speed, Group::All),
        definition: "SD between people of the speed",
        value: 20.20,
        spread: Spread::FromValue,
        unit: "WPM",
        place: "p. 5 and Table 3",
        rule: SPREAD,
        ..ROW
    },
    Row {
        id: "dhakal2018-speed-p10",
        statistic: Statistic::PersonQuantile(Measure::Speed, 0.1),
        definition: "speed below which the slowest tenth lies",
        value: 26.0,
        unit: "WPM",
        place: "p. 4",
        ..ROW
    },
    Row {
        id: "dhakal2018-speed-p90",
        statistic: Statistic::PersonQuantile(Measure::Speed, 0.9),
        definition: "speed above which the fastest tenth lies",
        value: 78.0,
        unit: "WPM",
        place: "p. 4",
        ..ROW
    },
    Row {
        id: "dhakal2018-speed-slow",
        statistic: Statistic::PersonMean(Measure::Speed, SLOW),
        definition: "mean speed of the slowest tenth",
        value: 20.91,
        spread: Spread::People(4.05),
        unit: "WPM",
        ..GROUP
    },
    Row {
        id: "dhakal2018-speed-fast",
        statistic: Statistic::PersonMean(Measure::Speed, FAST),
        definition: "mean speed of the fastest tenth",
        value: 89.56,
        spread: Spread::People(9.53),
        unit: "WPM",
        ..GROUP
    },
    Row {
        id: "dhakal2018-speed-slow-sd",
        statistic: Statistic::PersonSd(Measure::Speed, SLOW),
        definition: "SD between people of the speed, slowest tenth",
        value: 4.05,
        spread: Spread::FromValue,
        unit: "WPM",
        rule: TAIL_SPREAD,
        ..GROUP
    },
    Row {
        id: "dhakal2018-speed-fast-sd",
        statistic: Statistic::PersonSd(Measure::Speed, FAST),
        definition: "SD between people of the speed, fastest tenth",
        value: 9.53,
        spread: Spread::FromValue,
        unit: "WPM",
        rule: TAIL_SPREAD,
        ..GROUP
    },
    Row {
        id: "dhakal2018-interval-fast",
        statistic: Statistic::PersonMean(Measure::Interval, FAST),
        definition: "mean interval of the fastest tenth",
        value: 121.70,
        spread: Spread::People(11.96),
        ..GROUP
    },
    Row {
        id: "dhakal2018-interval-slow",
        statistic: Statistic::PersonMean(Measure::Interval, SLOW),
        definition: "mean interval of the slowest tenth",
        value: 481.03,
        spread: Spread::People(123.36),
        ..GROUP
    },
    Row {
        id: "dhakal2018-interval-fast-sd",
        statistic: Statistic::PersonSd(Measure::Interval, FAST),
        definition: "SD between people of the mean interval, fastest tenth",
        value: 11.96,
        spread: Spread::FromValue,
        rule: TAIL_SPREAD,
        ..GROUP
    },
    Row {
        id: "dhakal2018-interval-slow-sd",
        statistic: Statistic::PersonSd(Measure::Interval, SLOW),
        definition: "SD between people of the mean interval, slowest tenth",
        value: 123.36,
        spread: Spread::FromValue,
        rule: TAIL_SPREAD,
        ..GROUP
    },
    Row {
        id: "dhakal2018-dwell-fast",
        statistic: Statistic::PersonMean(Measure::Dwell, FAST),
        definition: "mean dwell of the fastest tenth",
        value: 104.49,
        ..GROUP
    },
    Row {
        id: "dhakal2018-dwell-slow",
        statistic: Statistic::PersonMean(Measure::Dwell, SLOW),
        definition: "mean dwell of the slowest tenth",
        value: 128.99,
        role: Role::Calibration,
        ..GROUP
    },
    Row {
        id: "dhakal2018-rollover-mean",
        statistic: Statistic::PersonMean(Measure::RolledPerCharacter, Group::All),
        definition: "mean over people of the share of presses made while the key before is down",
        value: 0.25,
        spread: Spread::People(0.17),
        unit: "share",
        place: "p. 5 to 7 and Table 3",
        rule: SHARE,
        role: Role::Calibration,
        ..ROW
    },
    Row {
        id: "dhakal2018-rollover-sd",
        statistic: Statistic::PersonSd(Measure::RolledPerCharacter, Group::All),
        definition: "SD between people of the rollover share",
        value: 0.17,
        spread: Spread::FromValue,
        unit: "share",
        place: "p. 5 to 7 and Table 3",
        rule: Rule::Descriptive {
            reason: "recomputed by this definition an open sample of the study has .18, with an error of .004: the paper leaves \
                     out people whom the sample holds",
        },
        role: Role::Calibration,
        ..ROW
    },
    Row {
        id: "dhakal2018-rollover-fast-most",
        statistic: Statistic::PersonShare { measure: Measure::RolledPerCharacter, group: FAST, lo: 0.4, hi: 0.7 },
        definition: "the majority of fast typists roll 40 to 70 % of their presses: the share of them above one half",
        value: 0.5,
        unit: "share",
        place: "p. 6 to 7",
        rule: Rule::Direction { side: Side::Above },
        ..GROUP
    },
];

//! Klein: letter pairs of people who report nine or ten fingers, computed on the data of Dhakal et al. 2018.

use crate::row::{Role, Row, Rule, Spread, Status, Width};
use crate::statistic::{Group, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "klein",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "trained",
    people: "participants of Dhakal et al. 2018 with QWERTY, nine or ten fingers and less than 1.167 % errors; four in ten took a course",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 69062,
    unit: "WPM",
    place: "README of the analysis, filtered participants",
    role: Role::HeldOut,
    status: Status::Computed,
    rule: LEVEL,
};

/// Nine or ten fingers by self-report is not the same as trained.
const LEVEL: Rule = Rule::Margin {
    width: Width::Relative(0.10),
    reason: "nine or ten fingers by self-report and few errors is close to touch typing, not the same; 10 %",
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "klein-letter-pair",
        statistic: Statistic::PersonMean(Measure::LetterPair, Group::All),
        definition: "mean interval of correctly typed letter pairs inside words, 30 ms to 3 s; pooled over pairs, of which people typed about equally many",
        value: 172.2,
        n: 61_603,
        unit: "ms",
        place: "README of the analysis, correct bigrams",
        rule: LEVEL,
        ..ROW
    },
    Row {
        id: "klein-speed",
        statistic: Statistic::PersonMean(Measure::Speed, Group::All),
        definition: "mean speed of the filtered participants",
        value: 58.1,
        spread: Spread::People(20.0),
        n: 69_062,
        rule: LEVEL,
        ..ROW
    },
    Row {
        id: "klein-speed-sd",
        statistic: Statistic::PersonSd(Measure::Speed, Group::All),
        definition: "SD between people of the speed",
        value: 20.0,
        spread: Spread::FromValue,
        n: 69_062,
        rule: LEVEL,
        ..ROW
    },
];

//! Dhakal et al. 2018: errors and corrections.

use super::{CORRELATION, RATE, SPREAD};
use crate::row::{Role, Row, Rule, Spread, Status};
use crate::statistic::{Group, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "dhakal2018",
    statistic: Statistic::PersonMean(Measure::Corrections, Group::All),
    definition: "",
    population: "volunteers",
    people: "168 960 visitors of an online typing test with at most 25 % errors",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 168_960,
    unit: "share",
    place: "Table 3",
    role: Role::HeldOut,
    status: Status::Quoted,
    rule: RATE,
};
const R: Row = Row { unit: "correlation", place: "p. 5 to 6", spread: Spread::FromValue, rule: CORRELATION, ..ROW };
const KINDS: Row = Row {
    people: "783 participants nearest the centres of eight clusters",
    n: 783,
    unit: "share of characters",
    place: "p. 9",
    ..ROW
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "dhakal2018-corrections",
        statistic: Statistic::PersonMean(Measure::Corrections, Group::All),
        definition: "presses of Backspace or Delete over characters typed: the released data name the column Error Corrections per \
                     Character, and recomputed on an open sample it is .064 per character, .052 per press",
        value: 0.0631,
        spread: Spread::People(0.0448),
        role: Role::Calibration,
        ..ROW
    },
    Row {
        id: "dhakal2018-corrections-sd",
        statistic: Statistic::PersonSd(Measure::Corrections, Group::All),
        definition: "SD between people of the corrections per character",
        value: 0.0448,
        spread: Spread::FromValue,
        rule: Rule::Descriptive {
            reason: "recomputed by this definition an open sample of the study has .049, with an error of .001: the paper leaves \
                     out people whom the sample holds",
        },
        ..ROW
    },
    Row {
        id: "dhakal2018-corrections-fast",
        statistic: Statistic::PersonMean(Measure::Corrections, Group::Fastest(0.1)),
        definition: "corrections per character, fastest tenth",
        value: 0.0340,
        n: 16_896,
        ..ROW
    },
    Row {
        id: "dhakal2018-corrections-slow",
        statistic: Statistic::PersonMean(Measure::Corrections, Group::Slowest(0.1)),
        definition: "corrections per character, slowest tenth",
        value: 0.0905,
        n: 16_896,
        ..ROW
    },
    Row {
        id: "dhakal2018-uncorrected",
        statistic: Statistic::PersonMean(Measure::Uncorrected, Group::All),
        definition: "edit distance of the text left standing over its characters",
        value: 0.01167,
        spread: Spread::People(0.0143),
        place: "p. 5 and Table 3",
        role: Role::Calibration,
        ..ROW
    },
    Row {
        id: "dhakal2018-uncorrected-sd",
        statistic: Statistic::PersonSd(Measure::Uncorrected, Group::All),
        definition: "SD between people of the uncorrected errors",
        value: 0.0143,
        spread: Spread::FromValue,
        rule: SPREAD,
        ..ROW
    },
    Row {
        id: "dhakal2018-kspc",
        statistic: Statistic::PersonMean(Measure::KeystrokesPerCharacter, Group::All),
        definition: "presses over characters left standing",
        value: 1.173,
        spread: Spread::People(0.094),
        rule: super::LOCATION,
        unit: "ratio",
        ..ROW
    },
    Row {
        id: "dhakal2018-kspc-sd",
        statistic: Statistic::PersonSd(Measure::KeystrokesPerCharacter, Group::All),
        definition: "SD between people of the presses per character",
        value: 0.094,
        spread: Spread::FromValue,
        rule: SPREAD,
        unit: "ratio",
        ..ROW
    },
    Row {
        id: "dhakal2018-substitutions",
        statistic: Statistic::PersonMean(Measure::Substitutions, Group::All),
        definition: "characters replaced by another, corrected ones included",
        value: 0.0165,
        role: Role::Calibration,
        ..KINDS
    },
    Row {
        id: "dhakal2018-omissions",
        statistic: Statistic::PersonMean(Measure::Omissions, Group::All),
        definition: "characters left out, corrected ones included",
        value: 0.0080,
        role: Role::Calibration,
        ..KINDS
    },
    Row {
        id: "dhakal2018-insertions",
        statistic: Statistic::PersonMean(Measure::Insertions, Group::All),
        definition: "characters too many, corrected ones included",
        value: 0.0067,
        role: Role::Calibration,
        ..KINDS
    },
    Row {
        id: "dhakal2018-r-uncorrected-speed",
        statistic: Statistic::Correlation(Measure::Uncorrected, Measure::Speed),
        definition: "correlation over people of speed and uncorrected errors",
        value: -0.21,
        ..R
    },
    Row {
        id: "dhakal2018-r-corrections-speed",
        statistic: Statistic::Correlation(Measure::Corrections, Measure::Speed),
        definition: "correlation over people of speed and corrections per character",
        value: -0.36,
        role: Role::Calibration,
        ..R
    },
    Row {
        id: "dhakal2018-r-kspc-speed",
        statistic: Statistic::Correlation(Measure::KeystrokesPerCharacter, Measure::Speed),
        definition: "correlation over people of speed and presses per character",
        value: -0.40,
        ..R
    },
];

//! Dias, Vitorino, Maia, Sousa & Praça 2023 (KeyRecs): dwell, interval and rollover in transcription.
//!
//! Values computed from third-party summaries of the open data; times above 10 s were dropped there. Persons
//! whose dwell has an SD of 80 ms or more have missed releases and are left out of the dwell rows.

use super::{RATIO, SAMPLING, TAIL};
use crate::row::{Role, Row, Rule, Spread, Status, Width};
use crate::statistic::{Group, KeyMeasure, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "dias2023",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "99 people of several nationalities transcribing text in a browser, two sessions",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 99,
    unit: "ms",
    place: "open data, summaries by person",
    role: Role::HeldOut,
    status: Status::Computed,
    rule: SAMPLING,
};
const CLEAN: Row = Row { people: "the 62 of 99 people whose dwell has an SD below 80 ms", n: 62, ..ROW };
const BAND: Row = Row {
    unit: "share",
    rule: Rule::Margin {
        width: Width::Absolute(0.05),
        reason: "two standard errors of the fastest band, if its SD is the 14 points of all people",
    },
    ..ROW
};
const POOLED: Row =
    Row { unit: "ratio", place: "open data, summary of letters, space and punctuation", rule: RATIO, ..ROW };

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "dias2023-dwell-mean",
        statistic: Statistic::PersonMean(Measure::Dwell, Group::All),
        definition: "mean over people of the mean dwell",
        value: 97.0,
        spread: Spread::People(20.3),
        ..CLEAN
    },
    Row {
        id: "dias2023-dwell-sd",
        statistic: Statistic::PersonSd(Measure::Dwell, Group::All),
        definition: "SD between people of the mean dwell",
        value: 20.3,
        spread: Spread::FromValue,
        ..CLEAN
    },
    Row {
        id: "dias2023-dwell-cv",
        statistic: Statistic::PersonQuantile(Measure::DwellCv, 0.5),
        definition: "median over people of SD over mean of the dwell; SD between people from the 5th and 95th percentile (0.244, 0.639)",
        value: 0.383,
        spread: Spread::People(0.120),
        unit: "ratio",
        role: Role::Calibration,
        rule: Rule::Descriptive {
            reason: "a thousand people of another open log have .26, and their rates of errors hang on it: their dwells set \
                     the model",
        },
        ..CLEAN
    },
    Row {
        id: "dias2023-interval-cv",
        statistic: Statistic::PersonQuantile(Measure::IntervalCv, 0.5),
        definition: "median over people of SD over mean of the intervals up to 10 s; SD between people from the 5th and 95th percentile (0.77, 1.31)",
        value: 0.99,
        spread: Spread::People(0.164),
        unit: "ratio",
        ..CLEAN
    },
    Row {
        id: "dias2023-r-dwell-rollover",
        statistic: Statistic::Correlation(Measure::Dwell, Measure::Rollover),
        definition: "correlation over people of mean dwell and rollover share",
        value: 0.71,
        spread: Spread::FromValue,
        unit: "correlation",
        ..CLEAN
    },
    Row {
        id: "dias2023-r-dwell-interval",
        statistic: Statistic::Correlation(Measure::Dwell, Measure::Interval),
        definition: "correlation over people of mean dwell and mean interval",
        value: -0.26,
        spread: Spread::FromValue,
        unit: "correlation",
        ..CLEAN
    },
    Row {
        id: "dias2023-dwell-over-interval",
        statistic: Statistic::PersonQuantile(Measure::DwellOverInterval, 0.5),
        definition: "median over people of mean dwell over median interval",
        value: 0.54,
        unit: "ratio",
        rule: Rule::Descriptive { reason: "a level of speed in another sample depends on who was recruited" },
        ..CLEAN
    },
    Row {
        id: "dias2023-r-speed-rollover",
        statistic: Statistic::Correlation(Measure::MedianSpeed, Measure::Rollover),
        definition: "correlation over people of 12 s over the median interval and rollover share",
        value: 0.67,
        spread: Spread::FromValue,
        unit: "correlation",
        ..ROW
    },
    Row {
        id: "dias2023-interval-median",
        statistic: Statistic::PersonQuantile(Measure::MedianSpeed, 0.5),
        definition: "median over people of 12 000 over the median interval of 169 ms",
        value: 71.0,
        unit: "WPM",
        rule: Rule::Descriptive { reason: "a level of speed in another sample depends on who was recruited" },
        ..ROW
    },
    Row {
        id: "dias2023-rollover-below-60",
        statistic: Statistic::PersonMean(Measure::Rollover, Group::MedianSpeedBand { lo: 0.0, hi: 60.0 }),
        definition: "mean rollover share of people with a median speed below 60",
        value: 0.059,
        n: 24,
        ..BAND
    },
    Row {
        id: "dias2023-rollover-60-to-80",
        statistic: Statistic::PersonMean(Measure::Rollover, Group::MedianSpeedBand { lo: 60.0, hi: 80.0 }),
        definition: "mean rollover share of people with a median speed from 60 to 80",
        value: 0.138,
        n: 49,
        ..BAND
    },
    Row {
        id: "dias2023-rollover-from-80",
        statistic: Statistic::PersonMean(Measure::Rollover, Group::MedianSpeedBand { lo: 80.0, hi: f64::INFINITY }),
        definition: "mean rollover share of people with a median speed of 80 or more",
        value: 0.306,
        n: 26,
        ..BAND
    },
    Row {
        id: "dias2023-interval-p25",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::CharacterInterval, 0.25),
            under: (KeyMeasure::CharacterInterval, 0.5),
            group: Group::All,
        },
        definition: "lower quartile over median of single intervals (120 over 174 ms)",
        value: 0.690,
        ..POOLED
    },
    Row {
        id: "dias2023-interval-p75",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::CharacterInterval, 0.75),
            under: (KeyMeasure::CharacterInterval, 0.5),
            group: Group::All,
        },
        definition: "upper quartile over median of single intervals (266 over 174 ms)",
        value: 1.529,
        ..POOLED
    },
    Row {
        id: "dias2023-interval-p90",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::CharacterInterval, 0.9),
            under: (KeyMeasure::CharacterInterval, 0.5),
            group: Group::All,
        },
        definition: "90th percentile over median of single intervals, all keys, untrimmed (528 over 174 ms)",
        value: 3.034,
        rule: TAIL,
        ..POOLED
    },
    Row {
        id: "dias2023-key-dwell-p25",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::CharacterDwell, 0.25),
            under: (KeyMeasure::CharacterDwell, 0.5),
            group: Group::All,
        },
        definition: "lower quartile over median of single dwells (73 over 91 ms)",
        value: 0.802,
        ..POOLED
    },
    Row {
        id: "dias2023-key-dwell-p75",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::CharacterDwell, 0.75),
            under: (KeyMeasure::CharacterDwell, 0.5),
            group: Group::All,
        },
        definition: "upper quartile over median of single dwells (117 over 91 ms)",
        value: 1.286,
        ..POOLED
    },
    Row {
        id: "dias2023-letter-to-space",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::LetterSpace, 0.5),
            under: (KeyMeasure::LetterLetter, 0.5),
            group: Group::All,
        },
        definition: "median interval from a letter to Space over that from letter to letter (155 over 157 ms)",
        value: 0.987,
        ..POOLED
    },
    Row {
        id: "dias2023-space-to-letter",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::SpaceLetter, 0.5),
            under: (KeyMeasure::LetterLetter, 0.5),
            group: Group::All,
        },
        definition: "median interval from Space to a letter over that from letter to letter (241 over 157 ms)",
        value: 1.535,
        role: Role::Calibration,
        ..POOLED
    },
    Row {
        id: "dias2023-space-dwell",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::SpaceDwell, 0.5),
            under: (KeyMeasure::CharacterDwell, 0.5),
            group: Group::All,
        },
        definition: "median dwell of Space over that of all (91 over 91 ms); the model's thumb was set by it",
        value: 1.0,
        role: Role::Calibration,
        ..POOLED
    },
    Row {
        id: "dias2023-left-dwell",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::LeftDwell, 0.5),
            under: (KeyMeasure::RightDwell, 0.5),
            group: Group::All,
        },
        definition: "dwell of the letters of the left hand over the right (96 over 87 ms, medians over keys of key medians)",
        value: 1.103,
        rule: Rule::Margin {
            width: Width::Relative(0.05),
            reason: "a ratio of dwells of the same people; 5 % covers pooling by key or by press",
        },
        role: Role::Calibration,
        ..POOLED
    },
    Row {
        id: "dias2023-corrections",
        statistic: Statistic::PersonMean(Measure::Corrections, Group::All),
        definition: "presses of Backspace over all presses, pooled",
        value: 0.067,
        unit: "share",
        rule: super::RATE,
        ..ROW
    },
    Row {
        id: "dias2023-hold-dwell",
        statistic: Statistic::KeyQuantile(KeyMeasure::HoldDwell, 0.5, Group::All),
        definition: "dwell of Shift, weighted mean of medians by pair",
        value: 298.0,
        role: Role::HeldOut,
        rule: Rule::Descriptive { reason: "the pairs around Shift are in an order that a keyboard does not give" },
        ..ROW
    },
];

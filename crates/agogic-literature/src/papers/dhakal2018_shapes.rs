//! Dhakal et al. 2018: shapes over people, correlations between people, and quantiles of the open data.

use super::{CORRELATION, LOCATION, MOMENT};
use crate::row::{Role, Row, Rule, Spread, Status, Width};
use crate::statistic::{Group, KeyMeasure, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "dhakal2018",
    statistic: Statistic::PersonSkewness(Measure::Interval),
    definition: "",
    population: "volunteers",
    people: "168 960 visitors of an online typing test, 15 English sentences each",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 168_960,
    unit: "ratio",
    place: "p. 5",
    role: Role::HeldOut,
    status: Status::Quoted,
    rule: MOMENT,
};
const R: Row = Row { unit: "correlation", place: "Table 3", spread: Spread::FromValue, rule: CORRELATION, ..ROW };
const OPEN: Row = Row {
    people: "the 168 594 participants of the released data",
    n: 168_594,
    unit: "ms",
    place: "released participant file, mean interval of each person",
    role: Role::Calibration,
    status: Status::Computed,
    rule: LOCATION,
    ..ROW
};
const SIX: Row = Row {
    people: "six participants of the released data, chosen at random",
    n: 6,
    unit: "ms",
    place: "released key logs",
    role: Role::Calibration,
    status: Status::Computed,
    rule: Rule::Descriptive { reason: "six people: their own medians range from 128 to 271 ms" },
    ..ROW
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "dhakal2018-interval-skewness",
        definition: "skewness over people of the mean interval (not of single intervals)",
        value: 1.98,
        ..ROW
    },
    Row {
        id: "dhakal2018-interval-kurtosis",
        statistic: Statistic::PersonKurtosis(Measure::Interval),
        definition: "excess kurtosis over people of the mean interval",
        value: 7.1,
        ..ROW
    },
    Row {
        id: "dhakal2018-dwell-skewness",
        statistic: Statistic::PersonSkewness(Measure::Dwell),
        definition: "skewness over people of the mean dwell",
        value: 0.8,
        rule: Rule::Descriptive {
            reason: "measures the cut, not people: recomputed on an open sample it is 1.0 with dwells up to 5 s and 0.4 with \
                     dwells up to 2 s",
        },
        ..ROW
    },
    Row {
        id: "dhakal2018-dwell-kurtosis",
        statistic: Statistic::PersonKurtosis(Measure::Dwell),
        definition: "excess kurtosis over people of the mean dwell",
        value: 2.36,
        rule: Rule::Descriptive {
            reason: "measures the cut, not people: recomputed on an open sample it is 4.1 with dwells up to 5 s and 0.4 \
                     with dwells up to 2 s",
        },
        ..ROW
    },
    Row {
        id: "dhakal2018-speed-skewness",
        statistic: Statistic::PersonSkewness(Measure::Speed),
        definition: "skewness over people of the speed",
        value: 0.513,
        rule: Rule::Margin {
            width: Width::Absolute(0.2),
            reason: "a slight skewness, for which a relative margin would be narrower than the choice of sentences; 0.2",
        },
        ..ROW
    },
    Row {
        id: "dhakal2018-speed-kurtosis",
        statistic: Statistic::PersonKurtosis(Measure::Speed),
        definition: "excess kurtosis over people of the speed",
        value: -0.11,
        rule: Rule::Margin {
            width: Width::Absolute(0.4),
            reason: "close to zero, so a relative margin has no meaning",
        },
        ..ROW
    },
    Row {
        id: "dhakal2018-r-interval-speed",
        statistic: Statistic::Correlation(Measure::Interval, Measure::Speed),
        definition: "correlation over people of mean interval and speed",
        value: -0.84,
        ..R
    },
    Row {
        id: "dhakal2018-r-rollover-speed",
        statistic: Statistic::Correlation(Measure::RolledPerCharacter, Measure::Speed),
        definition: "correlation over people of rollover share and speed",
        value: 0.73,
        ..R
    },
    Row {
        id: "dhakal2018-r-dwell-speed",
        statistic: Statistic::Correlation(Measure::Dwell, Measure::Speed),
        definition: "correlation over people of mean dwell and speed; the model's correlation of dwell and interval was \
                     set by it",
        value: -0.29,
        role: Role::Calibration,
        ..R
    },
    Row {
        id: "dhakal2018-interval-p10",
        statistic: Statistic::PersonQuantile(Measure::Interval, 0.1),
        definition: "10th percentile over people of the mean interval",
        value: 133.8,
        ..OPEN
    },
    Row {
        id: "dhakal2018-interval-p50",
        statistic: Statistic::PersonQuantile(Measure::Interval, 0.5),
        definition: "median over people of the mean interval",
        value: 208.8,
        ..OPEN
    },
    Row {
        id: "dhakal2018-interval-p90",
        statistic: Statistic::PersonQuantile(Measure::Interval, 0.9),
        definition: "90th percentile over people of the mean interval",
        value: 381.0,
        ..OPEN
    },
    Row {
        id: "dhakal2018-interval-p99",
        statistic: Statistic::PersonQuantile(Measure::Interval, 0.99),
        definition: "99th percentile over people of the mean interval",
        value: 630.0,
        ..OPEN
    },
    Row {
        id: "dhakal2018-key-interval-p50",
        statistic: Statistic::KeyQuantile(KeyMeasure::Interval, 0.5, Group::All),
        definition: "median of 4 173 single intervals",
        value: 171.0,
        ..SIX
    },
    Row {
        id: "dhakal2018-key-interval-p95",
        statistic: Statistic::KeyQuantile(KeyMeasure::Interval, 0.95, Group::All),
        definition: "95th percentile of 4 173 single intervals",
        value: 553.0,
        ..SIX
    },
    Row {
        id: "dhakal2018-key-dwell-p50",
        statistic: Statistic::KeyQuantile(KeyMeasure::Dwell, 0.5, Group::All),
        definition: "median of 4 263 single dwells",
        value: 103.0,
        ..SIX
    },
    Row {
        id: "dhakal2018-key-dwell-p90",
        statistic: Statistic::KeyQuantile(KeyMeasure::Dwell, 0.9, Group::All),
        definition: "90th percentile of 4 263 single dwells",
        value: 176.0,
        ..SIX
    },
    Row {
        id: "dhakal2018-key-dwell-p99",
        statistic: Statistic::KeyQuantile(KeyMeasure::Dwell, 0.99, Group::All),
        definition: "99th percentile of 4 263 single dwells, Shift included",
        value: 328.0,
        ..SIX
    },
];

//! Feit, Weir & Oulasvirta 2016 (How We Type): everyday typists in the laboratory.

use super::TAIL;
use crate::row::{Role, Row, Spread, Status};
use crate::statistic::{Group, KeyMeasure, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "feit2016",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "30 typists from 34 to 79 WPM typing Finnish or English sentences on one keyboard",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 30,
    unit: "ratio",
    place: "open data, single intervals on a clock of about 31 ms",
    role: Role::HeldOut,
    status: Status::Computed,
    rule: TAIL,
};
const BAND: Group = Group::SpeedBand { lo: 34.0, hi: 79.0 };

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "feit2016-interval-p10",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::Interval, 0.1),
            under: (KeyMeasure::Interval, 0.5),
            group: BAND,
        },
        definition: "10th percentile over median of single intervals (92 over 155 ms); simulated for the same range of speed",
        value: 0.594,
        ..ROW
    },
    Row {
        id: "feit2016-interval-p90",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::Interval, 0.9),
            under: (KeyMeasure::Interval, 0.5),
            group: BAND,
        },
        definition: "90th percentile over median of single intervals (342 over 155 ms); simulated for the same range of speed",
        value: 2.206,
        ..ROW
    },
    Row {
        id: "feit2016-interval-p99",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::Interval, 0.99),
            under: (KeyMeasure::Interval, 0.5),
            group: BAND,
        },
        definition: "99th percentile over median of single intervals (842 over 155 ms); simulated for the same range of speed",
        value: 5.432,
        ..ROW
    },
];

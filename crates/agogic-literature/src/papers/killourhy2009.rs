//! Killourhy & Maxion 2009: a password typed 400 times by each of 51 people.

use super::TAIL;
use crate::row::{Role, Row, Rule, Spread, Status};
use crate::statistic::{Group, KeyMeasure, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "killourhy2009",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "51 people typing one password 400 times",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 51,
    unit: "ms",
    place: "open data, pooled",
    role: Role::HeldOut,
    status: Status::Computed,
    rule: TAIL,
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "killourhy2009-dwell-p90",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::CharacterDwell, 0.9),
            under: (KeyMeasure::CharacterDwell, 0.5),
            group: Group::All,
        },
        definition: "90th percentile over median of single dwells (128.6 over 86.1 ms)",
        value: 1.494,
        unit: "ratio",
        ..ROW
    },
    Row {
        id: "killourhy2009-dwell-p50",
        statistic: Statistic::KeyQuantile(KeyMeasure::CharacterDwell, 0.5, Group::All),
        definition: "median of single dwells",
        value: 86.1,
        rule: Rule::Descriptive { reason: "a practised password on one laboratory keyboard" },
        ..ROW
    },
    Row {
        id: "killourhy2009-rollover",
        statistic: Statistic::PersonMean(Measure::Rollover, Group::All),
        definition: "share of presses made while the key before is down",
        value: 0.108,
        unit: "share",
        rule: Rule::Descriptive { reason: "a practised password with a digit and a capital is not text" },
        ..ROW
    },
];

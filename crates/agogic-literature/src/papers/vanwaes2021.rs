//! Van Waes, Leijten, Roeser, Olive & Grabowski 2021: a copy task.

use super::TAIL;
use crate::row::{Role, Row, Rule, Side, Spread, Status};
use crate::statistic::{Group, KeyMeasure, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "vanwaes2021",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "1 662 writers, most of them students, copying a sentence in their language",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 1662,
    unit: "ratio",
    place: "open data, single intervals untrimmed",
    role: Role::HeldOut,
    status: Status::Computed,
    rule: TAIL,
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "vanwaes2021-sentence-p90",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::LetterLetter, 0.9),
            under: (KeyMeasure::LetterLetter, 0.5),
            group: Group::All,
        },
        definition: "90th percentile over median of single intervals in a sentence (226 over 136 ms); simulated inside words",
        value: 1.662,
        ..ROW
    },
    Row {
        id: "vanwaes2021-sentence-p99",
        statistic: Statistic::KeyQuantileRatio {
            over: (KeyMeasure::LetterLetter, 0.99),
            under: (KeyMeasure::LetterLetter, 0.5),
            group: Group::All,
        },
        definition: "99th percentile over median of single intervals in a sentence (816 over 136 ms); simulated inside words",
        value: 6.0,
        ..ROW
    },
    Row {
        id: "vanwaes2021-sentence-p50",
        statistic: Statistic::KeyQuantile(KeyMeasure::LetterLetter, 0.5, Group::All),
        definition: "median of single intervals in a sentence",
        value: 136.0,
        unit: "ms",
        rule: Rule::Descriptive { reason: "a level of speed in another sample depends on who was recruited" },
        ..ROW
    },
    Row {
        id: "vanwaes2021-rare-pairs",
        statistic: Statistic::PersonMean(Measure::RarePairs, Group::All),
        definition: "letter pairs of low frequency are slower than those of high frequency (fluent component 251 against 166 ms); the sign",
        value: 0.0,
        n: 500,
        unit: "ms",
        place: "mixture table of the authors' manuscript",
        status: Status::Seen,
        rule: Rule::Direction { side: Side::Above },
        ..ROW
    },
];

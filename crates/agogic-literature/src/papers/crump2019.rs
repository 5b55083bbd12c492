//! Crump, Lai & Brosowsky 2019: intervals by place in the word and by the uncertainty of the letter.

use super::RATIO;
use crate::row::{Role, Row, Rule, Side, Spread, Status};
use crate::statistic::{Group, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "crump2019",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "346 paid online workers in the USA copying simple-English paragraphs; correct lower-case letters after a correct one, outliers trimmed",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 346,
    unit: "ms",
    place: "Results, authors' manuscript",
    role: Role::HeldOut,
    status: Status::Seen,
    rule: RATIO,
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "crump2019-first-letter",
        statistic: Statistic::PersonMean(Measure::PlaceInWord { place: 1, shortest: 2, longest: 9 }, Group::All),
        definition: "mean interval before the first letter of a word, 2 to 9 letters",
        value: 229.0,
        role: Role::Calibration,
        rule: Rule::Descriptive { reason: "a level of speed in another sample depends on who was recruited" },
        ..ROW
    },
    Row {
        id: "crump2019-second-letter",
        statistic: Statistic::PersonMean(Measure::PlaceInWord { place: 2, shortest: 2, longest: 9 }, Group::All),
        definition: "mean interval before the second letter",
        value: 147.0,
        role: Role::Calibration,
        rule: Rule::Descriptive { reason: "a level of speed in another sample depends on who was recruited" },
        ..ROW
    },
    Row {
        id: "crump2019-first-over-second",
        statistic: Statistic::Ratio(
            Measure::PlaceInWord { place: 1, shortest: 2, longest: 9 },
            Measure::PlaceInWord { place: 2, shortest: 2, longest: 9 },
            Group::All,
        ),
        definition: "first letter over second letter",
        value: 1.558,
        unit: "ratio",
        role: Role::Calibration,
        ..ROW
    },
    Row {
        id: "crump2019-middle-over-second",
        statistic: Statistic::MiddleOfWord,
        definition: "slowest place from the third letter on over the second letter, words of five letters or more (176 over 156 ms)",
        value: 1.128,
        unit: "ratio",
        role: Role::Calibration,
        ..ROW
    },
    Row {
        id: "crump2019-first-by-length",
        statistic: Statistic::Difference(
            Measure::PlaceInWord { place: 1, shortest: 7, longest: 9 },
            Measure::PlaceInWord { place: 1, shortest: 2, longest: 4 },
            Group::All,
        ),
        definition: "the first letter is slower in longer words, up to eight letters (F(7, 2415) = 110): interval in words of 7 to 9 letters less that of 2 to 4; the sign",
        value: 0.0,
        rule: Rule::Direction { side: Side::Above },
        role: Role::Calibration,
        ..ROW
    },
    Row {
        id: "crump2019-entropy-slope",
        statistic: Statistic::PersonMean(Measure::EntropySlope, Group::All),
        definition: "slope of the group's mean interval on the uncertainty of the letter given the one before, over 45 cells of place and length",
        value: 34.31,
        n: 45,
        unit: "ms/bit",
        rule: RATIO,
        ..ROW
    },
];

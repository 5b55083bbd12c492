//! Dhakal et al. 2018: letter pairs by hand and finger.

use super::LOCATION;
use crate::row::{Role, Row, Rule, Side, Spread, Status, Width};
use crate::statistic::{Group, Measure, Statistic};

const FAST: Group = Group::Fastest(0.1);
const SLOW: Group = Group::Slowest(0.1);

const ROW: Row = Row {
    id: "",
    source: "dhakal2018",
    statistic: Statistic::PersonMean(Measure::OtherHand, Group::All),
    definition: "",
    population: "volunteers",
    people: "168 960 visitors of an online typing test; frequent letter pairs, none after a space",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 168_960,
    unit: "ms",
    place: "Table 3",
    role: Role::Calibration,
    status: Status::Quoted,
    rule: LOCATION,
};
const HELD: Row = Row { role: Role::HeldOut, place: "p. 6 to 7", ..ROW };

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "dhakal2018-pair-other-hand",
        definition: "mean interval of letter pairs of two hands",
        value: 198.26,
        ..ROW
    },
    Row {
        id: "dhakal2018-pair-left",
        statistic: Statistic::PersonMean(Measure::LeftHand, Group::All),
        definition: "mean interval of letter pairs of the left hand",
        value: 215.23,
        ..ROW
    },
    Row {
        id: "dhakal2018-pair-right",
        statistic: Statistic::PersonMean(Measure::RightHand, Group::All),
        definition: "mean interval of letter pairs of the right hand",
        value: 203.60,
        ..ROW
    },
    Row {
        id: "dhakal2018-pair-repeat",
        statistic: Statistic::PersonMean(Measure::Repeat, Group::All),
        definition: "mean interval of the same letter twice",
        value: 176.36,
        ..ROW
    },
    Row {
        id: "dhakal2018-pair-benefit",
        statistic: Statistic::Difference(Measure::SameHand, Measure::OtherHand, Group::All),
        definition: "mean of the two one-hand columns less the two-hand column of Table 3",
        value: 11.16,
        rule: Rule::Margin { width: Width::Absolute(5.0), reason: "the text of the paper gives 9 to 19 ms; 5 ms" },
        ..ROW
    },
    Row {
        id: "dhakal2018-pair-left-slower",
        statistic: Statistic::Difference(Measure::LeftHand, Measure::RightHand, Group::All),
        definition: "left-hand pairs are slower than right-hand pairs (by 11.63 ms in Table 3); the sign",
        value: 0.0,
        rule: Rule::Direction { side: Side::Above },
        role: Role::Calibration,
        ..HELD
    },
    Row {
        id: "dhakal2018-pair-benefit-slow",
        statistic: Statistic::Difference(Measure::SameHand, Measure::OtherHand, SLOW),
        definition: "in the slowest tenth pairs of two hands are 20 to 28 ms slower; the model knows the sign, not the \
                     size",
        value: -24.0,
        rule: Rule::Descriptive {
            reason: "the paper's pairs are not these: recomputed by this definition the slowest tenth of an open sample \
                     of the study has -0.6 ms",
        },
        ..HELD
    },
    Row {
        id: "dhakal2018-pair-repeat-fast",
        statistic: Statistic::Difference(Measure::Repeat, Measure::OtherHand, FAST),
        definition: "in the fastest tenth repetition is 20 to 40 ms slower than pairs of two hands",
        value: 30.0,
        rule: Rule::Margin { width: Width::Absolute(10.0), reason: "the printed range" },
        ..HELD
    },
    Row {
        id: "dhakal2018-pair-repeat-slow",
        statistic: Statistic::Difference(Measure::Repeat, Measure::OtherHand, SLOW),
        definition: "in the slowest tenth repetition is more than 150 ms faster than pairs of two hands",
        value: -150.0,
        rule: Rule::Direction { side: Side::Below },
        ..HELD
    },
    Row {
        id: "dhakal2018-r-other-hand-speed",
        statistic: Statistic::Correlation(Measure::OtherHand, Measure::Speed),
        definition: "correlation over people of speed and the interval of pairs of two hands, printed as about -0.7",
        value: -0.7,
        spread: Spread::FromValue,
        unit: "correlation",
        rule: Rule::Descriptive {
            reason: "the paper's pairs are not these: recomputed by this definition an open sample of the study has -0.78",
        },
        ..HELD
    },
    Row {
        id: "dhakal2018-r-same-hand-speed",
        statistic: Statistic::Correlation(Measure::SameHand, Measure::Speed),
        definition: "correlation over people of speed and the interval of pairs of one hand, printed as about -0.7",
        value: -0.7,
        spread: Spread::FromValue,
        unit: "correlation",
        rule: Rule::Descriptive {
            reason: "the paper's pairs are not these: recomputed by this definition an open sample of the study has -0.78",
        },
        ..HELD
    },
    Row {
        id: "dhakal2018-r-repeat-speed",
        statistic: Statistic::Correlation(Measure::Repeat, Measure::Speed),
        definition: "correlation over people of speed and the interval of repetitions",
        value: -0.32,
        spread: Spread::FromValue,
        unit: "correlation",
        rule: Rule::Descriptive {
            reason: "the paper's pairs are not these: recomputed by this definition an open sample of the study has -0.43",
        },
        ..HELD
    },
];

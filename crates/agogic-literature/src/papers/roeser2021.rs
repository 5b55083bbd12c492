//! Roeser, De Maeyer, Leijten & Van Waes 2021: typing as a mixture of fluent and hesitant intervals.

use super::RATIO;
use crate::row::{Role, Row, Rule, Spread, Status, Width};
use crate::statistic::{Group, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "roeser2021",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "250 Dutch speakers of 18 to 25 years copying a short phrase",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 250,
    unit: "log units",
    place: "Table 3",
    role: Role::HeldOut,
    status: Status::Seen,
    rule: RATIO,
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "roeser2021-fluent-spread",
        statistic: Statistic::PersonMean(Measure::FluentLogSd, Group::All),
        definition: "spread of the log interval in the fluent component, person and letter pair taken out; the model's spread was set by it",
        value: 0.29,
        spread: Spread::Limits(0.27, 0.30),
        role: Role::Calibration,
        ..ROW
    },
    Row {
        id: "roeser2021-fluent-lag-one",
        statistic: Statistic::PersonMean(Measure::FluentLagOne, Group::All),
        definition: "autoregression of the log interval within the fluent component, person and letter pair taken out; simulated without intervals above twice the person's median",
        value: 0.0,
        spread: Spread::Limits(-0.02, 0.02),
        unit: "correlation",
        rule: Rule::Margin {
            width: Width::Absolute(0.05),
            reason: "the fluent component is cut off, not estimated, in the simulation; 0.05 covers that",
        },
        role: Role::Calibration,
        ..ROW
    },
];

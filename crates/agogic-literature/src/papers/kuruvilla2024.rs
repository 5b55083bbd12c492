//! Kuruvilla, Daley & Kumar 2024: hold gestures on a dedicated Shift key.
//!
//! Reference ranges computed for this project from the public logs, not a published table. They served to set the
//! gestures of the model until larger logs showed these people to be unlike most. Now they are shown beside the
//! model and test nothing.

use crate::row::{Role, Row, Rule, Spread, Status};
use crate::statistic::{Group, KeyMeasure, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "kuruvilla2024",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "18 people with at least 15 Shift gestures each, writing posts; 2 271 gestures",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 18,
    unit: "ms",
    place: "public press and release logs",
    role: Role::Calibration,
    status: Status::Computed,
    rule: TARGET,
};
/// These people let Shift go last twice as often as the thousand of another open log (rows `dhakal2018-people-*`), and
/// served to set the gestures before those were found.
const TARGET: Rule =
    Rule::Descriptive { reason: "18 people, the outliers of four open logs: gestures are set by a thousand others" };
const COMPOSING: Rule = Rule::Descriptive { reason: "people composing posts pause to think; copying people do not" };

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "kuruvilla2024-lead-p5",
        statistic: Statistic::KeyQuantile(KeyMeasure::Lead, 0.05, Group::All),
        definition: "Shift press to target press, 5th percentile",
        value: 66.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-lead-p25",
        statistic: Statistic::KeyQuantile(KeyMeasure::Lead, 0.25, Group::All),
        definition: "Shift press to target press, lower quartile",
        value: 108.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-lead-p50",
        statistic: Statistic::KeyQuantile(KeyMeasure::Lead, 0.50, Group::All),
        definition: "Shift press to target press, median",
        value: 158.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-lead-p75",
        statistic: Statistic::KeyQuantile(KeyMeasure::Lead, 0.75, Group::All),
        definition: "Shift press to target press, upper quartile",
        value: 244.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-lead-p95",
        statistic: Statistic::KeyQuantile(KeyMeasure::Lead, 0.95, Group::All),
        definition: "Shift press to target press, 95th percentile",
        value: 633.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-hold-p5",
        statistic: Statistic::KeyQuantile(KeyMeasure::HoldDwell, 0.05, Group::All),
        definition: "dwell of Shift, 5th percentile",
        value: 155.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-hold-p25",
        statistic: Statistic::KeyQuantile(KeyMeasure::HoldDwell, 0.25, Group::All),
        definition: "dwell of Shift, lower quartile",
        value: 201.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-hold-p50",
        statistic: Statistic::KeyQuantile(KeyMeasure::HoldDwell, 0.50, Group::All),
        definition: "dwell of Shift, median",
        value: 269.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-hold-p75",
        statistic: Statistic::KeyQuantile(KeyMeasure::HoldDwell, 0.75, Group::All),
        definition: "dwell of Shift, upper quartile",
        value: 403.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-tail-p5",
        statistic: Statistic::KeyQuantile(KeyMeasure::Tail, 0.05, Group::All),
        definition: "target release to Shift release, negative when Shift is let go first, 5th percentile",
        value: -69.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-tail-p25",
        statistic: Statistic::KeyQuantile(KeyMeasure::Tail, 0.25, Group::All),
        definition: "target release to Shift release, negative when Shift is let go first, lower quartile",
        value: -24.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-tail-p50",
        statistic: Statistic::KeyQuantile(KeyMeasure::Tail, 0.50, Group::All),
        definition: "target release to Shift release, negative when Shift is let go first, median",
        value: 13.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-tail-p75",
        statistic: Statistic::KeyQuantile(KeyMeasure::Tail, 0.75, Group::All),
        definition: "target release to Shift release, negative when Shift is let go first, upper quartile",
        value: 48.0,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-enclosed",
        statistic: Statistic::PersonMean(Measure::Enclosed, Group::All),
        definition: "share of gestures whose target is released before Shift, mean over people",
        value: 0.61,
        spread: Spread::People(0.22),
        unit: "share",
        ..ROW
    },
    Row {
        id: "kuruvilla2024-enclosed-sd",
        statistic: Statistic::PersonSd(Measure::Enclosed, Group::All),
        definition: "SD between people of that share",
        value: 0.22,
        spread: Spread::FromValue,
        unit: "share",
        ..ROW
    },
    Row {
        id: "kuruvilla2024-lead-person",
        statistic: Statistic::PersonMean(Measure::Lead, Group::All),
        definition: "mean over people of the median lead",
        value: 176.0,
        spread: Spread::People(53.0),
        ..ROW
    },
    Row {
        id: "kuruvilla2024-lull-p25",
        statistic: Statistic::KeyQuantile(KeyMeasure::Lull, 0.25, Group::All),
        definition: "press before to Shift press, lower quartile",
        value: 170.0,
        rule: COMPOSING,
        ..ROW
    },
    Row {
        id: "kuruvilla2024-lull-p50",
        statistic: Statistic::KeyQuantile(KeyMeasure::Lull, 0.5, Group::All),
        definition: "press before to Shift press, median",
        value: 304.0,
        rule: COMPOSING,
        ..ROW
    },
];

//! Stockner, Mazzoni & Ianì 2025: letter pairs of Italian students.

use crate::row::{Role, Row, Rule, Spread, Status};
use crate::statistic::{Group, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "stockner2025",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "Italian university students typing letter pairs",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 0,
    unit: "ms",
    place: "abstract",
    role: Role::HeldOut,
    status: Status::Seen,
    rule: Rule::Descriptive {
        reason: "contradicts Dhakal et al. 2018 on the sign; pairs in isolation, another language, no size printed in the abstract",
    },
};

pub(super) const ROWS: &[Row] = &[Row {
    id: "stockner2025-same-hand",
    statistic: Statistic::Difference(Measure::SameHand, Measure::OtherHand, Group::All),
    definition: "letter pairs of one hand were typed faster than pairs of two hands; the threshold of the sign",
    value: 0.0,
    ..ROW
}];

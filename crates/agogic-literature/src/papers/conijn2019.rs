//! Conijn, Van Waes & Van Zaanen 2019: what is corrected in a copy task.
//!
//! Shares of kinds among 5 030 corrections. They bear on the mix of kinds of slip, once the model makes them.

use crate::row::{Role, Row, Rule, Spread, Status};
use crate::statistic::{Group, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "conijn2019",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "1 717 participants of a Dutch copy task, 5 030 corrections",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 1717,
    unit: "ratio",
    place: "conference abstract",
    role: Role::HeldOut,
    status: Status::Seen,
    rule: Rule::Descriptive { reason: "kinds of correction, not of slip: late-noticed omissions are undercounted" },
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "conijn2019-insertion-per-substitution",
        statistic: Statistic::Ratio(Measure::Insertions, Measure::Substitutions, Group::All),
        definition: "single insertions over single substitutions among corrections (4 over 59 %)",
        value: 0.068,
        ..ROW
    },
    Row {
        id: "conijn2019-omission-per-substitution",
        statistic: Statistic::Ratio(Measure::Omissions, Measure::Substitutions, Group::All),
        definition: "single deletions over single substitutions among corrections (1 over 59 %)",
        value: 0.017,
        ..ROW
    },
];

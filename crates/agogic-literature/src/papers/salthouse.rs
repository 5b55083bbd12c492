//! Salthouse 1984 and 1986: typewriter-era studies and review.

use crate::row::{Role, Row, Rule, Side, Spread, Status};
use crate::statistic::{Group, Measure, Statistic};

const ROW: Row = Row {
    id: "",
    source: "salthouse1984",
    statistic: Statistic::PersonMean(Measure::Interval, Group::All),
    definition: "",
    population: "volunteers",
    people: "experienced typists on typewriters",
    value: f64::NAN,
    spread: Spread::Unknown,
    n: 0,
    unit: "ms",
    place: "summary of the paper",
    role: Role::HeldOut,
    status: Status::Quoted,
    rule: Rule::Descriptive {
        reason: "typewriters; the range of several studies, against 9 to 19 ms in Dhakal et al. 2018",
    },
};

pub(super) const ROWS: &[Row] = &[
    Row {
        id: "salthouse1984-other-hand",
        statistic: Statistic::Difference(Measure::SameHand, Measure::OtherHand, Group::All),
        definition: "letters of two hands follow each other 30 to 60 ms faster than letters of one; middle of the range",
        value: 45.0,
        ..ROW
    },
    Row {
        id: "salthouse1984-speed",
        statistic: Statistic::PersonMean(Measure::Speed, Group::All),
        definition: "net speed of experienced typists",
        value: 60.0,
        spread: Spread::People(15.0),
        unit: "WPM",
        place: "quoted in a textbook exercise, rounded",
        population: "trained",
        rule: Rule::Descriptive { reason: "rounded figures of a textbook; how many people was not seen" },
        ..ROW
    },
    Row {
        id: "salthouse1984-rare-pairs",
        statistic: Statistic::PersonMean(Measure::RarePairs, Group::All),
        definition: "rare letter pairs are slower than frequent ones; the sign",
        value: 0.0,
        rule: Rule::Direction { side: Side::Above },
        role: Role::Calibration,
        ..ROW
    },
    Row {
        id: "salthouse1986-first-letter",
        source: "salthouse1986",
        statistic: Statistic::Ratio(
            Measure::PlaceInWord { place: 1, shortest: 2, longest: 9 },
            Measure::PlaceInWord { place: 2, shortest: 2, longest: 9 },
            Group::All,
        ),
        definition: "the first letter of a word takes about 20 % longer than later ones",
        value: 1.2,
        unit: "ratio",
        place: "list of phenomena",
        status: Status::FromMemory,
        rule: Rule::Descriptive { reason: "from memory" },
        ..ROW
    },
];

//! Lines of the CSV files of a run that are read back: one struct for writer and reader.

use agogic_score::{KindRow, TargetClass};
use serde::{Deserialize, Serialize, Serializer};

use agogic_keys::Span;
use agogic_lab::{ArmResult, Floor, hand_rows};
use agogic_sim::FileError;
use agogic_study::Study;

use crate::csv_text::csv_records;

/// How often one outcome happened with one key: a line of `kinds.csv`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KindRecord {
    /// Label of the arm.
    pub arm: String,
    /// Label of the policy.
    pub policy: String,
    /// What went wrong.
    pub outcome: String,
    /// The modifier.
    pub modifier: String,
    /// The key.
    pub key: String,
    /// What kind of key it is.
    pub key_class: String,
    /// How often, over all typists.
    pub count: u64,
}

impl KindRecord {
    const COLUMNS: [&str; 7] = ["arm", "policy", "outcome", "modifier", "key", "key_class", "count"];

    fn of(arm: &str, policy: &str, row: KindRow) -> Self {
        let class = serde_json::to_value(TargetClass::of(row.key)).expect("a name");
        Self {
            arm: arm.to_owned(),
            policy: policy.to_owned(),
            outcome: row.outcome.name().to_owned(),
            modifier: row.modifier.name().to_owned(),
            key: row.key.name().to_owned(),
            key_class: class.as_str().unwrap_or_default().to_owned(),
            count: row.count,
        }
    }
}

/// `kinds.csv`: wrong outcomes of all typists by arm, policy, outcome, modifier and key.
pub(crate) fn kinds_csv(study: &Study, arms: &[ArmResult]) -> Result<Vec<u8>, FileError> {
    let lines = arms.iter().flat_map(|arm| {
        study.policies.iter().zip(&arm.kinds).flat_map(move |(policy, kinds)| {
            kinds.rows().filter(|row| row.count > 0).map(move |row| KindRecord::of(&arm.label, policy, row))
        })
    });
    csv_records(&KindRecord::COLUMNS, lines, "kinds.csv")
}

/// One corner of the floor of an ideal observer: a line of `floor.csv`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FloorRecord {
    /// Label of the arm.
    pub arm: String,
    /// Latest decision; `None` for no limit.
    #[serde(serialize_with = "plain_if_known")]
    pub deadline_ms: Option<f64>,
    /// Log odds of a hold from which the observer says hold, in nats.
    #[serde(serialize_with = "plain")]
    pub threshold_nats: f64,
    /// False holds.
    #[serde(serialize_with = "plain")]
    pub false_holds_per_1000_taps: f64,
    /// Missed holds.
    #[serde(serialize_with = "plain")]
    pub missed_holds_per_100_holds: f64,
}

impl FloorRecord {
    const COLUMNS: [&str; 5] =
        ["arm", "deadline_ms", "threshold_nats", "false_holds_per_1000_taps", "missed_holds_per_100_holds"];

    /// The corners of the floors of each arm, in their order; none for an arm without a floor.
    pub fn all<'a>(arms: impl IntoIterator<Item = (&'a str, Option<&'a Floor>)>) -> Vec<Self> {
        let curves = arms
            .into_iter()
            .flat_map(|(arm, floor)| floor.into_iter().flat_map(move |f| f.curves.iter().map(move |c| (arm, c))));
        let corners = curves.flat_map(|(arm, curve)| {
            curve.points().iter().map(move |point| Self {
                arm: arm.to_owned(),
                deadline_ms: curve.deadline.map(Span::ms),
                threshold_nats: point.threshold_nats,
                false_holds_per_1000_taps: 1000.0 * point.false_rate,
                missed_holds_per_100_holds: 100.0 * point.missed_rate,
            })
        });
        corners.collect()
    }
}

/// `floor.csv`: the corners of the floors by arm and deadline; an empty deadline means none.
pub(crate) fn floor_csv(corners: &[FloorRecord]) -> Result<Vec<u8>, FileError> {
    csv_records(&FloorRecord::COLUMNS, corners.iter(), "floor.csv")
}

/// One number on the hands: a line of `hands.csv`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HandRecord {
    /// Name of the assignment.
    pub assignment: String,
    /// What is counted.
    pub what: String,
    /// The number.
    #[serde(serialize_with = "plain")]
    pub value: f64,
    /// Its unit.
    pub unit: String,
}

impl HandRecord {
    const COLUMNS: [&str; 4] = ["assignment", "what", "value", "unit"];
}

/// Names of the fingers in the order of [`HandLoad`](agogic_keys::HandLoad).
const FINGERS: [&str; 11] = [
    "left little",
    "left ring",
    "left middle",
    "left index",
    "left thumb",
    "right little",
    "right ring",
    "right middle",
    "right index",
    "right thumb",
    "either thumb",
];

/// `hands.csv`: for each assignment the load of each finger per 1000 keys, and the reach of the shortcuts.
pub(crate) fn hands_csv(study: &Study) -> Result<Vec<u8>, FileError> {
    let mut lines = Vec::new();
    for row in hand_rows(study) {
        let mut write = |what: String, value: f64, unit: &str| {
            lines.push(HandRecord { assignment: row.assignment.clone(), what, value, unit: unit.to_owned() });
        };
        for (finger, load) in FINGERS.iter().zip(row.load.fingers) {
            write(format!("{finger}: presses"), load.presses, "per 1000 keys");
            write(format!("{finger}: holds"), load.holds, "per 1000 keys");
            write(format!("{finger}: key down"), load.held_s, "s per 1000 keys, from assumed dwells");
        }
        let Some(reach) = row.reach else { continue };
        write("shortcuts held with the hand that presses the target".into(), reach.same_hand, "share by weight");
        write("shortcuts that need one finger twice".into(), reach.same_finger, "share by weight");
        write("shortcuts the left hand can make alone".into(), reach.left_alone, "share by weight");
        write("shortcuts the right hand can make alone".into(), reach.right_alone, "share by weight");
        write("way of the fingers to a shortcut".into(), reach.travel_keys, "key widths");
        if let Some(stretch) = reach.stretch_keys {
            write("spread or fold of a hand that makes one alone".into(), stretch, "key widths");
        }
    }
    csv_records(&HandRecord::COLUMNS, lines.iter(), "hands.csv")
}

/// A number as Rust prints it, `1` rather than `1.0`: as in all other CSV files.
fn plain<S: Serializer>(value: &f64, to: S) -> Result<S::Ok, S::Error> {
    to.collect_str(value)
}

fn plain_if_known<S: Serializer>(value: &Option<f64>, to: S) -> Result<S::Ok, S::Error> {
    match value {
        Some(value) => to.serialize_some(&value.to_string()),
        None => to.serialize_none(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_come_back_as_they_went_and_numbers_are_plain() {
        let corner = |deadline_ms, threshold_nats| FloorRecord {
            arm: "slow, on \"thumbs\"".into(),
            deadline_ms,
            threshold_nats,
            false_holds_per_1000_taps: 1.0,
            missed_holds_per_100_holds: 0.1 + 0.2,
        };
        let corners = [corner(None, f64::NEG_INFINITY), corner(Some(40.0), 1e-20)];
        let text = String::from_utf8(floor_csv(&corners).unwrap()).unwrap();
        let last = text.lines().last().unwrap();
        assert_eq!(last, "\"slow, on \"\"thumbs\"\"\",40,0.00000000000000000001,1,0.30000000000000004");
        let read: Vec<FloorRecord> =
            csv::Reader::from_reader(text.as_bytes()).deserialize().collect::<Result<_, _>>().unwrap();
        assert_eq!(read, corners);
        // A file without lines has its head all the same.
        assert_eq!(floor_csv(&[]).unwrap(), format!("{}\n", FloorRecord::COLUMNS.join(",")).into_bytes());
        let hand = HandRecord { assignment: "a".into(), what: "b".into(), value: 2.0, unit: "c".into() };
        assert_eq!(
            csv_records(&HandRecord::COLUMNS, [hand].iter(), "f").unwrap(),
            b"assignment,what,value,unit\na,b,2,c\n"
        );
    }
}

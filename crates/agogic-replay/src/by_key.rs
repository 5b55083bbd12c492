//! Where a policy errs: by key and by finger.

use std::collections::BTreeMap;

use agogic_keys::{Board, Code};
use serde::Serialize;

use crate::course::{Course, Meant};

/// Presses of one key, or of one finger, under one policy.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct PartRow {
    /// Label of the policy.
    pub policy: String,
    /// The key, or the finger.
    pub part: String,
    /// Presses.
    pub presses: u64,
    /// Presses that the policy decides as holds.
    pub decided_holds: u64,
    /// Presses meant as taps.
    pub taps: u64,
    /// Of these, decided as holds.
    pub false_holds: u64,
    /// Presses meant as holds.
    pub holds: u64,
    /// Of these, decided as taps.
    pub missed_holds: u64,
}

/// By key and by finger, policy by policy; parts in the order of their names. A key off the board has no finger.
pub(crate) fn by_part(courses: &[Course], labels: &[String], board: &Board) -> (Vec<PartRow>, Vec<PartRow>) {
    let key = |code: Code| Some(code.name().to_owned());
    let finger = |code: Code| board.place(code).map(|place| place.finger_in_words());
    let of = |name: &dyn Fn(Code) -> Option<String>| {
        let mut rows = Vec::new();
        for (policy, label) in labels.iter().enumerate() {
            let mut parts: BTreeMap<String, PartRow> = BTreeMap::new();
            for course in courses {
                for (at, code) in course.codes.iter().enumerate() {
                    let Some(part) = name(*code) else { continue };
                    let row = parts.entry(part.clone()).or_insert_with(|| PartRow {
                        policy: label.clone(),
                        part,
                        ..PartRow::default()
                    });
                    row.add(course.meant[at], course.holds[policy][at]);
                }
            }
            rows.extend(parts.into_values());
        }
        rows
    };
    (of(&key), of(&finger))
}

impl PartRow {
    fn add(&mut self, meant: Meant, hold: bool) {
        self.presses += 1;
        self.decided_holds += u64::from(hold);
        match meant {
            Meant::Tap => {
                self.taps += 1;
                self.false_holds += u64::from(hold);
            }
            Meant::Hold => {
                self.holds += 1;
                self.missed_holds += u64::from(!hold);
            }
            Meant::Unstated => {}
        }
    }
}

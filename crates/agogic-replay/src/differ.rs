//! How often two policies decide differently.

use agogic_stats::Estimate;
use serde::Serialize;

use crate::course::Course;
use crate::interval::Ground;

/// How two policies differ on a log. No intent is needed for that.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Differ {
    /// Label of the first policy.
    pub first: String,
    /// Label of the second.
    pub second: String,
    /// Taps of the first that the second makes holds.
    pub tap_to_hold: u64,
    /// Holds of the first that the second makes taps.
    pub hold_to_tap: u64,
    /// Presses on which they differ, per 100 presses of dual-role keys.
    pub per_100: Estimate,
}

impl Differ {
    pub(crate) fn of(courses: &[Course], first: usize, second: usize, labels: &[String], ground: Ground) -> Self {
        let (mut tap_to_hold, mut hold_to_tap) = (0, 0);
        let mut series = Vec::with_capacity(courses.len());
        for course in courses {
            let pairs = course.holds[first].iter().zip(&course.holds[second]);
            series.push(
                pairs
                    .map(|(one, other)| {
                        tap_to_hold += u64::from(!one && *other);
                        hold_to_tap += u64::from(*one && !other);
                        f64::from(u8::from(one != other))
                    })
                    .collect::<Vec<f64>>(),
            );
        }
        // Addresses of pairs lie above those of rows.
        let address = 1 << 32 | (first as u64) << 16 | second as u64;
        Self {
            first: labels[first].clone(),
            second: labels[second].clone(),
            tap_to_hold,
            hold_to_tap,
            per_100: ground.mean(&series, true, 100.0, address),
        }
    }
}

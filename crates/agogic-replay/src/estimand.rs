//! What is asked of a policy on a log.

use serde::Serialize;

use crate::course::{Course, Meant};

/// A mean over presses of dual-role keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Estimand {
    /// Taps decided as holds.
    FalseHolds,
    /// Holds decided as taps.
    MissedHolds,
    /// Presses decided otherwise than they were meant.
    WrongDecisions,
    /// Presses decided as holds, whatever was meant.
    DecidedHolds,
    /// Time from press to decision.
    Delay,
    /// Presses decided more than 100 ms after they went down.
    LateDecisions,
}

/// Every estimand, in the order of a report.
pub const ESTIMANDS: [Estimand; 6] = [
    Estimand::FalseHolds,
    Estimand::MissedHolds,
    Estimand::WrongDecisions,
    Estimand::DecidedHolds,
    Estimand::Delay,
    Estimand::LateDecisions,
];

/// A delay that people may notice while they type; the studies count the same one.
const LATE_US: u32 = 100_000;

impl Estimand {
    /// The name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::FalseHolds => "false-holds",
            Self::MissedHolds => "missed-holds",
            Self::WrongDecisions => "wrong-decisions",
            Self::DecidedHolds => "decided-holds",
            Self::Delay => "delay",
            Self::LateDecisions => "late-decisions",
        }
    }

    /// The unit.
    pub fn unit(self) -> &'static str {
        match self {
            Self::FalseHolds => "per 1000 taps",
            Self::MissedHolds => "per 100 holds",
            Self::WrongDecisions => "per 1000 presses of dual-role keys with a stated intent",
            Self::DecidedHolds | Self::LateDecisions => "per 100 presses of dual-role keys",
            Self::Delay => "ms",
        }
    }

    /// Whether it is a share of presses.
    pub fn is_share(self) -> bool {
        self != Self::Delay
    }

    /// Whether it needs to be known what was meant.
    pub fn needs_intent(self) -> bool {
        matches!(self, Self::FalseHolds | Self::MissedHolds | Self::WrongDecisions)
    }

    /// Why it cannot be judged in a log without the presses that it is about.
    pub(crate) fn nothing(self) -> &'static str {
        match self {
            Self::FalseHolds => "no press of a dual-role key is stated to be meant as a tap",
            Self::MissedHolds => "no press of a dual-role key is stated to be meant as a hold",
            Self::WrongDecisions => "no press of a dual-role key states what was meant",
            Self::DecidedHolds | Self::Delay | Self::LateDecisions => "the log has no press of a dual-role key",
        }
    }

    /// From a mean to the unit.
    pub(crate) fn scale(self) -> f64 {
        match self {
            Self::FalseHolds | Self::WrongDecisions => 1000.0,
            Self::MissedHolds | Self::DecidedHolds | Self::LateDecisions => 100.0,
            Self::Delay => 1.0,
        }
    }

    /// The series of one participant under one policy: one value for each press that the estimand is about,
    /// in the order of time.
    pub fn series(self, course: &Course, policy: usize) -> Vec<f64> {
        let flag = |yes: bool| f64::from(u8::from(yes));
        let (holds, after) = (&course.holds[policy], &course.after_us[policy]);
        let each = course.meant.iter().zip(holds).zip(after);
        each.filter_map(|((meant, hold), after)| match (self, meant) {
            (Self::FalseHolds, Meant::Tap) => Some(flag(*hold)),
            (Self::MissedHolds, Meant::Hold) => Some(flag(!hold)),
            (Self::WrongDecisions, Meant::Tap) => Some(flag(*hold)),
            (Self::WrongDecisions, Meant::Hold) => Some(flag(!hold)),
            (Self::DecidedHolds, _) => Some(flag(*hold)),
            (Self::Delay, _) => Some(f64::from(*after) / 1e3),
            (Self::LateDecisions, _) => Some(flag(*after > LATE_US)),
            _ => None,
        })
        .collect()
    }
}

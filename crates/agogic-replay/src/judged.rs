//! What a log lets one judge, and what it does not.

use serde::Serialize;

use crate::course::{Course, Meant};

/// An outcome, and whether this log lets one judge it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Judged {
    /// The outcome.
    pub outcome: &'static str,
    /// Presses it is judged on; 0 where it cannot be.
    pub presses: u64,
    /// Why it cannot be judged, or on what it rests.
    pub because: String,
}

impl Judged {
    /// Every outcome that a study has, for this log.
    pub(crate) fn all(courses: &[Course]) -> Vec<Self> {
        let count = |meant| courses.iter().map(|course| course.count(meant)).sum::<u64>();
        let (taps, holds, unstated) = (count(Meant::Tap), count(Meant::Hold), count(Meant::Unstated));
        let presses = taps + holds + unstated;
        let of_events = |outcome| Self {
            outcome,
            presses,
            because: if presses > 0 { "needs the events alone" } else { "the log has no press of a dual-role key" }
                .to_owned(),
        };
        let of_intents = |outcome, presses: u64, meant: &str| Self {
            outcome,
            presses,
            because: match (presses, unstated) {
                (0, _) => format!("no press of a dual-role key is stated to be meant as {meant}"),
                (_, 0) => "every press of a dual-role key states what was meant".to_owned(),
                _ => format!("{unstated} presses of dual-role keys without a stated intent are left out"),
            },
        };
        let beyond = |outcome, because: &str| Self { outcome, presses: 0, because: because.to_owned() };
        vec![
            of_events("delay of decisions"),
            of_events("share decided as holds"),
            of_events("disagreement between policies"),
            of_intents("false holds", taps, "a tap"),
            of_intents("missed holds", holds, "a hold"),
            of_intents("wrong decisions", taps + holds, "anything"),
            beyond(
                "wrong keys, harm and text errors",
                "they need the intent of every key under every hold; a log states one target for a hold",
            ),
            beyond(
                "what people do once keys have two roles",
                "they adapt to a keyboard; a log of ordinary typing does not show how",
            ),
        ]
    }
}

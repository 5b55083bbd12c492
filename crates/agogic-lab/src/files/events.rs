//! Synthetic event logs.

use std::path::Path;

use agogic_keys::TextPlan;
use agogic_log::{Intent, SessionLog};
use agogic_typist::{Performer, Session, SessionAddress, Typist};

use super::{FileError, LogSink};
use crate::study::{Arm, Study};

/// Writes the key events of the first `typists` typists of an arm, as [`LogSink`] does. Each begins with a sentence, as who is
/// prompted with sentences does; sessions of a study are cut out of the text anywhere.
///
/// # Shape
/// Times are those of the session clock. With `intents`, presses of dual-role keys say `tap` or `hold`, and
/// holds name the key that they were meant for; other keys say nothing.
///
/// # Errors
/// The disk refuses. The file appears only when it is complete.
pub fn write_events(study: &Study, arm: &Arm, typists: u64, intents: bool, out: &Path) -> Result<u64, FileError> {
    let mut sink = LogSink::new(out)?;
    let performer = Performer::new(&arm.board, &arm.assignment);
    let plan = TextPlan::clone(&arm.plan).with_sentence_starts();
    for number in 0..typists {
        let typist = Typist::draw(&arm.population, study.seed, number);
        let mut session = performer.perform(
            &typist,
            &plan,
            &arm.workload,
            SessionAddress { seed: study.seed, replicate: 0 },
            arm.keys,
        );
        arm.clock.show(&mut session, number, SessionAddress { seed: study.seed, replicate: 0 });
        let log = SessionLog {
            participant: format!("synthetic-{number}"),
            session: "1".to_owned(),
            part: 0,
            intents: if intents { stated(arm, &session) } else { vec![None; session.presses.len()] },
            presses: session.presses,
            breaks: Vec::new(),
        };
        sink.add(&log)?;
    }
    sink.finish()
}

/// What was meant by presses of dual-role keys.
fn stated(arm: &Arm, session: &Session) -> Vec<Option<Intent>> {
    let intent = |(i, press): (usize, &agogic_keys::Press)| {
        arm.assignment.modifier(press.code)?;
        let truth = session.truths[i];
        Some(match (truth.hold, truth.bare) {
            (false, _) => Intent::Tap,
            (true, true) => Intent::Hold(None),
            // A gesture's target is the next press that was meant to carry a modifier.
            (true, false) => {
                let at = session.truths[i..].iter().position(|later| !later.with.is_empty());
                Intent::Hold(at.map(|k| session.presses[i + k].code))
            }
        })
    };
    session.presses.iter().enumerate().map(intent).collect()
}

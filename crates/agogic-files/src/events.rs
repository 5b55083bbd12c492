//! Synthetic event logs.

use std::path::Path;
use std::sync::Arc;

use agogic_keys::TextPlan;
use agogic_log::{Intent, SessionLog};
use agogic_sim::{ArmRunner, FileError, Trial};
use agogic_study::{Arm, Study};
use agogic_typist::{Session, SessionAddress};

use crate::LogSink;

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
    prompted_logs(study, arm, typists, intents, |log| sink.add(&log))?;
    sink.finish()
}

/// Shows the sessions that [`write_events`] writes, one after the other.
///
/// # Errors
/// The first that `show` returns; it is then called no more.
pub fn prompted_logs<E>(
    study: &Study,
    arm: &Arm,
    typists: u64,
    intents: bool,
    mut show: impl FnMut(SessionLog) -> Result<(), E>,
) -> Result<(), E> {
    let arm = Arm { plan: Arc::new(TextPlan::clone(&arm.plan).with_sentence_starts()), ..arm.clone() };
    let runner = ArmRunner::new(&arm);
    for number in 0..typists {
        show(logged(&runner, runner.judged(study.seed, number), "1".to_owned(), intents))?;
    }
    Ok(())
}

/// The session at one address of a study, press for press as the study makes it: replicate 0 of a typist is the session
/// that is judged, 1 the one that personal values are fitted to, and the others are further sessions of the same person.
///
/// # Shape
/// As that of [`write_events`], but cut out of the text where the study cuts it, and with the session named after the
/// replicate.
pub fn session_log(study: &Study, arm: &Arm, typist: u64, replicate: u64, intents: bool) -> SessionLog {
    let runner = ArmRunner::new(arm);
    let judged = runner.judged(study.seed, typist);
    let trial = Trial { address: SessionAddress { replicate, ..judged.address }, ..judged };
    logged(&runner, trial, format!("replicate-{replicate}"), intents)
}

fn logged(runner: &ArmRunner<'_>, trial: Trial<'_>, name: String, intents: bool) -> SessionLog {
    let session = runner.perform(trial).session;
    SessionLog {
        participant: format!("synthetic-{}", trial.typist),
        session: name,
        part: 0,
        intents: if intents { stated(runner.arm, &session) } else { vec![None; session.presses.len()] },
        presses: session.presses,
        breaks: Vec::new(),
    }
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

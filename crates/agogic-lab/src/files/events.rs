//! Synthetic event logs.

use std::io::Write;
use std::path::Path;

use agogic_keys::Code;
use agogic_typist::{Performer, Session, Typist};

use super::{FileError, io, parent_of};
use crate::study::{Arm, Study};

/// Writes the key events of the first `typists` typists of an arm as CSV.
///
/// # Shape
/// Columns `session, participant, t_us, code, edge, intent, target`. `t_us` is in microseconds on the
/// session clock, `code` a W3C UI Events code, `edge` `press` or `release`. On presses of dual-role keys
/// `intent` is `tap` or `hold`, and `target` names the key a hold was meant for; elsewhere both are empty.
/// Events of equal time stand releases first.
///
/// # Errors
/// The disk refuses. The file appears only when it is complete.
pub fn write_events(study: &Study, arm: &Arm, typists: u64, out: &Path) -> Result<u64, FileError> {
    let parent = parent_of(out);
    let draft = tempfile::NamedTempFile::new_in(&parent).map_err(io("creating a temporary file in", &parent))?;
    let mut rows = 0;
    {
        let failed = |e: csv::Error| io("writing", out)(e.into());
        let mut csv = csv::Writer::from_writer(std::io::BufWriter::new(draft.as_file()));
        csv.write_record(["session", "participant", "t_us", "code", "edge", "intent", "target"]).map_err(failed)?;
        let performer = Performer::new(&arm.board, &arm.assignment);
        for number in 0..typists {
            let typist = Typist::draw(&arm.population, study.seed, number);
            let session = arm.session(&performer, &typist, study.seed, 0, arm.keys);
            let participant = format!("synthetic-{number}");
            for event in events(arm, &session) {
                let t = event.t_us.to_string();
                csv.write_record([
                    "1",
                    participant.as_str(),
                    &t,
                    event.code.name(),
                    event.edge,
                    event.intent,
                    event.target,
                ])
                .map_err(failed)?;
                rows += 1;
            }
        }
        let mut inner = csv.into_inner().map_err(|e| io("writing", out)(e.into_error()))?;
        inner.flush().map_err(io("writing", out))?;
    }
    draft.as_file().sync_all().map_err(io("writing", out))?;
    draft.persist(out).map_err(|e| io("moving the log to", out)(e.error))?;
    Ok(rows)
}

struct Event {
    t_us: u64,
    code: Code,
    edge: &'static str,
    intent: &'static str,
    target: &'static str,
}

fn events(arm: &Arm, session: &Session) -> Vec<Event> {
    let mut events = Vec::with_capacity(2 * session.presses.len());
    for (i, press) in session.presses.iter().enumerate() {
        let truth = session.truths[i];
        let dual = arm.assignment.modifier(press.code).is_some();
        let intent = match (dual, truth.hold) {
            (false, _) => "",
            (true, false) => "tap",
            (true, true) => "hold",
        };
        // A gesture's target is the next press that was meant to carry a modifier.
        let target = if dual && truth.hold && !truth.bare {
            let at = session.truths[i..].iter().position(|later| !later.with.is_empty());
            at.map_or("", |k| session.presses[i + k].code.name())
        } else {
            ""
        };
        events.push(Event { t_us: press.down.0, code: press.code, edge: "press", intent, target });
        events.push(Event { t_us: press.up.0, code: press.code, edge: "release", intent: "", target: "" });
    }
    events.sort_by_key(|event| (event.t_us, event.edge == "press"));
    events
}

//! Logs in the published format.

use std::io::Write;

use agogic_keys::Press;

use crate::{Intent, SessionLog};

/// The columns of the published format, in the order in which they are written.
pub const COLUMNS: [&str; 7] = ["session", "participant", "t_us", "code", "edge", "intent", "target"];

/// Writes sessions as CSV in the published format and returns the number of rows.
///
/// # Shape
/// Events of a session in the order of time, releases first among equals. A part of a session that was
/// split becomes a session of its own, named `session.part`.
///
/// # Errors
/// The writer fails.
pub fn write_csv(out: impl Write, sessions: &[SessionLog]) -> Result<u64, csv::Error> {
    let mut csv = csv::Writer::from_writer(out);
    csv.write_record(COLUMNS)?;
    let mut rows = 0;
    for log in sessions {
        let session = session_name(log);
        for (t_us, is_press, place) in edges(&log.presses) {
            let code = log.presses[place].code.name();
            let (intent, target) = match log.intents[place].filter(|_| is_press) {
                None => ("", ""),
                Some(Intent::Tap) => ("tap", ""),
                Some(Intent::Hold(target)) => ("hold", target.map_or("", |code| code.name())),
            };
            let edge = if is_press { "press" } else { "release" };
            csv.write_record([&session, &log.participant, &t_us.to_string(), code, edge, intent, target])?;
            rows += 1;
        }
    }
    csv.flush()?;
    Ok(rows)
}

/// The name of a part of a session.
pub(crate) fn session_name(log: &SessionLog) -> String {
    if log.part == 0 { log.session.clone() } else { format!("{}.{}", log.session, log.part) }
}

/// Every edge as time, whether it is a press, and the place of its press; releases first among equals.
pub(crate) fn edges(presses: &[Press]) -> Vec<(u64, bool, usize)> {
    let both =
        presses.iter().enumerate().flat_map(|(place, press)| [(press.down.0, true, place), (press.up.0, false, place)]);
    let mut edges: Vec<_> = both.collect();
    edges.sort_unstable();
    edges
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{LogLayout, read_bytes};
    use agogic_keys::{Code, Instant};
    use proptest::prelude::*;

    /// Presses as a keyboard can see them: each key is up before it goes down again.
    fn presses(steps: Vec<(usize, u64, u64)>) -> Vec<Press> {
        let mut free = [0; Code::COUNT];
        let mut now = 0;
        let mut presses = Vec::new();
        for (key, step, dwell) in steps {
            now = free[key].max(now) + step;
            free[key] = now + dwell + 1;
            presses.push(Press { code: Code::from_index(key).unwrap(), down: Instant(now), up: Instant(now + dwell) });
        }
        presses
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back(
            steps in prop::collection::vec((0..Code::COUNT, 1..2_000_000_u64, 1..400_000_u64), 1..60),
            intents in prop::collection::vec(prop::option::of(prop::option::of(prop::option::of(0..Code::COUNT))), 60),
        ) {
            let presses = presses(steps);
            let intent = |raw: &Option<Option<Option<usize>>>| raw.map(|hold| match hold {
                None => Intent::Tap,
                Some(target) => Intent::Hold(target.and_then(Code::from_index)),
            });
            let intents = intents.iter().take(presses.len()).map(intent).collect();
            let (participant, session) = ("ada, \"the first\"".to_owned(), "1".to_owned());
            let log = SessionLog { participant, session, part: 0, presses, intents, breaks: vec![] };
            let mut bytes = Vec::new();
            let rows = write_csv(&mut bytes, std::slice::from_ref(&log)).unwrap();
            let read = read_bytes(&bytes, &LogLayout::events()).unwrap();
            prop_assert_eq!(rows, read.report.rows);
            prop_assert!(read.report.defects.is_empty(), "{}", read.report);
            prop_assert_eq!(&read.sessions, &[log]);
        }
    }
}

//! Logs in the published format.

use std::io::Write;
use std::ops::Range;

use agogic_keys::{Code, Press};

use crate::{Intent, SessionLog};

/// The columns of the published format, in the order in which they are written.
pub const COLUMNS: [&str; 7] = ["session", "participant", "t_us", "code", "edge", "intent", "target"];

/// One row of a log in the published format.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LogRow<'a> {
    /// Session.
    pub session: &'a str,
    /// Participant.
    pub participant: &'a str,
    /// Time of the edge in µs.
    pub t_us: u64,
    /// The key.
    pub code: Code,
    /// `press` or `release`.
    pub edge: &'static str,
    /// `tap`, `hold` or empty.
    pub intent: &'static str,
    /// The key a hold was meant for, or empty.
    pub target: &'static str,
}

/// Shows a session row by row.
///
/// # Shape
/// Events in the order of time, releases first among equals. A part of a session that was split, and what
/// follows a place where rows are missing, becomes a session of its own, named `session.part` or
/// `session.part.run`: so nobody takes an interval across.
///
/// # Errors
/// The first that `show` returns; it is then called no more.
pub fn each_row<E>(log: &SessionLog, mut show: impl FnMut(LogRow<'_>) -> Result<(), E>) -> Result<(), E> {
    for (log, run, range) in pieces(log) {
        let session = session_name(log, run);
        let (presses, intents) = (&log.presses[range.clone()], &log.intents[range]);
        for (t_us, is_press, place) in edges(presses) {
            let (intent, target) = match intents[place].filter(|_| is_press) {
                None => ("", ""),
                Some(Intent::Tap) => ("tap", ""),
                Some(Intent::Hold(target)) => ("hold", target.map_or("", |code| code.name())),
            };
            let edge = if is_press { "press" } else { "release" };
            let (session, participant, code) = (session.as_str(), log.participant.as_str(), presses[place].code);
            show(LogRow { session, participant, t_us, code, edge, intent, target })?;
        }
    }
    Ok(())
}

/// Writes sessions as CSV in the published format, one after the other.
pub struct LogCsv<W: Write> {
    csv: csv::Writer<W>,
    rows: u64,
}

impl<W: Write> LogCsv<W> {
    /// Begins with the line of names.
    ///
    /// # Errors
    /// The writer fails.
    pub fn new(out: W) -> Result<Self, csv::Error> {
        let mut csv = csv::Writer::from_writer(out);
        csv.write_record(COLUMNS)?;
        Ok(Self { csv, rows: 0 })
    }

    /// Adds a session, with the rows of [`each_row`].
    ///
    /// # Errors
    /// The writer fails.
    pub fn add(&mut self, log: &SessionLog) -> Result<(), csv::Error> {
        each_row(log, |LogRow { session, participant, t_us, code, edge, intent, target }| {
            self.rows += 1;
            self.csv.write_record([session, participant, &t_us.to_string(), code.name(), edge, intent, target])
        })
    }

    /// Ends and returns the number of rows.
    ///
    /// # Errors
    /// The writer fails.
    pub fn finish(mut self) -> Result<u64, csv::Error> {
        self.csv.flush()?;
        Ok(self.rows)
    }
}

/// Writes sessions as CSV in the published format and returns the number of rows; see [`each_row`].
///
/// # Errors
/// The writer fails.
pub fn write_csv(out: impl Write, sessions: &[SessionLog]) -> Result<u64, csv::Error> {
    let mut csv = LogCsv::new(out)?;
    for log in sessions {
        csv.add(log)?;
    }
    csv.finish()
}

/// The runs of a session with their numbers.
pub(crate) fn pieces(log: &SessionLog) -> impl Iterator<Item = (&SessionLog, usize, Range<usize>)> {
    log.ranges().enumerate().map(move |(run, range)| (log, run, range))
}

/// The name of a run of a part of a session.
pub(crate) fn session_name(log: &SessionLog, run: usize) -> String {
    match (log.part, run) {
        (0, 0) => log.session.clone(),
        (part, 0) => format!("{}.{part}", log.session),
        (part, run) => format!("{}.{part}.{run}", log.session),
    }
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
    use agogic_keys::Instant;
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

    #[test]
    fn nobody_can_take_an_interval_across_what_is_missing() {
        let presses = presses(vec![(0, 100, 60), (1, 100, 60), (2, 9_000_000, 60), (3, 100, 60)]);
        let log = SessionLog {
            participant: "ada".into(),
            session: "1".into(),
            part: 2,
            intents: vec![None; presses.len()],
            presses,
            breaks: vec![2],
        };
        let mut bytes = Vec::new();
        write_csv(&mut bytes, std::slice::from_ref(&log)).unwrap();
        let read = read_bytes(&bytes, &LogLayout::events()).unwrap();
        let names: Vec<&str> = read.sessions.iter().map(|session| session.session.as_str()).collect();
        assert_eq!(names, ["1.2", "1.2.1"]);
        assert_eq!(read.sessions[1].presses, log.presses[2..]);
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

//! Redaction: classes instead of keys, noise on the times, no names.

use std::collections::BTreeMap;
use std::io::Write;

use agogic_keys::{Board, Press, Purpose, Stream, stream};
use rand::RngExt;
use serde::Serialize;

use crate::address::address;
use crate::write::{edges, pieces, session_name};
use crate::{Classes, Intent, SessionLog};

/// The columns of a redacted log.
pub const REDACTED_COLUMNS: [&str; 7] =
    ["session", "participant", "press_us", "release_us", "class", "intent", "target"];

/// How a log is redacted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Redaction {
    /// How coarse the classes are.
    pub classes: Classes,
    /// Every edge moves by a draw of its own, uniform from minus this to plus this.
    pub jitter_us: u64,
    /// A longer time without an edge is cut to this.
    pub longest_lull_us: u64,
    /// Seed of the noise. Whoever knows it can take the noise away again: keep it to yourself.
    pub seed: u64,
}

/// One press of a redacted log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RedactedPress {
    /// Class of the key.
    pub class: &'static str,
    /// When it went down, in µs since the session's first edge.
    pub down_us: u64,
    /// When it came up.
    pub up_us: u64,
    /// Stated intent: `tap`, `hold` or empty.
    pub intent: &'static str,
    /// Class of the key a hold was meant for, or empty.
    pub target: &'static str,
}

/// A redacted session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RedactedSession {
    /// `p1`, `p2`, …, in the order in which the log first names them.
    pub participant: String,
    /// `s1`, `s2`, … of that participant.
    pub session: String,
    /// The presses.
    pub presses: Vec<RedactedPress>,
    /// Presses left out, because the board lacks their key.
    pub left_out: u64,
}

/// Redacts sessions.
///
/// # Definition
/// - Names of participants and sessions become numbers.
/// - Keys become the hand or finger that presses them on `board`. Which of the keys of a finger it was is
///   gone, and with it whether a key was pressed twice.
/// - Times start at zero with the session's first edge, so the time of day is gone. Lulls are cut to
///   `longest_lull_us`. Every edge then moves by its own draw from U(−`jitter_us`, `jitter_us`), and the
///   moved times are given to the edges in their old order.
///
/// What is kept on purpose: the order of all edges, so that rollover, enclosure and which key was let go
/// first stay what they were; dwells, intervals and lulls to within twice the jitter. A dwell never
/// vanishes. The noise of a session depends on the seed and the names alone, never on the order of
/// sessions. What follows a place where rows are missing becomes a session of its own.
///
/// A class is read back as the key under its resting finger, so a replay takes every key of a finger for
/// that key: fine for whatever depends on hands, fingers and times, wrong for whatever tells keys of one
/// finger apart.
///
/// What is *not* hidden is measured by [`crate::read_back`] and listed in `PRIVACY.md`.
pub fn redact(sessions: &[SessionLog], board: &Board, how: &Redaction) -> Vec<RedactedSession> {
    let mut people: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let mut redacted = Vec::with_capacity(sessions.len());
    for (log, run, range) in sessions.iter().flat_map(pieces) {
        let number = people.len() + 1;
        let (person, session) = people.entry(&log.participant).or_insert((number, 0));
        *session += 1;
        let class = |code| how.classes.of(board, code);
        let known = |place: &usize| class(log.presses[*place].code).is_some();
        let places: Vec<usize> = range.clone().filter(known).collect();
        let presses: Vec<Press> = places.iter().map(|place| log.presses[*place]).collect();
        let mut rng = stream(how.seed, Purpose::Redaction, address(&[&log.participant, &session_name(log, run)]), 0);
        let times = blurred(&presses, how, &mut rng);
        let out = places.iter().zip(times).map(|(place, (down_us, up_us))| {
            let (intent, target) = match log.intents[*place] {
                None => ("", None),
                Some(Intent::Tap) => ("tap", None),
                Some(Intent::Hold(target)) => ("hold", target),
            };
            let target = target.and_then(class).unwrap_or("");
            let class = class(log.presses[*place].code).expect("presses without a class were left out");
            RedactedPress { class, down_us, up_us, intent, target }
        });
        redacted.push(RedactedSession {
            participant: format!("p{person}"),
            session: format!("s{session}"),
            presses: out.collect(),
            left_out: (range.len() - places.len()) as u64,
        });
    }
    redacted
}

/// New times of press and release for each press.
fn blurred(presses: &[Press], how: &Redaction, rng: &mut Stream) -> Vec<(u64, u64)> {
    let edges = edges(presses);
    let jitter = how.jitter_us.min(i64::MAX as u64 / 4) as i64;
    let mut now = 0_i64;
    let mut before = edges.first().map_or(0, |(t_us, ..)| *t_us);
    let mut moved: Vec<i64> = Vec::with_capacity(edges.len());
    for (t_us, ..) in &edges {
        now += (t_us - before).min(how.longest_lull_us).min(1 << 40) as i64;
        before = *t_us;
        moved.push(now + rng.random_range(-jitter..=jitter));
    }
    moved.sort_unstable();
    let zero = moved.first().copied().unwrap_or(0);
    let mut times = vec![(0, 0); presses.len()];
    for ((_, is_press, place), moved) in edges.iter().zip(moved) {
        let t_us = (moved - zero) as u64;
        let time = &mut times[*place];
        if *is_press { time.0 = t_us } else { time.1 = t_us.max(time.0 + 1) }
    }
    times
}

/// Writes redacted sessions as CSV, readable with [`crate::LogLayout::redacted`]; returns the rows.
///
/// # Errors
/// The writer fails.
pub fn write_redacted_csv(out: impl Write, sessions: &[RedactedSession]) -> Result<u64, csv::Error> {
    let mut csv = csv::Writer::from_writer(out);
    csv.write_record(REDACTED_COLUMNS)?;
    let mut rows = 0;
    for log in sessions {
        for press in &log.presses {
            let (down, up) = (press.down_us.to_string(), press.up_us.to_string());
            csv.write_record([&log.session, &log.participant, &down, &up, press.class, press.intent, press.target])?;
            rows += 1;
        }
    }
    csv.flush()?;
    Ok(rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{LogLayout, read_bytes};
    use agogic_keys::Instant;

    const HOW: Redaction =
        Redaction { classes: Classes::Finger, jitter_us: 10_000, longest_lull_us: 2_000_000, seed: 7 };

    fn typed(participant: &str, keys: usize) -> SessionLog {
        // Rolls and gaps: intervals of 90 ms, dwells of 70 or 130 ms, a long lull after every ninth key.
        let names = ["KeyT", "KeyH", "KeyE", "Space", "KeyR", "KeyU", "KeyN"];
        let presses: Vec<Press> = (0..keys as u64)
            .map(|i| {
                let down = 1_700_000_000_000_000 + i * 90_000 + i / 9 * 5_000_000;
                let up = down + if i % 2 == 0 { 130_000 } else { 70_000 };
                Press { code: names[i as usize % 7].parse().unwrap(), down: Instant(down), up: Instant(up) }
            })
            .collect();
        let intents = (0..keys).map(|i| (i == 3).then_some(Intent::Hold(Some("KeyR".parse().unwrap())))).collect();
        SessionLog {
            participant: participant.into(),
            session: "monday".into(),
            part: 0,
            presses,
            intents,
            breaks: vec![],
        }
    }

    #[test]
    fn order_is_kept_and_times_move_within_bounds() {
        let log = typed("ada", 200);
        let redacted = redact(std::slice::from_ref(&log), &Board::row_staggered(), &HOW);
        let presses = &redacted[0].presses;
        assert_eq!(presses.len(), 200);
        let mut changed = 0;
        for (i, (old, new)) in log.presses.iter().zip(presses).enumerate() {
            let dwell = (new.up_us - new.down_us) as i64 - old.dwell().0 as i64;
            assert!(dwell.abs() <= 20_000, "press {i}: dwell off by {dwell}");
            changed += usize::from(dwell != 0);
            let Some(next) = presses.get(i + 1) else { continue };
            let overlap_old = log.presses[i + 1].down < old.up;
            // The order of edges is the same; edges moved onto one time are the only exception.
            assert!(overlap_old == (next.down_us < new.up_us) || next.down_us.abs_diff(new.up_us) <= 1, "press {i}");
            assert!(next.down_us >= new.down_us && next.down_us - new.down_us <= 2_300_000);
        }
        assert!(changed > 150, "{changed} of 200 dwells changed");
        assert_eq!(presses[0].down_us, 0);
    }

    #[test]
    fn names_days_and_keys_are_gone_and_the_log_still_reads() {
        let logs = [typed("ada", 40), typed("ben", 40)];
        let redacted = redact(&logs, &Board::row_staggered(), &HOW);
        let mut bytes = Vec::new();
        let rows = write_redacted_csv(&mut bytes, &redacted).unwrap();
        let text = String::from_utf8(bytes.clone()).unwrap();
        for gone in ["ada", "ben", "monday", "Key", "1700000"] {
            assert!(!text.contains(gone), "{gone}");
        }
        let read = read_bytes(&bytes, &LogLayout::redacted()).unwrap();
        assert!(read.report.defects.is_empty(), "{}", read.report);
        assert_eq!((rows, read.report.presses, read.report.participants), (80, 80, 2));
        assert_eq!(read.sessions[0].presses[0].code.name(), "KeyF");
        assert_eq!(read.sessions[0].intents[3], Some(Intent::Hold(Some("KeyF".parse().unwrap()))));
    }

    #[test]
    fn noise_has_an_address() {
        let board = Board::row_staggered();
        let (ada, ben) = (typed("ada", 50), typed("ben", 50));
        let both = redact(&[ada.clone(), ben.clone()], &board, &HOW);
        let swapped = redact(&[ben.clone(), ada], &board, &HOW);
        assert_eq!(both[0].presses, swapped[1].presses);
        assert_ne!(both[0].presses, both[1].presses, "two people have noise of their own");
        let other = redact(&[ben], &board, &Redaction { seed: 8, ..HOW });
        assert_ne!(other[0].presses, both[1].presses);
    }

    #[test]
    fn without_noise_only_lulls_change() {
        let log = typed("ada", 30);
        let how = Redaction { jitter_us: 0, ..HOW };
        let redacted = redact(std::slice::from_ref(&log), &Board::row_staggered(), &how);
        for (old, new) in log.presses.iter().zip(&redacted[0].presses) {
            assert_eq!(new.up_us - new.down_us, old.dwell().0);
        }
    }

    #[test]
    fn keys_off_the_board_are_left_out_and_counted() {
        let mut log = typed("ada", 5);
        log.presses[2].code = "F12".parse().unwrap();
        let redacted = redact(&[log], &Board::row_staggered(), &HOW);
        assert_eq!((redacted[0].presses.len(), redacted[0].left_out), (4, 1));
        let empty = SessionLog { presses: vec![], intents: vec![], ..typed("ada", 1) };
        assert!(redact(&[empty], &Board::row_staggered(), &HOW).is_empty());
        let mut broken = typed("ada", 6);
        broken.breaks = vec![4];
        let lengths: Vec<usize> =
            redact(&[broken], &Board::row_staggered(), &HOW).iter().map(|log| log.presses.len()).collect();
        assert_eq!(lengths, [4, 2]);
    }
}

//! Ten thousand damaged logs: no panic, no row that is not accounted for, no more memory than stated.

use agogic_keys::{Purpose, stream};
use agogic_log::{DefectKind, Format, Limits, Log, LogError, LogLayout, Rules, read, read_bytes};
use rand::RngExt;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::io::{BufReader, Read};

const SEED: u64 = 2026;
const LOGS: u64 = 10_000;

type Rng = agogic_keys::Stream;

const KEYS: [&str; 6] = ["KeyA", "KeyS", "KeyE", "Space", "ShiftLeft", "Comma"];

/// A sound log in each shape and format, with rollover.
fn sound(rng: &mut Rng) -> (LogLayout, Vec<u8>) {
    let kind = rng.random_range(0..4);
    let presses = rng.random_range(5..40);
    let mut text = String::new();
    let header =
        ["session,participant,t_us,code,edge,intent,target", "", "session,participant,code,press_ms,release_ms"];
    match kind {
        0 => writeln!(text, "{}", header[0]).unwrap(),
        2 => writeln!(text, "{}", header[2]).unwrap(),
        _ => {}
    }
    let mut edges = Vec::new();
    for i in 0..presses {
        let down = 150 * i + rng.random_range(0..60);
        let dwell = rng.random_range(40..200);
        edges.push((down, i, true));
        edges.push((down + dwell, i, false));
    }
    edges.sort_unstable();
    for (t_ms, i, is_press) in edges {
        let who = ["ada", "ben"][(i as usize / 10) % 2];
        let code = KEYS[i as usize % KEYS.len()];
        let up = t_ms + 80;
        let t_us = t_ms * 1000;
        let edge = if is_press { "press" } else { "release" };
        match kind {
            0 => writeln!(text, "1,{who},{t_us},{code},{edge},{},", if is_press { "tap" } else { "" }).unwrap(),
            1 => {
                let row = r#"{"session": 1, "participant": ""#;
                writeln!(text, r#"{row}{who}", "t_us": {t_us}, "code": "{code}", "edge": "{edge}"}}"#).unwrap();
            }
            2 if is_press => writeln!(text, "1,{who},{code},{t_ms}.5,{up}.25").unwrap(),
            3 if is_press => {
                let row = r#"{"session": "x", "participant": ""#;
                writeln!(text, r#"{row}{who}", "code": "{code}", "press_ms": {t_ms}, "release_ms": {up}}}"#).unwrap();
            }
            _ => {}
        }
    }
    let preset = if kind < 2 { "events" } else { "pairs-ms" };
    (LogLayout::preset(preset).unwrap(), text.into_bytes())
}

const ABSURD: [&str; 12] = [
    "1e18",
    "-5",
    "99999999999999999999999999",
    "NaN",
    "inf",
    "9007199254740993",
    "10000000000",
    "1e400",
    "0x10",
    "\u{0}",
    "é",
    "",
];

/// One of the ways in which a log comes to harm.
fn damage(bytes: &mut Vec<u8>, rng: &mut Rng) {
    let mut lines: Vec<Vec<u8>> = bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect();
    let any = |rng: &mut Rng, n: usize| rng.random_range(0..n.max(1));
    match rng.random_range(0..15) {
        0 => bytes.truncate(any(rng, bytes.len())),
        1 => {
            for _ in 0..any(rng, 20) {
                let at = any(rng, bytes.len());
                if let Some(byte) = bytes.get_mut(at) {
                    *byte = rng.random();
                }
            }
        }
        2 => {
            let at = any(rng, bytes.len());
            let junk: Vec<u8> = (0..any(rng, 6000)).map(|_| rng.random()).collect();
            bytes.splice(at..at, junk);
        }
        3 => {
            let at = any(rng, bytes.len());
            let long = vec![b"x0,\""[any(rng, 4)]; 5000];
            bytes.splice(at..at, long);
        }
        way => {
            let n = lines.len();
            match way {
                4 => {
                    for i in (1..n).rev() {
                        lines.swap(i, any(rng, i + 1));
                    }
                }
                5 => lines.reverse(),
                6 | 7 => {
                    for _ in 0..1 + any(rng, 8) {
                        let (from, to) = (any(rng, n), any(rng, n));
                        if way == 6 {
                            let line = lines.get(from).cloned().unwrap_or_default();
                            lines.insert(to.min(lines.len()), line);
                        } else if lines.len() > 1 {
                            let _ = lines.remove(from.min(lines.len() - 1));
                        }
                    }
                }
                8 | 9 => {
                    // Each number of a line may become another.
                    for _ in 0..1 + any(rng, 6) {
                        let at = any(rng, n);
                        let Some(line) = lines.get_mut(at) else { continue };
                        let text = String::from_utf8_lossy(line).into_owned();
                        let start = text.find(|c: char| c.is_ascii_digit() && rng.random_range(0..3) == 0);
                        let Some(start) = start else { continue };
                        let end = text[start..].find(|c: char| !c.is_ascii_digit()).map_or(text.len(), |e| start + e);
                        let new = ABSURD[any(rng, ABSURD.len())];
                        *line = format!("{}{new}{}", &text[..start], &text[end..]).into_bytes();
                    }
                }
                10 => {
                    for line in &mut lines {
                        if rng.random_range(0..4) == 0 {
                            *line = String::from_utf8_lossy(line).replace("release", "press").into_bytes();
                        }
                    }
                }
                11 => {
                    let words = [("KeyA", "KeyÄ"), ("press", "prss"), ("ada", &*"a".repeat(300)), ("Comma", ",,,")];
                    let (from, to) = words[any(rng, words.len())];
                    for line in &mut lines {
                        if rng.random_range(0..3) == 0 {
                            *line = String::from_utf8_lossy(line).replace(from, to).into_bytes();
                        }
                    }
                }
                12 => lines.iter_mut().for_each(|line| line.retain(|byte| *byte != b'"' && *byte != b'\r')),
                way => {
                    // The clock is set for the rest of the log, or it is a coarse one.
                    let clock = |t: u64, by: u64| if way == 13 { t.saturating_add(by) } else { t / 500_000 * 500_000 };
                    let (at, by) = (any(rng, n), any(rng, 2) as u64 * 8_000_000_000 + 17);
                    for line in lines.iter_mut().skip(at) {
                        let text = String::from_utf8_lossy(line).into_owned();
                        let shifted = text.split_inclusive(|c: char| !c.is_ascii_digit()).map(|part| {
                            let digits = part.trim_end_matches(|c: char| !c.is_ascii_digit());
                            match digits.parse::<u64>() {
                                Ok(number) if digits.len() > 3 => {
                                    format!("{}{}", clock(number, by), &part[digits.len()..])
                                }
                                _ => part.to_owned(),
                            }
                        });
                        *line = shifted.collect::<String>().into_bytes();
                    }
                }
            }
            *bytes = lines.concat();
        }
    }
}

/// What must hold of every log that was read, whatever it was.
fn judge(log: &Log, bytes: &[u8], number: u64) {
    let report = &log.report;
    assert!(report.balances(), "log {number}: {report}");
    // Counted from the bytes, apart from the reader: every line that is not blank is a row or the header.
    let lines = bytes.split(|byte| *byte == b'\n').filter(|line| !line.trim_ascii().is_empty()).count() as u64;
    assert!(report.rows == lines || report.rows + 1 == lines, "log {number}: {} rows of {lines}", report.rows);
    let presses: usize = log.sessions.iter().map(|session| session.presses.len()).sum();
    assert_eq!(report.presses, presses as u64, "log {number}");
    let per_press = if report.rows_kept == report.presses { 1 } else { 2 };
    assert_eq!(report.rows_kept, per_press * report.presses, "log {number}");
    for session in &log.sessions {
        assert_eq!(session.presses.len(), session.intents.len());
        assert!(session.presses.iter().all(|press| press.up > press.down), "log {number}");
        assert!(session.presses.is_sorted_by_key(|press| press.down), "log {number}");
        assert!(session.breaks.is_sorted() && session.breaks.iter().all(|at| (1..presses).contains(at)));
        assert_eq!(session.runs().map(<[_]>::len).sum::<usize>(), session.presses.len());
        for defect in report.defects.values() {
            assert!(defect.first_lines.iter().all(|line| *line >= 1 && *line <= lines + 10_000));
        }
    }
    assert!(report.held_bytes_max <= 300 * lines, "log {number}: {} bytes for {lines} lines", report.held_bytes_max);
}

#[test]
fn ten_thousand_damaged_logs() {
    let (mut read_logs, mut refused, mut untouched) = (0, 0, 0);
    let mut met = BTreeSet::new();
    for number in 0..LOGS {
        let mut rng = stream(SEED, Purpose::Design, number, 0);
        let (layout, mut bytes) = sound(&mut rng);
        if number % 100 == 0 {
            let log = read_bytes(&bytes, &layout).unwrap();
            assert!(log.report.rows > 4 && log.report.presses > 4, "{}", log.report);
            untouched += 1;
        }
        for _ in 0..rng.random_range(1..4) {
            damage(&mut bytes, &mut rng);
        }
        match read_bytes(&bytes, &layout) {
            Ok(log) => {
                judge(&log, &bytes, number);
                met.extend(log.report.defects.keys().copied());
                read_logs += 1;
            }
            Err(LogError::Io { .. } | LogError::Layout(_)) => panic!("log {number}: bytes in memory cannot fail so"),
            Err(error) => {
                assert!(!error.to_string().is_empty());
                refused += 1;
            }
        }
    }
    // The damage is of all kinds; otherwise this test would show little.
    let beyond = [DefectKind::TooManyRows, DefectKind::TooManySessions, DefectKind::SideUnknown];
    for kind in DefectKind::ALL.into_iter().filter(|kind| !beyond.contains(kind)) {
        assert!(met.contains(&kind), "no damaged log shows {kind}");
    }
    assert!(read_logs > LOGS / 2 && refused > 100 && untouched == 100, "{read_logs} read, {refused} refused");
}

#[test]
fn layouts_from_damaged_text_are_refused_without_a_panic() {
    let sound = "from = \"pairs-ms\"\ndelimiter = \"tab\"\nunit = \"s\"\nheader = [\"a\", \"b\"]\n[columns]\n\
                 press = \"a\"\nsession = \"\"\n[edges]\npress = [\"0\"]\n[names]\nQ = \"KeyQ\"\n";
    let mut sound_ones = 0;
    for number in 0..2000 {
        let mut rng = stream(SEED, Purpose::Design, number, 1);
        let mut bytes = sound.as_bytes().to_vec();
        damage(&mut bytes, &mut rng);
        match LogLayout::from_toml(&String::from_utf8_lossy(&bytes)) {
            Ok(layout) => {
                sound_ones += 1;
                // Whatever it says, reading with it must not panic.
                let _ = read_bytes(b"a,b\n1,2\n", &layout);
            }
            Err(mistakes) => assert!(!mistakes.0.is_empty()),
        }
    }
    assert!(sound_ones > 0);
}

#[test]
fn a_huge_log_is_read_in_bounded_memory() {
    // 25 MB: one line of 20 MB, then rows without end of which a few thousand may be kept.
    let rows = b"1,ada,1000,KeyA,press\n1,ada,2000,KeyA,release\n";
    let header = &b"session,participant,t_us,code,edge\n"[..];
    let endless = Repeat { bytes: rows, at: 0 }.take(5_000_000);
    let log = header.chain(std::io::repeat(b'9').take(20_000_000)).chain(&b"\n"[..]).chain(endless);
    let limits = Limits { line_bytes: 1000, rows: 4000, sessions: 3, name_bytes: 16 };
    let log = read(BufReader::new(log), Format::Csv, &LogLayout::events(), limits, Rules::default()).unwrap();
    assert!(log.report.balances());
    assert_eq!(log.report.count(DefectKind::OverlongLine), 1);
    assert!(log.report.count(DefectKind::TooManyRows) > 200_000, "{}", log.report);
    assert!(log.report.held_bytes_max < 4000 * 64, "{}", log.report.held_bytes_max);
}

struct Repeat {
    bytes: &'static [u8],
    at: usize,
}

impl Read for Repeat {
    fn read(&mut self, out: &mut [u8]) -> std::io::Result<usize> {
        for byte in out.iter_mut() {
            *byte = self.bytes[self.at];
            self.at = (self.at + 1) % self.bytes.len();
        }
        Ok(out.len())
    }
}

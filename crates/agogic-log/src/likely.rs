//! What a file most likely means that does not fit its layout: names that others use, and times in another unit.

use crate::layout::RowShape;
use crate::{DefectKind, Log, LogError, LogLayout, TimeUnit};

/// Plain names that columns have elsewhere, by the key of a layout: common practice, no source.
const COLUMNS: [(&str, &[&str]); 8] = [
    ("session", &["session_id", "sessionid", "sitting", "block", "section", "section_id", "trial"]),
    ("participant", &["participant_id", "participantid", "user", "user_id", "subject", "subject_id", "person", "who"]),
    ("code", &["key", "key_code", "keycode", "scancode", "letter", "button"]),
    (
        "time",
        &["t", "t_us", "t_ms", "t_s", "time", "time_us", "time_ms", "time_s", "timestamp", "time_stamp", "ts", "when"],
    ),
    ("edge", &["event", "event_type", "type", "action", "state", "direction", "kind", "updown", "up_down"]),
    ("press", &["press_ms", "press_s", "press_us", "press_time", "down", "down_ms", "down_time", "keydown", "start"]),
    ("release", &["release_ms", "release_s", "release_us", "release_time", "up", "up_ms", "up_time", "keyup", "end"]),
    ("dwell", &["dwell", "dwell_ms", "duration", "hold", "hold_time"]),
];

/// How plain words for press and release end, in pairs; those of one letter are the whole word: common practice, no source.
const EDGES: [(&str, &str); 7] = [
    ("down", "up"),
    ("pressed", "released"),
    ("press", "release"),
    ("true", "false"),
    ("d", "u"),
    ("p", "r"),
    ("1", "0"),
];

/// For columns that are missing, given by the key of a layout and their name: which of those there are may be meant, as lines
/// of a layout.
pub(crate) fn columns(missing: &[(&'static str, String)], found: &[&str]) -> Vec<String> {
    let plain = |name: &str| name.trim().to_lowercase().replace([' ', '-'], "_");
    let of = |(key, wanted): &(&'static str, String)| {
        let known = COLUMNS.iter().find(|(own, _)| own == key).map_or(&[][..], |(_, known)| *known);
        let like = |name: &&&str| plain(name) == plain(wanted) || known.contains(&plain(name).as_str());
        found.iter().find(like).map(|name| format!("{key} = {name:?}"))
    };
    missing.iter().filter_map(of).collect()
}

/// What a word for an edge most likely stands for, with the other word beside it: those for a press and for a release.
fn edges(word: &str) -> Option<(String, String)> {
    EDGES.iter().find_map(|(press, release)| {
        let other = |own: &str, other: &str| {
            ended(word, own).map(|start| format!("{start}{}", as_in(&word[start.len()..], other)))
        };
        let of_press = other(press, release).map(|other| (word.to_owned(), other));
        of_press.or_else(|| other(release, press).map(|other| (other, word.to_owned())))
    })
}

/// What stands before the end of a word, if it has that end, in letters of any case.
fn ended<'w>(word: &'w str, end: &str) -> Option<&'w str> {
    let at = word.len().checked_sub(end.len()).filter(|at| word.is_char_boundary(*at))?;
    (word[at..].eq_ignore_ascii_case(end) && (end.len() > 1 || at == 0)).then(|| &word[..at])
}

/// A word in the case of another.
fn as_in(like: &str, word: &str) -> String {
    let mut letters = like.chars();
    match (letters.next().is_some_and(char::is_uppercase), letters.next().is_some_and(char::is_uppercase)) {
        (true, true) => word.to_uppercase(),
        (true, false) => word[..1].to_uppercase() + &word[1..],
        _ => word.to_owned(),
    }
}

/// Fewest presses, or rows, on which a file is refused for what they look like.
const FEWEST: u64 = 20;

/// A median dwell beyond these is no finger's, in µs. People's medians lie between some 50 and 200 ms.
const DWELLS_US: [u64; 2] = [1_000, 5_000_000];

impl Log {
    /// The log, unless what came of its rows shows that its layout is wrong.
    ///
    /// # Definition
    /// Refused are: rows of which nearly all have an edge that the layout does not know; a median dwell of at least 20
    /// presses below 1 ms or above 5 s, or as many presses that nearly all begin and end at the same time or last longer
    /// than [`crate::Rules::longest_dwell_us`]: times in another unit.
    ///
    /// # Errors
    /// [`LogError::Edges`] or [`LogError::Unit`], with what would read it.
    pub fn checked(self, layout: &LogLayout) -> Result<Self, LogError> {
        let report = &self.report;
        let strange = report.count(DefectKind::UnknownEdge);
        if report.presses == 0
            && 10 * strange >= 9 * report.rows
            && strange >= 4
            && let RowShape::Events { edge, press, .. } = &layout.shape
        {
            let word = report.defects[&DefectKind::UnknownEdge].example.clone().unwrap_or_default();
            let likely = edges(&word);
            return Err(LogError::Edges { column: edge.clone(), word, wanted: press[0].clone(), likely });
        }
        let mut dwells: Vec<u64> =
            self.sessions.iter().flat_map(|own| &own.presses).map(|press| press.dwell().0).collect();
        let seen = dwells.len() as u64;
        let nearly_all = |kind| report.count(kind) >= FEWEST && report.count(kind) >= 9 * seen;
        let unit = |dwell: String, factor: f64| {
            Err(LogError::Unit { dwell, now: layout.unit, likely: other_unit(layout.unit, factor) })
        };
        if nearly_all(DefectKind::ZeroDwell) {
            return unit("nothing".into(), 1e-6);
        }
        if nearly_all(DefectKind::OverlongDwell) {
            return unit("more than a minute".into(), 1e3);
        }
        if seen >= FEWEST {
            let middle = dwells.len() / 2;
            let median = *dwells.select_nth_unstable(middle).1;
            let told = format!("{} ms", median as f64 / 1e3);
            if median < DWELLS_US[0] {
                return unit(told, 1e-3);
            }
            if median > DWELLS_US[1] {
                return unit(told, 1e3);
            }
        }
        Ok(self)
    }
}

/// The unit in which times are so many times as small; of seconds down to nanoseconds the nearest.
fn other_unit(now: TimeUnit, factor: f64) -> TimeUnit {
    let place = TimeUnit::ALL.iter().position(|unit| *unit == now).expect("all units are listed");
    let steps = (factor.log10() / 3.0).round() as i64;
    TimeUnit::ALL[(place as i64 + steps).clamp(0, TimeUnit::ALL.len() as i64 - 1) as usize]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read_bytes;

    /// Thirty presses, 300 ms apart and 90 ms long, with times in a unit, in the published columns.
    fn log(header: &str, [press, release]: [&str; 2], per_second: f64) -> String {
        let row = |s: f64, edge: &str| format!("1,a,{},KeyE,{edge}\n", (s * per_second * 1e6).round() / 1e6);
        let rows: String =
            (0..30).map(|n| 0.3 * f64::from(n)).map(|s| row(s, press) + &row(s + 0.09, release)).collect();
        format!("{header}\n{rows}")
    }

    const HEADER: &str = "session,participant,t_us,code,edge";
    const OWN: [&str; 2] = ["press", "release"];

    fn error(text: &str) -> String {
        read_bytes(text.as_bytes(), &LogLayout::events()).unwrap_err().to_string()
    }

    #[test]
    fn times_in_another_unit_are_told() {
        assert_eq!(read_bytes(log(HEADER, OWN, 1e6).as_bytes(), &LogLayout::events()).unwrap().report.presses, 30);
        let found = error(&log(HEADER, OWN, 1e3));
        assert!(found.contains("0.09 ms") && found.contains("unit = \"ms\""), "{found}");
        let found = error(&log(HEADER, OWN, 1.0));
        assert!(found.contains("unit = \"s\""), "{found}");
        let found = error(&log(HEADER, OWN, 1e9));
        assert!(found.contains("unit = \"ns\""), "{found}");
        // What the message says reads the file.
        let layout = LogLayout::from_toml("unit = \"ms\"\n").unwrap();
        assert_eq!(read_bytes(log(HEADER, OWN, 1e3).as_bytes(), &layout).unwrap().report.presses, 30);
        // Few presses show nothing.
        let short: String = log(HEADER, OWN, 1e3).lines().take(31).map(|line| format!("{line}\n")).collect();
        assert_eq!(read_bytes(short.as_bytes(), &LogLayout::events()).unwrap().report.presses, 15);
    }

    #[test]
    fn plain_words_for_edges_are_told() {
        for (words, told) in [
            (["down", "up"], "press = [\"down\"], release = [\"up\"]"),
            (["KeyDown", "KeyUp"], "press = [\"KeyDown\"], release = [\"KeyUp\"]"),
            (["Pressed", "Released"], "press = [\"Pressed\"], release = [\"Released\"]"),
            (["DOWN", "UP"], "press = [\"DOWN\"], release = [\"UP\"]"),
            (["1", "0"], "press = [\"1\"], release = [\"0\"]"),
        ] {
            let found = error(&log(HEADER, words, 1e6));
            assert!(found.contains(told), "{found}");
        }
        let found = error(&log(HEADER, ["north", "south"], 1e6));
        assert!(found.contains("`north`") && found.contains("[edges]"), "{found}");
        let layout = LogLayout::from_toml("edges = { press = [\"down\"], release = [\"up\"] }\n").unwrap();
        assert_eq!(read_bytes(log(HEADER, ["down", "up"], 1e6).as_bytes(), &layout).unwrap().report.presses, 30);
    }

    #[test]
    fn plain_names_of_columns_are_told() {
        let found = error(&log("Session,user,timestamp,key,event", ["down", "up"], 1e3));
        let layout = "columns = { session = \"Session\", participant = \"user\", code = \"key\", time = \"timestamp\", edge = \"event\" }";
        assert!(found.contains(layout), "{found}");
        assert!(!error("a,b,c\n1,2,3\n").contains("columns = "));
    }
}

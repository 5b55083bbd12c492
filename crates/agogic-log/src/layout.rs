//! How a log is laid out: which column holds what.

use std::collections::BTreeMap;

use agogic_keys::Code;
use serde::Serialize;

use crate::{KeyNames, TimeUnit};

/// What one row is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum RowShape {
    /// One edge of one key.
    Events {
        /// Column of the time.
        time: String,
        /// Column of the edge.
        edge: String,
        /// What stands there for a press.
        press: Vec<String>,
        /// What stands there for a release.
        release: Vec<String>,
    },
    /// One key, from press to release.
    Pairs {
        /// Column of the time of the press.
        press: String,
        /// Where the key goes up.
        end: PairEnd,
    },
}

/// How a row tells when its key went up.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum PairEnd {
    /// Column of the time of the release.
    Release(String),
    /// Column of the dwell, in the unit of the times.
    Dwell(String),
}

/// How a log is laid out.
///
/// Columns that are not named are read past. Where a log has no column for participants or sessions, all
/// of it is one participant's one session.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LogLayout {
    /// What stands between the fields of a line; one ASCII character.
    pub delimiter: char,
    /// Whether fields may stand in double quotes. Say no for files that write quotes like any other
    /// character, as many tab-separated ones do.
    pub quotes: bool,
    /// The names of the columns, where the file has no header line.
    pub header: Option<Vec<String>>,
    /// What one row is.
    pub shape: RowShape,
    /// Unit of the times.
    pub unit: TimeUnit,
    /// Column of the key.
    pub code: String,
    /// How keys are named there.
    pub keys: KeyNames,
    /// Further names of keys, looked up before all others.
    pub names: BTreeMap<String, Code>,
    /// Column of the participant.
    pub participant: Option<String>,
    /// Column of the session.
    pub session: Option<String>,
    /// Column of the intent (`tap`, `hold` or nothing). It may be missing in the file.
    pub intent: Option<String>,
    /// Column of the key a hold is meant for. It may be missing in the file.
    pub target: Option<String>,
}

/// The presets: name, what it is for.
const PRESETS: [(&str, &str); 9] = [
    ("events", "the published format: session, participant, t_us, code, edge; intent and target if there"),
    ("events-ms", "as a browser logs: t_ms, code, edge with keydown and keyup"),
    ("events-key-ms", "the same with characters or W3C key values in the column key"),
    ("pairs-ms", "press and release in one row: code, press_ms, release_ms"),
    ("pairs-s", "press and release in one row: code, press_s, release_s"),
    ("pairs-usage-ms", "press and release in one row with USB HID usage ids: usage, press_ms, release_ms"),
    ("pairs-keycode-ms", "press and release in one row with legacy keyCode values: keycode, press_ms, release_ms"),
    ("dwell-ms", "press and dwell in one row: code, press_ms, dwell_ms"),
    ("redacted", "what redaction writes: class, press_us, release_us"),
];

impl LogLayout {
    /// The published format.
    pub fn events() -> Self {
        Self::preset("events").expect("the preset is in the list")
    }

    /// What redaction writes.
    pub fn redacted() -> Self {
        Self::preset("redacted").expect("the preset is in the list")
    }

    /// The presets with what each is for. Columns `session` and `participant` are the same in all.
    pub fn presets() -> impl Iterator<Item = (&'static str, &'static str)> {
        PRESETS.into_iter()
    }

    /// The preset of that name.
    pub fn preset(name: &str) -> Option<Self> {
        let words = |list: [&str; 1]| list.map(str::to_owned).to_vec();
        let events = |time: &str, press, release| RowShape::Events {
            time: time.to_owned(),
            edge: "edge".to_owned(),
            press: words([press]),
            release: words([release]),
        };
        let pairs = |press: &str, release: &str| RowShape::Pairs {
            press: press.to_owned(),
            end: PairEnd::Release(release.to_owned()),
        };
        use {KeyNames as K, TimeUnit as U};
        let (shape, unit, code, keys) = match name {
            "events" => (events("t_us", "press", "release"), U::Microseconds, "code", K::Code),
            "events-ms" => (events("t_ms", "keydown", "keyup"), U::Milliseconds, "code", K::Code),
            "events-key-ms" => (events("t_ms", "keydown", "keyup"), U::Milliseconds, "key", K::Key),
            "pairs-ms" => (pairs("press_ms", "release_ms"), U::Milliseconds, "code", K::Code),
            "pairs-s" => (pairs("press_s", "release_s"), U::Seconds, "code", K::Code),
            "pairs-usage-ms" => (pairs("press_ms", "release_ms"), U::Milliseconds, "usage", K::Usage),
            "pairs-keycode-ms" => (pairs("press_ms", "release_ms"), U::Milliseconds, "keycode", K::KeyCode),
            "dwell-ms" => {
                let end = PairEnd::Dwell("dwell_ms".to_owned());
                let shape = RowShape::Pairs { press: "press_ms".to_owned(), end };
                (shape, U::Milliseconds, "code", K::Code)
            }
            "redacted" => (pairs("press_us", "release_us"), U::Microseconds, "class", K::Class),
            _ => return None,
        };
        Some(Self {
            delimiter: ',',
            quotes: true,
            header: None,
            shape,
            unit,
            code: code.to_owned(),
            keys,
            names: BTreeMap::new(),
            participant: Some("participant".to_owned()),
            session: Some("session".to_owned()),
            intent: Some("intent".to_owned()),
            target: Some("target".to_owned()),
        })
    }

    /// The presets whose needed columns are all in this header: what a log might be.
    pub fn fitting(header: &[&str]) -> Vec<&'static str> {
        let fits = |layout: &Self| layout.needed().iter().all(|(_, column)| header.contains(&column.as_str()));
        Self::presets().map(|(name, _)| name).filter(|name| Self::preset(name).is_some_and(|l| fits(&l))).collect()
    }

    /// The columns that are read: those a file must have, then those that may be missing.
    pub fn columns(&self) -> Vec<&str> {
        let mut columns: Vec<&str> = self.needed().into_iter().map(|(_, column)| column.as_str()).collect();
        columns.extend(self.intent.as_deref().into_iter().chain(self.target.as_deref()));
        columns
    }

    /// The columns a file must have, each with the key of a layout that names it.
    pub(crate) fn needed(&self) -> Vec<(&'static str, &String)> {
        let mut needed = Vec::new();
        needed.extend(self.session.as_ref().map(|column| ("session", column)));
        needed.extend(self.participant.as_ref().map(|column| ("participant", column)));
        needed.push(("code", &self.code));
        match &self.shape {
            RowShape::Events { time, edge, .. } => needed.extend([("time", time), ("edge", edge)]),
            RowShape::Pairs { press, end: PairEnd::Release(release) } => {
                needed.extend([("press", press), ("release", release)]);
            }
            RowShape::Pairs { press, end: PairEnd::Dwell(dwell) } => {
                needed.extend([("press", press), ("dwell", dwell)])
            }
        }
        needed
    }

    /// Every mistake: the key at fault and what is wrong with it.
    pub(crate) fn mistakes(&self) -> Vec<(String, String)> {
        let mut mistakes = Vec::new();
        if !self.delimiter.is_ascii() || matches!(self.delimiter, '"' | '\n' | '\r' | '\0') {
            let message = format!("{:?} cannot stand between fields; use `,`, `;` or a tab", self.delimiter);
            mistakes.push(("delimiter".to_owned(), message));
        }
        let mut columns = self.needed();
        columns.extend(self.intent.as_ref().map(|column| ("intent", column)));
        columns.extend(self.target.as_ref().map(|column| ("target", column)));
        for (place, (key, column)) in columns.iter().enumerate() {
            if column.is_empty() {
                mistakes.push((format!("columns.{key}"), "must name a column".to_owned()));
            } else if let Some((earlier, _)) = columns[..place].iter().find(|(_, other)| other == column) {
                let message = format!("column `{column}` is already taken for `columns.{earlier}`");
                mistakes.push((format!("columns.{key}"), message));
            }
        }
        if let RowShape::Events { press, release, .. } = &self.shape {
            for (key, list) in [("edges.press", press), ("edges.release", release)] {
                if list.is_empty() || list.iter().any(|word| word.trim().is_empty()) {
                    mistakes.push((key.to_owned(), "must hold at least one value and no blank one".to_owned()));
                }
            }
            if let Some(both) = press.iter().find(|word| release.contains(word)) {
                mistakes.push(("edges.release".to_owned(), format!("`{both}` also stands for a press")));
            }
        }
        if let Some(header) = &self.header {
            for (key, column) in self.needed() {
                if !header.contains(column) {
                    let message = format!("lacks the column `{column}` that `columns.{key}` names");
                    mistakes.push(("header".to_owned(), message));
                }
            }
        }
        mistakes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_preset_is_sound_and_told_by_its_header() {
        for (name, _) in LogLayout::presets() {
            let layout = LogLayout::preset(name).unwrap();
            assert_eq!(layout.mistakes(), [], "{name}");
            let header: Vec<&str> = layout.needed().iter().map(|(_, column)| column.as_str()).collect();
            assert!(LogLayout::fitting(&header).contains(&name), "{name}");
        }
        assert!(LogLayout::preset("sideways").is_none());
        assert_eq!(LogLayout::fitting(&["a", "b"]), [""; 0]);
    }

    #[test]
    fn all_mistakes_at_once() {
        let mut layout = LogLayout::events();
        layout.delimiter = '"';
        layout.code = "t_us".to_owned();
        layout.session = Some(String::new());
        layout.header = Some(vec!["code".to_owned()]);
        let keys: Vec<String> = layout.mistakes().into_iter().map(|(key, _)| key).collect();
        assert_eq!(keys[..3], ["delimiter", "columns.session", "columns.time"]);
        assert!(keys[3..].iter().all(|key| key == "header") && keys.len() > 4, "{keys:?}");
    }
}

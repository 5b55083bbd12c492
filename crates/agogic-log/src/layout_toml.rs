//! A layout written as TOML.

use std::fmt;

use agogic_keys::Code;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::layout::{LogLayout, PairEnd, RowShape};
use crate::{KeyNames, TimeUnit};
use agogic_keys::one_line;

/// One mistake in a layout.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LayoutMistake {
    /// Line, from 1; `None` for a layout that was not read from a text.
    pub line: Option<usize>,
    /// Dotted path of the key; empty when the text is no TOML.
    pub key: String,
    /// What is wrong and how to mend it.
    pub message: String,
}

impl fmt::Display for LayoutMistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}: ")?;
        }
        if !self.key.is_empty() {
            write!(f, "`{}`: ", one_line(&self.key))?;
        }
        f.write_str(&one_line(&self.message))
    }
}

/// Why a layout was refused: all mistakes, in the order of their lines; never empty.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", .0.iter().map(LayoutMistake::to_string).collect::<Vec<_>>().join("\n"))]
pub struct LayoutMistakes(pub Vec<LayoutMistake>);

const TOP: [&str; 9] = ["from", "delimiter", "quotes", "header", "unit", "keys", "columns", "edges", "names"];
const COLUMNS: [&str; 9] = ["session", "participant", "time", "code", "edge", "press", "release", "dwell", "intent"];
const EDGES: [&str; 2] = ["press", "release"];

struct Mistakes<'s> {
    source: &'s str,
    list: Vec<LayoutMistake>,
    lines: Vec<(String, usize)>,
}

impl Mistakes<'_> {
    fn line(&self, offset: usize) -> usize {
        1 + self.source.bytes().take(offset).filter(|byte| *byte == b'\n').count()
    }

    fn add(&mut self, offset: usize, key: &str, message: impl Into<String>) {
        let line = Some(self.line(offset));
        self.list.push(LayoutMistake { line, key: key.to_owned(), message: message.into() });
    }

    /// Notes where each key stands, and reports those that are none.
    fn known(&mut self, table: &DeTable<'_>, path: &str, known: &[&str]) {
        for (key, value) in table {
            let name = key.get_ref().as_ref();
            let place = format!("{path}{name}");
            self.lines.push((place.clone(), self.line(key.span().start)));
            if !known.contains(&name) {
                let near =
                    known.iter().max_by(|a, b| strsim::jaro_winkler(a, name).total_cmp(&strsim::jaro_winkler(b, name)));
                let hint = near.map_or(String::new(), |near| format!("; did you mean `{near}`?"));
                self.add(value.span().start, &place, format!("there is no such key{hint}"));
            }
        }
    }

    fn text(&mut self, table: &DeTable<'_>, path: &str, key: &str) -> Option<(String, usize)> {
        let value = find(table, key)?;
        match value.get_ref() {
            DeValue::String(text) => Some((text.to_string(), value.span().start)),
            _ => {
                self.add(value.span().start, &format!("{path}{key}"), "must be a text in quotes");
                None
            }
        }
    }

    fn texts(&mut self, table: &DeTable<'_>, path: &str, key: &str) -> Option<Vec<String>> {
        let value = find(table, key)?;
        let list = match value.get_ref() {
            DeValue::Array(list) => list
                .iter()
                .map(|item| match item.get_ref() {
                    DeValue::String(text) => Some(text.to_string()),
                    _ => None,
                })
                .collect(),
            _ => None,
        };
        if list.is_none() {
            self.add(value.span().start, &format!("{path}{key}"), "must be a list of texts, such as [\"a\", \"b\"]");
        }
        list
    }

    fn table<'t, 'i>(&mut self, table: &'t DeTable<'i>, key: &str) -> Option<&'t DeTable<'i>> {
        let value = find(table, key)?;
        match value.get_ref() {
            DeValue::Table(inner) => Some(inner),
            _ => {
                self.add(value.span().start, key, format!("must be a table: write [{key}]"));
                None
            }
        }
    }

    fn choice<T: Copy>(&mut self, found: Option<(String, usize)>, key: &str, list: &[(&str, T)]) -> Option<T> {
        let (text, at) = found?;
        let chosen = list.iter().find(|(name, _)| *name == text).map(|(_, value)| *value);
        if chosen.is_none() {
            let names: Vec<&str> = list.iter().map(|(name, _)| *name).collect();
            self.add(at, key, format!("`{text}` is unknown; choose one of: {}", names.join(", ")));
        }
        chosen
    }
}

fn find<'t, 'i>(table: &'t DeTable<'i>, key: &str) -> Option<&'t Spanned<DeValue<'i>>> {
    table.iter().find(|(name, _)| name.get_ref().as_ref() == key).map(|(_, value)| value)
}

impl LogLayout {
    /// Reads a layout.
    ///
    /// # Shape
    /// `from` names the preset to start from (`events` if it is not given); every other key changes it:
    /// `delimiter`, `quotes`, `header`, `unit` (`s`, `ms`, `us`, `ns`), `keys` (`code`, `key`, `usage`,
    /// `keycode`, `class`),
    /// the table `columns` (`session`, `participant`, `code`, `intent`, `target`; `time` and `edge`, or
    /// `press` and `release`, or `press` and `dwell`), the table `edges` (`press`, `release`: lists of the
    /// values that stand for them) and the table `names` (further key names with their W3C code). An empty
    /// text for `session` or `participant` says that there is no such column.
    ///
    /// # Errors
    /// All mistakes at once.
    pub fn from_toml(source: &str) -> Result<Self, LayoutMistakes> {
        let mut mistakes = Mistakes { source, list: Vec::new(), lines: Vec::new() };
        let parsed = match DeTable::parse(source) {
            Ok(parsed) => parsed,
            Err(error) => {
                mistakes.add(error.span().map_or(0, |span| span.start), "", error.message());
                return Err(LayoutMistakes(mistakes.list));
            }
        };
        let top = parsed.get_ref();
        mistakes.known(top, "", &TOP);
        let presets: Vec<(&str, &str)> = Self::presets().map(|(name, _)| (name, name)).collect();
        let from = mistakes.text(top, "", "from");
        let from = mistakes.choice(from, "from", &presets).unwrap_or("events");
        let mut layout = Self::preset(from).expect("the name was chosen from the list");
        layout.change(top, &mut mistakes);
        for (key, message) in layout.mistakes() {
            let line = mistakes.lines.iter().find(|(known, _)| *known == key).map_or(1, |(_, line)| *line);
            mistakes.list.push(LayoutMistake { line: Some(line), key, message });
        }
        if mistakes.list.is_empty() {
            return Ok(layout);
        }
        mistakes.list.sort_by(|a, b| (a.line, &a.key).cmp(&(b.line, &b.key)));
        Err(LayoutMistakes(mistakes.list))
    }

    fn change(&mut self, top: &DeTable<'_>, mistakes: &mut Mistakes<'_>) {
        if let Some((text, at)) = mistakes.text(top, "", "delimiter") {
            let mut characters = text.chars();
            match (text.as_str(), characters.next(), characters.next()) {
                ("tab", ..) => self.delimiter = '\t',
                (_, Some(one), None) => self.delimiter = one,
                _ => mistakes.add(at, "delimiter", "must be one character, or `tab`"),
            }
        }
        if let Some(value) = find(top, "quotes") {
            match value.get_ref() {
                DeValue::Boolean(quotes) => self.quotes = *quotes,
                _ => mistakes.add(value.span().start, "quotes", "must be true or false"),
            }
        }
        if let Some(header) = mistakes.texts(top, "", "header") {
            self.header = Some(header);
        }
        let unit = mistakes.text(top, "", "unit");
        if let Some(unit) = mistakes.choice(unit, "unit", &TimeUnit::ALL.map(|unit| (unit.name(), unit))) {
            self.unit = unit;
        }
        let keys = mistakes.text(top, "", "keys");
        if let Some(keys) = mistakes.choice(keys, "keys", &KeyNames::ALL.map(|keys| (keys.name(), keys))) {
            self.keys = keys;
        }
        if let Some(columns) = mistakes.table(top, "columns") {
            self.change_columns(columns, mistakes);
        }
        if let Some(edges) = mistakes.table(top, "edges") {
            mistakes.known(edges, "edges.", &EDGES);
            let (new_press, new_release) =
                (mistakes.texts(edges, "edges.", "press"), mistakes.texts(edges, "edges.", "release"));
            match &mut self.shape {
                RowShape::Events { press, release, .. } => {
                    *press = new_press.unwrap_or_else(|| std::mem::take(press));
                    *release = new_release.unwrap_or_else(|| std::mem::take(release));
                }
                RowShape::Pairs { .. } => {
                    let at = find(top, "edges").map_or(0, |value| value.span().start);
                    mistakes.add(at, "edges", "a row that holds press and release has no edges");
                }
            }
        }
        if let Some(names) = mistakes.table(top, "names") {
            for (name, value) in names {
                let name = name.get_ref().to_string();
                let code = match value.get_ref() {
                    DeValue::String(code) => code.parse::<Code>().map_err(|error| error.to_string()),
                    _ => Err("must be a W3C code in quotes".to_owned()),
                };
                match code {
                    Ok(code) => drop(self.names.insert(name, code)),
                    Err(message) => mistakes.add(value.span().start, &format!("names.{name}"), message),
                }
            }
        }
    }

    fn change_columns(&mut self, columns: &DeTable<'_>, mistakes: &mut Mistakes<'_>) {
        let known: Vec<&str> = COLUMNS.into_iter().chain(["target"]).collect();
        mistakes.known(columns, "columns.", &known);
        let mut given = |key: &str| mistakes.text(columns, "columns.", key).map(|(text, _)| text);
        for (key, place) in [
            ("session", &mut self.session),
            ("participant", &mut self.participant),
            ("intent", &mut self.intent),
            ("target", &mut self.target),
        ] {
            if let Some(column) = given(key) {
                *place = (!column.is_empty()).then_some(column);
            }
        }
        if let Some(code) = given("code") {
            self.code = code;
        }
        let (new_time, new_edge) = (given("time"), given("edge"));
        let (new_press, new_release, new_dwell) = (given("press"), given("release"), given("dwell"));
        if new_release.is_some() && new_dwell.is_some() {
            let at = find(columns, "dwell").map_or(0, |value| value.span().start);
            mistakes.add(at, "columns.dwell", "name either `release` or `dwell`, not both");
        }
        match &mut self.shape {
            RowShape::Events { time, edge, .. } => {
                *time = new_time.unwrap_or_else(|| std::mem::take(time));
                *edge = new_edge.unwrap_or_else(|| std::mem::take(edge));
                for key in ["press", "release", "dwell"] {
                    if let Some(value) = find(columns, key) {
                        let message = "rows of this preset are single edges; start `from = \"pairs-ms\"`";
                        mistakes.add(value.span().start, &format!("columns.{key}"), message);
                    }
                }
            }
            RowShape::Pairs { press, end } => {
                *press = new_press.unwrap_or_else(|| std::mem::take(press));
                if let Some(dwell) = new_dwell {
                    *end = PairEnd::Dwell(dwell);
                } else if let Some(release) = new_release {
                    *end = PairEnd::Release(release);
                }
                for key in ["time", "edge"] {
                    if let Some(value) = find(columns, key) {
                        let message = "rows of this preset hold press and release; start `from = \"events\"`";
                        mistakes.add(value.span().start, &format!("columns.{key}"), message);
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_foreign_log_is_described_in_a_few_lines() {
        let layout = LogLayout::from_toml(
            "from = \"pairs-ms\"\ndelimiter = \"tab\"\nquotes = false\nkeys = \"key\"\nunit = \"s\"\n\
             [columns]\nparticipant = \"who\"\nsession = \"\"\npress = \"down\"\nrelease = \"up\"\ncode = \"letter\"\n\
             [names]\nBKSP = \"Backspace\"\n",
        )
        .unwrap();
        assert_eq!((layout.delimiter, layout.unit, layout.keys), ('\t', TimeUnit::Seconds, KeyNames::Key));
        assert!(!layout.quotes && LogLayout::from_toml("quotes = 1").is_err());
        assert_eq!(layout.session, None);
        assert_eq!(layout.participant.as_deref(), Some("who"));
        assert_eq!(layout.names["BKSP"], Code::BACKSPACE);
        let end = PairEnd::Release("up".to_owned());
        assert_eq!(layout.shape, RowShape::Pairs { press: "down".to_owned(), end });
        assert_eq!(LogLayout::from_toml("").unwrap(), LogLayout::events());
    }

    #[test]
    fn each_mistake_is_one_line_that_a_terminal_only_shows() {
        let refused = LogLayout::from_toml("from = \"\\u001b[2J\"\n\"a\\nb\" = 1\n").unwrap_err().to_string();
        assert!(refused.lines().count() == 2 && !refused.contains('\u{1b}'), "{refused}");
    }

    #[test]
    fn all_mistakes_are_told_with_their_lines() {
        let source = "from = \"events\"\nunit = \"hours\"\nkyes = \"code\"\ndelimiter = \"\\\"\"\n\
                      [columns]\npress = \"down\"\ncode = \"edge\"\n[edges]\npress = 1\n[names]\nQ = \"KeyÄ\"\n";
        let mistakes = LogLayout::from_toml(source).unwrap_err();
        let told: Vec<(usize, &str)> = mistakes.0.iter().map(|m| (m.line.unwrap(), m.key.as_str())).collect();
        assert_eq!(
            told,
            [
                (2, "unit"),
                (3, "kyes"),
                (4, "delimiter"),
                (6, "columns.press"),
                // The collision is told at the later of the two columns, which the preset names.
                (1, "columns.edge"),
                (9, "edges.press"),
                (11, "names.Q")
            ]
            .into_iter()
            .collect::<std::collections::BTreeSet<_>>()
            .into_iter()
            .collect::<Vec<_>>()
        );
        assert!(mistakes.to_string().contains("did you mean `keys`?"));
    }

    #[test]
    fn what_is_no_toml_is_said_with_its_line() {
        let mistakes = LogLayout::from_toml("from = \"events\"\n[columns\n").unwrap_err();
        assert_eq!(mistakes.0[0].line, Some(2));
        assert!(LogLayout::from_toml("columns = 3").is_err());
        let both =
            "from = \"pairs-ms\"\n[columns]\nrelease = \"a\"\ndwell = \"b\"\ntime = \"c\"\n[edges]\npress = []\n";
        assert_eq!(LogLayout::from_toml(both).unwrap_err().0.len(), 3);
    }
}

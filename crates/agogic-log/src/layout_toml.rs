//! A layout written as TOML.

use agogic_keys::Code;
use agogic_toml::{Mistakes, Section};

use crate::layout::{LogLayout, PairEnd, RowShape};
use crate::{KeyNames, TimeUnit};

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
    /// All mistakes at once, with line and key.
    pub fn from_toml(source: &str) -> Result<Self, Mistakes> {
        agogic_toml::read(source, |root| {
            let presets: Vec<(&str, &str)> = Self::presets().map(|(name, _)| (name, name)).collect();
            let from = root.choice("from", &presets).map_or("events", |found| found.value);
            let mut layout = Self::preset(from).expect("the name was chosen from the list");
            layout.change(root);
            for (key, message) in layout.mistakes() {
                root.refuse(&key.split('.').collect::<Vec<_>>(), message);
            }
            Some(layout)
        })
    }

    fn change(&mut self, root: &Section<'_, '_>) {
        if let Some(found) = root.text("delimiter") {
            let mut characters = found.value.chars();
            match (found.value.as_str(), characters.next(), characters.next()) {
                ("tab", ..) => self.delimiter = '\t',
                (_, Some(one), None) => self.delimiter = one,
                _ => root.refuse(&["delimiter"], "must be one character, or `tab`"),
            }
        }
        if let Some(quotes) = root.flag("quotes") {
            self.quotes = quotes.value;
        }
        if let Some(header) = root.texts("header") {
            self.header = Some(header.value);
        }
        if let Some(unit) = root.choice("unit", &TimeUnit::ALL.map(|unit| (unit.name(), unit))) {
            self.unit = unit.value;
        }
        if let Some(keys) = root.choice("keys", &KeyNames::ALL.map(|keys| (keys.name(), keys))) {
            self.keys = keys.value;
        }
        if let Some(columns) = root.section("columns") {
            self.change_columns(&columns);
            columns.finish();
        }
        if let Some(edges) = root.section("edges") {
            let given = |key| edges.texts(key).map(|found| found.value);
            let (new_press, new_release) = (given("press"), given("release"));
            edges.finish();
            match &mut self.shape {
                RowShape::Events { press, release, .. } => {
                    *press = new_press.unwrap_or_else(|| std::mem::take(press));
                    *release = new_release.unwrap_or_else(|| std::mem::take(release));
                }
                RowShape::Pairs { .. } => {
                    root.refuse(&["edges"], "a row that holds press and release has no edges; leave this table out");
                }
            }
        }
        for found in root.named_texts("names") {
            let (name, code) = &found.value;
            match code.parse::<Code>() {
                Ok(code) => drop(self.names.insert(name.clone(), code)),
                Err(unknown) => root.diagnostics().at(&found, unknown.to_string()),
            }
        }
    }

    fn change_columns(&mut self, columns: &Section<'_, '_>) {
        let given = |key| columns.text(key).map(|found| found.value);
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
            columns.refuse(&["dwell"], "name either `release` or `dwell`, not both");
        }
        let refuse = |keys: &[&'static str], message: &str| {
            for key in keys.iter().filter(|key| columns.contains(key)) {
                columns.refuse(&[key], message);
            }
        };
        match &mut self.shape {
            RowShape::Events { time, edge, .. } => {
                *time = new_time.unwrap_or_else(|| std::mem::take(time));
                *edge = new_edge.unwrap_or_else(|| std::mem::take(edge));
                let message = "rows of this preset are single edges; start `from = \"pairs-ms\"`";
                refuse(&["press", "release", "dwell"], message);
            }
            RowShape::Pairs { press, end } => {
                *press = new_press.unwrap_or_else(|| std::mem::take(press));
                if let Some(dwell) = new_dwell {
                    *end = PairEnd::Dwell(dwell);
                } else if let Some(release) = new_release {
                    *end = PairEnd::Release(release);
                }
                let message = "rows of this preset hold press and release; start `from = \"events\"`";
                refuse(&["time", "edge"], message);
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
        let places: Vec<(usize, &str)> = mistakes.0.iter().map(|m| (m.line.unwrap(), m.key.as_str())).collect();
        assert_eq!(
            places,
            [
                (2, "unit"),
                (3, "kyes"),
                (4, "delimiter"),
                (6, "columns.press"),
                // The collision is told at the later of the two columns, which the preset names: at the table of columns.
                (5, "columns.edge"),
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

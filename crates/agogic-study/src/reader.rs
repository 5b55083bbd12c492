//! A TOML reader that goes on after a mistake, so that a user hears of all of them at once.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::fmt;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use agogic_keys::one_line;

use crate::excerpt::cut;

/// One mistake in a spec.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mistake {
    /// Line, from 1.
    pub line: usize,
    /// Dotted path of the key; empty when the file is no TOML.
    pub key: String,
    /// What is wrong and how to mend it.
    pub message: String,
}

impl fmt::Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}: ", self.line)?;
        if !self.key.is_empty() {
            write!(f, "`{}`: ", one_line(&self.key))?;
        }
        f.write_str(&one_line(&self.message))
    }
}

/// All mistakes of a spec, in the order of their lines; never empty.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct Mistakes(pub Vec<Mistake>);

impl fmt::Display for Mistakes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lines: Vec<String> = self.0.iter().map(Mistake::to_string).collect();
        f.write_str(&lines.join("\n"))
    }
}

/// A value with the place it was found at.
#[derive(Clone, Debug)]
pub(crate) struct Found<T> {
    pub value: T,
    pub line: usize,
    pub key: String,
}

/// Collects the mistakes of one source text.
pub(crate) struct Diagnostics {
    /// Where each line feed stands: a text of many lines is not counted through again for each of its keys.
    line_feeds: Vec<usize>,
    mistakes: RefCell<Vec<Mistake>>,
}

impl Diagnostics {
    pub fn new(source: &str) -> Self {
        let line_feeds = source.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at).collect();
        Self { line_feeds, mistakes: RefCell::new(Vec::new()) }
    }

    pub fn line_of(&self, offset: usize) -> usize {
        1 + self.line_feeds.partition_point(|&at| at < offset)
    }

    pub fn add(&self, line: usize, key: impl Into<String>, message: impl Into<String>) {
        self.mistakes.borrow_mut().push(Mistake { line, key: key.into(), message: message.into() });
    }

    pub fn at<T>(&self, found: &Found<T>, message: impl Into<String>) {
        self.add(found.line, found.key.clone(), message);
    }

    /// The mistakes in the order of their lines.
    pub fn finish(self) -> Result<(), Mistakes> {
        let mut mistakes = self.mistakes.into_inner();
        mistakes.sort_by(|a, b| (a.line, &a.key).cmp(&(b.line, &b.key)));
        // What is wrong with a part that several arms share is found in each of them.
        let mut told = BTreeSet::new();
        mistakes.retain(|mistake| told.insert((mistake.line, mistake.key.clone(), mistake.message.clone())));
        if mistakes.is_empty() { Ok(()) } else { Err(Mistakes(mistakes)) }
    }
}

/// One table of the spec. Keys that nobody asked for are mistakes.
pub(crate) struct Section<'a, 'i> {
    table: &'a DeTable<'i>,
    path: String,
    line: usize,
    log: &'a Diagnostics,
    asked: RefCell<Vec<&'static str>>,
}

impl<'a, 'i> Section<'a, 'i> {
    pub fn root(table: &'a Spanned<DeTable<'i>>, log: &'a Diagnostics) -> Self {
        Self::new(table.get_ref(), String::new(), 1, log)
    }

    fn new(table: &'a DeTable<'i>, path: String, line: usize, log: &'a Diagnostics) -> Self {
        Self { table, path, line, log, asked: RefCell::new(Vec::new()) }
    }

    fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    fn raw(&self, key: &'static str) -> Option<Found<&'a DeValue<'i>>> {
        self.asked.borrow_mut().push(key);
        let (at, value) = self.table.iter().find(|(k, _)| k.get_ref().as_ref() == key)?;
        let line = self.log.line_of(at.span().start);
        Some(Found { value: value.get_ref(), line, key: self.path_of(key) })
    }

    fn typed<T>(
        &self,
        key: &'static str,
        wanted: &str,
        convert: impl Fn(&'a DeValue<'i>) -> Option<T>,
    ) -> Option<Found<T>> {
        let found = self.raw(key)?;
        match convert(found.value) {
            Some(value) => Some(Found { value, line: found.line, key: found.key }),
            None => {
                let message = format!("must be {wanted}, not {}", kind(found.value));
                self.log.at(&found, message);
                None
            }
        }
    }

    pub fn text(&self, key: &'static str) -> Option<Found<String>> {
        self.typed(key, "a text in quotes", |value| value.as_str().map(str::to_owned))
    }

    pub fn number(&self, key: &'static str) -> Option<Found<f64>> {
        self.typed(key, "a number", as_number)
    }

    pub fn whole(&self, key: &'static str) -> Option<Found<u64>> {
        self.typed(key, "a whole number, zero or above", |value| match value {
            DeValue::Integer(n) => u64::from_str_radix(n.as_str(), n.radix()).ok(),
            _ => None,
        })
    }

    /// A whole number within `range`, `default` where there is none; one outside is a mistake.
    pub fn whole_within(&self, key: &'static str, default: u64, range: std::ops::RangeInclusive<u64>) -> u64 {
        let Some(found) = self.whole(key) else { return default };
        if range.contains(&found.value) {
            return found.value;
        }
        let (lo, hi) = (range.start(), range.end());
        self.log.at(&found, format!("must lie between {lo} and {hi}, not {}", found.value));
        default
    }

    /// The ends `from` and `to` of a range. `outside` says what an end that is not accepted must do instead, such as
    /// `lie between 1 and 2`; of the ends as they are rounded the second must be the larger. `None` only where a mistake was
    /// logged.
    pub fn range<K: PartialOrd>(
        &self,
        unit: &str,
        outside: impl Fn(f64) -> Option<String>,
        rounded: impl Fn(f64) -> K,
    ) -> Option<(f64, f64)> {
        let mut sound = true;
        let (from, to) = (self.number("from"), self.number("to"));
        for (key, end) in [("from", &from), ("to", &to)] {
            let Some(found) = end else {
                self.missing(key, format!("is missing or no number; a range needs `from` and `to`, in {unit}"));
                sound = false;
                continue;
            };
            if let Some(must) = outside(found.value) {
                self.log.at(found, format!("must {must}, not {}", found.value));
                sound = false;
            }
        }
        let (from, to) = (from?, to?);
        if sound && rounded(from.value) >= rounded(to.value) {
            self.log.at(&to, format!("must lie above `from` ({})", from.value));
            sound = false;
        }
        sound.then_some((from.value, to.value))
    }

    pub fn flag(&self, key: &'static str) -> Option<Found<bool>> {
        self.typed(key, "true or false", DeValue::as_bool)
    }

    pub fn texts(&self, key: &'static str) -> Option<Found<Vec<String>>> {
        self.typed(key, "a list of texts", |value| {
            value.as_array()?.iter().map(|item| item.get_ref().as_str().map(str::to_owned)).collect()
        })
    }

    /// Every entry of a table of numbers under `key`.
    pub fn numbers(&self, key: &'static str) -> Vec<Found<(String, f64)>> {
        self.entries(key, "a number", as_number)
    }

    /// Every entry of a table of texts under `key`.
    pub fn named_texts(&self, key: &'static str) -> Vec<Found<(String, String)>> {
        self.entries(key, "a text in quotes", |value| value.as_str().map(str::to_owned))
    }

    fn entries<T>(
        &self,
        key: &'static str,
        wanted: &str,
        convert: impl Fn(&DeValue<'i>) -> Option<T>,
    ) -> Vec<Found<(String, T)>> {
        let Some(table) = self.typed(key, "a table", DeValue::as_table) else { return Vec::new() };
        let mut entries = Vec::new();
        for (name, value) in table.value.iter() {
            let (name_text, line) = (name.get_ref().to_string(), self.log.line_of(name.span().start));
            let path = format!("{}.{name_text}", table.key);
            match convert(value.get_ref()) {
                Some(number) => entries.push(Found { value: (name_text, number), line, key: path }),
                None => self.log.add(line, path, format!("must be {wanted}, not {}", kind(value.get_ref()))),
            }
        }
        entries
    }

    /// The table under `key`.
    pub fn section(&self, key: &'static str) -> Option<Section<'a, 'i>> {
        let found = self.typed(key, "a table", DeValue::as_table)?;
        Some(Section::new(found.value, found.key, found.line, self.log))
    }

    /// Every table of the table under `key`, by its name.
    pub fn named_sections(&self, key: &'static str) -> Vec<(Found<String>, Section<'a, 'i>)> {
        let Some(found) = self.typed(key, "a table of tables", DeValue::as_table) else { return Vec::new() };
        let mut sections = Vec::new();
        for (name, value) in found.value.iter() {
            let (text, line) = (name.get_ref().to_string(), self.log.line_of(name.span().start));
            let path = format!("{}.{text}", found.key);
            match value.get_ref().as_table() {
                Some(table) => {
                    let place = Found { value: text, line, key: path.clone() };
                    sections.push((place, Section::new(table, path, line, self.log)));
                }
                None => self.log.add(line, path, format!("must be a table, not {}", kind(value.get_ref()))),
            }
        }
        sections
    }

    /// Every table of the list under `key`.
    pub fn sections(&self, key: &'static str) -> Vec<Section<'a, 'i>> {
        let Some(found) = self.typed(key, "a list of tables", DeValue::as_array) else { return Vec::new() };
        let mut sections = Vec::new();
        for (i, item) in found.value.iter().enumerate() {
            let (path, line) = (format!("{}[{}]", found.key, i + 1), self.log.line_of(item.span().start));
            match item.get_ref().as_table() {
                Some(table) => sections.push(Section::new(table, path, line, self.log)),
                None => self.log.add(line, path, format!("must be a table, not {}", kind(item.get_ref()))),
            }
        }
        sections
    }

    /// The whole section as a plain table, for something that reads itself and refuses unknown keys.
    pub fn plain_copy(&self) -> toml::Table {
        plain_table(self.table)
    }

    /// The line and the dotted path of a key below this section, or of the nearest one above it that is there.
    pub fn place_of(&self, path: &[String]) -> (usize, String) {
        let (mut table, mut line, mut dotted) = (Some(self.table), self.line, self.path.clone());
        for key in path {
            dotted = if dotted.is_empty() { key.clone() } else { format!("{dotted}.{key}") };
            let found = table.and_then(|table| table.iter().find(|(k, _)| k.get_ref().as_ref() == key.as_str()));
            if let Some((at, _)) = found {
                line = self.log.line_of(at.span().start);
            }
            table = found.and_then(|(_, value)| value.get_ref().as_table());
        }
        (line, dotted)
    }

    /// A list of numbers under `key`.
    pub fn number_list(&self, key: &'static str) -> Option<Found<Vec<f64>>> {
        self.typed(key, "a list of numbers", |value| {
            value.as_array()?.iter().map(|item| as_number(item.get_ref())).collect()
        })
    }

    /// A mistake about the section itself, such as a missing key.
    pub fn missing(&self, key: &str, message: impl Into<String>) {
        self.log.add(self.line, self.path_of(key), message);
    }

    pub fn line(&self) -> usize {
        self.line
    }

    pub fn diagnostics(&self) -> &'a Diagnostics {
        self.log
    }

    /// Reports every key that nobody asked for.
    pub fn finish(self) {
        let asked = self.asked.borrow();
        for (key, _) in self.table.iter() {
            let name = key.get_ref().as_ref();
            if !asked.contains(&name) {
                let line = self.log.line_of(key.span().start);
                let known = asked.join(", ");
                let hint = nearest(name, &asked).map_or(String::new(), |near| format!("; did you mean `{near}`?"));
                self.log.add(line, self.path_of(name), format!("is not a key here{hint} (keys here: {known})"));
            }
        }
    }
}

fn plain_table(table: &DeTable<'_>) -> toml::Table {
    table.iter().map(|(key, value)| (key.get_ref().to_string(), plain(value.get_ref()))).collect()
}

fn plain(value: &DeValue<'_>) -> toml::Value {
    match value {
        DeValue::String(text) => toml::Value::String(text.to_string()),
        DeValue::Integer(n) => i64::from_str_radix(n.as_str(), n.radix())
            .map_or_else(|_| toml::Value::String(n.as_str().to_owned()), toml::Value::Integer),
        DeValue::Float(_) => toml::Value::Float(as_number(value).unwrap_or(f64::NAN)),
        DeValue::Boolean(b) => toml::Value::Boolean(*b),
        DeValue::Datetime(at) => toml::Value::Datetime(*at),
        DeValue::Array(items) => toml::Value::Array(items.iter().map(|item| plain(item.get_ref())).collect()),
        DeValue::Table(table) => toml::Value::Table(plain_table(table)),
    }
}

fn as_number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Float(n) => n.as_str().replace('_', "").parse().ok(),
        DeValue::Integer(n) => i64::from_str_radix(n.as_str(), n.radix()).ok().map(|n| n as f64),
        _ => None,
    }
}

fn kind(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(s) => format!("the text \"{}\"", cut(s)),
        DeValue::Integer(n) => cut(n.as_str()).into_owned(),
        DeValue::Float(n) => cut(n.as_str()).into_owned(),
        DeValue::Boolean(b) => b.to_string(),
        DeValue::Datetime(_) => "a date".to_owned(),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

/// The candidate most like `name`, if one is alike at all.
pub(crate) fn nearest<'c>(name: &str, candidates: &[&'c str]) -> Option<&'c str> {
    candidates
        .iter()
        .map(|candidate| (strsim::jaro_winkler(name, candidate), *candidate))
        .filter(|(likeness, _)| *likeness > 0.8)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, candidate)| candidate)
}

/// What is wrong with a file in TOML, in one line that begins with the line of the file.
pub(crate) fn toml_refused(text: &str, refused: &toml::de::Error) -> String {
    match refused.span() {
        None => refused.message().to_owned(),
        Some(span) => format!("line {}: {}", Diagnostics::new(text).line_of(span.start), refused.message()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mistakes(source: &str, read: impl Fn(&Section<'_, '_>)) -> Vec<Mistake> {
        let log = Diagnostics::new(source);
        let table = DeTable::parse(source).unwrap();
        let root = Section::root(&table, &log);
        read(&root);
        root.finish();
        log.finish().map_or_else(|m| m.0, |()| Vec::new())
    }

    #[test]
    fn all_mistakes_come_with_line_and_key() {
        let source = "seed = \"one\"\nname = \"x\"\n\n[text]\nwrods = 1\n";
        let seen = mistakes(source, |root| {
            assert_eq!(root.text("name").unwrap().value, "x");
            assert!(root.whole("seed").is_none());
            let text = root.section("text").unwrap();
            assert!(text.text("words").is_none());
            text.finish();
        });
        let places: Vec<_> = seen.iter().map(|m| (m.line, m.key.as_str())).collect();
        assert_eq!(places, [(1, "seed"), (5, "text.wrods")]);
        assert!(seen[1].message.contains("did you mean `words`?"), "{}", seen[1]);
    }

    #[test]
    fn numbers_of_all_forms_are_read() {
        let seen = mistakes("a = 1_000\nb = 2.5\nc = 0x10\nd = -3\n", |root| {
            assert_eq!(root.number("a").unwrap().value, 1000.0);
            assert_eq!(root.number("b").unwrap().value, 2.5);
            assert_eq!(root.whole("c").unwrap().value, 16);
            assert!(root.whole("d").is_none());
        });
        assert_eq!(seen.len(), 1);
    }
}

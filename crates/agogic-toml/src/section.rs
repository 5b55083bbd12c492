//! A table and the keys that are asked of it.

use std::cell::RefCell;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::diagnostics::{Diagnostics, Found};
use crate::excerpt::excerpt;
use crate::nearest::hint;

/// One table of a text. Keys that nobody asked for are mistakes.
pub struct Section<'a, 'i> {
    table: &'a DeTable<'i>,
    path: String,
    line: usize,
    log: &'a Diagnostics,
    asked: RefCell<Vec<&'static str>>,
}

impl<'a, 'i> Section<'a, 'i> {
    pub(crate) fn root(table: &'a Spanned<DeTable<'i>>, log: &'a Diagnostics) -> Self {
        Self::new(table.get_ref(), String::new(), 1, log)
    }

    fn new(table: &'a DeTable<'i>, path: String, line: usize, log: &'a Diagnostics) -> Self {
        Self { table, path, line, log, asked: RefCell::new(Vec::new()) }
    }

    fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    fn raw(&self, key: &'static str) -> Option<Found<&'a DeValue<'i>>> {
        if !self.asked.borrow().contains(&key) {
            self.asked.borrow_mut().push(key);
        }
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

    /// A text under `key`. Here and below `None` stands for a key that is not there, and for a mistake, which is logged.
    pub fn text(&self, key: &'static str) -> Option<Found<String>> {
        self.typed(key, "a text in quotes", as_text)
    }

    /// A number under `key`, whole or not.
    pub fn number(&self, key: &'static str) -> Option<Found<f64>> {
        self.typed(key, "a number", as_number)
    }

    /// A whole number, zero or above, under `key`.
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

    /// A truth value under `key`.
    pub fn flag(&self, key: &'static str) -> Option<Found<bool>> {
        self.typed(key, "true or false", DeValue::as_bool)
    }

    /// One of the named values under `key`.
    pub fn choice<T: Copy>(&self, key: &'static str, list: &[(&'static str, T)]) -> Option<Found<T>> {
        let found = self.text(key)?;
        let chosen = list.iter().find(|(name, _)| *name == found.value);
        if chosen.is_none() {
            let names: Vec<&str> = list.iter().map(|(name, _)| *name).collect();
            let message = format!("`{}` is unknown; choose one of: {}", excerpt(&found.value), names.join(", "));
            self.log.at(&found, message);
        }
        chosen.map(|(_, value)| Found { value: *value, line: found.line, key: found.key })
    }

    /// A list of texts under `key`.
    pub fn texts(&self, key: &'static str) -> Option<Found<Vec<String>>> {
        let items = self.text_items(key)?;
        let value = items.value.into_iter().map(|item| item.value).collect();
        Some(Found { value, line: items.line, key: items.key })
    }

    /// A list of texts under `key`, each with its own place.
    pub fn text_items(&self, key: &'static str) -> Option<Found<Vec<Found<String>>>> {
        self.items(key, "a list of texts", "a text in quotes", as_text)
    }

    /// A list of numbers under `key`.
    pub fn number_list(&self, key: &'static str) -> Option<Found<Vec<f64>>> {
        let items = self.items(key, "a list of numbers", "a number", as_number)?;
        let value = items.value.into_iter().map(|item| item.value).collect();
        Some(Found { value, line: items.line, key: items.key })
    }

    fn items<T>(
        &self,
        key: &'static str,
        list: &str,
        wanted: &str,
        convert: impl Fn(&DeValue<'i>) -> Option<T>,
    ) -> Option<Found<Vec<Found<T>>>> {
        let found = self.typed(key, list, DeValue::as_array)?;
        let mut items = Vec::new();
        for (i, item) in found.value.iter().enumerate() {
            let (path, line) = (format!("{}[{}]", found.key, i + 1), self.log.line_of(item.span().start));
            match convert(item.get_ref()) {
                Some(value) => items.push(Found { value, line, key: path }),
                None => self.log.add(line, path, format!("must be {wanted}, not {}", kind(item.get_ref()))),
            }
        }
        (items.len() == found.value.len()).then_some(Found { value: items, line: found.line, key: found.key })
    }

    /// Every entry of a table of numbers under `key`.
    pub fn numbers(&self, key: &'static str) -> Vec<Found<(String, f64)>> {
        self.section(key).map_or(Vec::new(), |section| section.all_numbers())
    }

    /// Every entry of this table, which holds numbers by names of the user's.
    pub fn all_numbers(&self) -> Vec<Found<(String, f64)>> {
        self.entries("a number", as_number)
    }

    /// Every entry of a table of texts under `key`.
    pub fn named_texts(&self, key: &'static str) -> Vec<Found<(String, String)>> {
        self.section(key).map_or(Vec::new(), |section| section.entries("a text in quotes", as_text))
    }

    fn entries<T>(&self, wanted: &str, convert: impl Fn(&DeValue<'i>) -> Option<T>) -> Vec<Found<(String, T)>> {
        let mut entries = Vec::new();
        for (name, value) in self.table.iter() {
            let (name_text, line) = (name.get_ref().to_string(), self.log.line_of(name.span().start));
            let path = self.path_of(&name_text);
            match convert(value.get_ref()) {
                Some(value) => entries.push(Found { value: (name_text, value), line, key: path }),
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

    /// The line and the dotted path of a key below this section, or of the nearest one above it that is there.
    pub fn place_of(&self, path: &[impl AsRef<str>]) -> (usize, String) {
        let (mut table, mut line, mut dotted) = (Some(self.table), self.line, self.path.clone());
        for key in path.iter().map(AsRef::as_ref) {
            dotted = if dotted.is_empty() { key.to_owned() } else { format!("{dotted}.{key}") };
            let found = table.and_then(|table| table.iter().find(|(k, _)| k.get_ref().as_ref() == key));
            if let Some((at, _)) = found {
                line = self.log.line_of(at.span().start);
            }
            table = found.and_then(|(_, value)| value.get_ref().as_table());
        }
        (line, dotted)
    }

    /// A mistake about the table itself, such as a missing key.
    pub fn missing(&self, key: &str, message: impl Into<String>) {
        self.log.add(self.line, self.path_of(key), message);
    }

    /// Whether `key` is there, whatever its value. It counts as asked for.
    pub fn contains(&self, key: &'static str) -> bool {
        self.raw(key).is_some()
    }

    /// Whether a table is under `key`. It counts as asked for.
    pub fn is_table(&self, key: &'static str) -> bool {
        self.raw(key).is_some_and(|found| found.value.as_table().is_some())
    }

    /// A mistake about a key below this table, or about one that is not there, at the nearest place.
    pub fn refuse(&self, path: &[impl AsRef<str>], message: impl Into<String>) {
        let (line, key) = self.place_of(path);
        self.log.add(line, key, message);
    }

    /// The line of the table.
    pub fn line(&self) -> usize {
        self.line
    }

    /// Where mistakes of this text are collected.
    pub fn diagnostics(&self) -> &'a Diagnostics {
        self.log
    }

    /// Reports every key that nobody asked for. For the outermost table this is done at the end.
    pub fn finish(&self) {
        let asked = self.asked.borrow();
        for (key, _) in self.table.iter() {
            let name = key.get_ref().as_ref();
            if !asked.contains(&name) {
                let line = self.log.line_of(key.span().start);
                let known = asked.join(", ");
                let hint = hint(name, &asked);
                self.log.add(line, self.path_of(name), format!("is not a key here{hint} (keys here: {known})"));
            }
        }
    }
}

fn as_text(value: &DeValue<'_>) -> Option<String> {
    value.as_str().map(str::to_owned)
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
        DeValue::String(s) => format!("the text \"{}\"", excerpt(s)),
        DeValue::Integer(n) => excerpt(n.as_str()).into_owned(),
        DeValue::Float(n) => excerpt(n.as_str()).into_owned(),
        DeValue::Boolean(b) => b.to_string(),
        DeValue::Datetime(_) => "a date".to_owned(),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mistakes::Mistake;

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
        assert_eq!(places, [(Some(1), "seed"), (Some(5), "text.wrods")]);
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

    #[test]
    fn each_item_of_a_list_has_its_own_place() {
        let seen = mistakes("a = [\"x\",\n  7,\n  \"y\", true]\nb = 1\nc = [1, 2.5]\nd = [\"x\"]\n", |root| {
            assert!(root.texts("a").is_none() && root.texts("b").is_none() && root.texts("e").is_none());
            assert_eq!(root.number_list("c").unwrap().value, [1.0, 2.5]);
            let items = root.text_items("d").unwrap().value;
            assert_eq!((items[0].line, items[0].key.as_str()), (6, "d[1]"));
        });
        let lines: Vec<String> = seen.iter().map(Mistake::to_string).collect();
        let expected = [
            "line 2: `a[2]`: must be a text in quotes, not 7",
            "line 3: `a[4]`: must be a text in quotes, not true",
            "line 4: `b`: must be a list of texts, not 1",
        ];
        assert_eq!(lines, expected);
    }

    #[test]
    fn tables_of_the_users_names_are_read_entry_by_entry() {
        let seen = mistakes("[sizes]\na = 1\nb = \"2\"\n[pairs.a]\nb = 0.5\n[colours]\nc = \"blue\"\n", |root| {
            let sizes = root.numbers("sizes");
            assert_eq!((sizes.len(), sizes[0].value.clone()), (1, ("a".to_owned(), 1.0)));
            let pairs = root.named_sections("pairs");
            assert_eq!((pairs[0].0.value.as_str(), pairs[0].1.all_numbers()[0].key.as_str()), ("a", "pairs.a.b"));
            assert_eq!(root.named_texts("colours")[0].value.1, "blue");
            assert!(root.contains("sizes") && !root.contains("shapes"));
            assert!(root.is_table("sizes") && !root.is_table("shapes"));
            root.refuse(&["pairs", "a", "x"], "is wanted");
        });
        let lines: Vec<String> = seen.iter().map(Mistake::to_string).collect();
        assert_eq!(
            lines,
            ["line 3: `sizes.b`: must be a number, not the text \"2\"", "line 4: `pairs.a.x`: is wanted"]
        );
    }

    #[test]
    fn a_choice_names_what_could_be_chosen() {
        let seen = mistakes("a = \"two\"\nb = \"three\"\n", |root| {
            let list = [("one", 1), ("two", 2)];
            assert_eq!(root.choice("a", &list).unwrap().value, 2);
            assert!(root.choice("b", &list).is_none() && root.choice("c", &list).is_none());
        });
        assert_eq!(seen.len(), 1);
        assert_eq!(seen[0].to_string(), "line 2: `b`: `three` is unknown; choose one of: one, two");
    }
}

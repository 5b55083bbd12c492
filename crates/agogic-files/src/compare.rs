//! Two result folders held against each other, byte by byte; where they part, to the row and the column.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::io::Cursor;

use polars::prelude::*;
use serde_json::Value;

/// The first place at which a file differs.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Difference {
    /// The file.
    pub file: String,
    /// Where in it, such as `row 3, column ci_hi`.
    pub place: String,
    /// What stands there in the first folder.
    pub first: String,
    /// What stands there in the second.
    pub second: String,
    /// How many places differ; `None` where that was not counted.
    pub places: Option<usize>,
}

impl fmt::Display for Difference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}: {} before, {} now", self.file, self.place, self.first, self.second)?;
        match self.places {
            Some(places) if places > 1 => write!(f, " ({places} places in all)"),
            _ => Ok(()),
        }
    }
}

/// Every file that differs, in order of name, with the first place that does.
pub fn differences(first: &BTreeMap<String, Vec<u8>>, second: &BTreeMap<String, Vec<u8>>) -> Vec<Difference> {
    let names: BTreeSet<&String> = first.keys().chain(second.keys()).collect();
    names.into_iter().filter_map(|name| of_file(name, first.get(name), second.get(name))).collect()
}

fn of_file(name: &str, first: Option<&Vec<u8>>, second: Option<&Vec<u8>>) -> Option<Difference> {
    let presence = |here: bool| if here { "there" } else { "missing" }.to_owned();
    let (Some(a), Some(b)) = (first, second) else {
        let (first, second) = (presence(first.is_some()), presence(second.is_some()));
        return Some(Difference { file: name.into(), place: "the whole file".into(), first, second, places: None });
    };
    if a == b {
        return None;
    }
    let found = match name.rsplit_once('.').map(|(_, ending)| ending) {
        Some("csv") => Cells::csv(a).zip(Cells::csv(b)).and_then(|(a, b)| a.against(&b)),
        Some("parquet") => Cells::parquet(a).zip(Cells::parquet(b)).and_then(|(a, b)| a.against(&b)),
        Some("json") => in_json(a, b),
        _ => None,
    };
    let (place, first, second, places) = found.or_else(|| in_lines(a, b)).unwrap_or_else(|| in_bytes(a, b));
    Some(Difference { file: name.to_owned(), place, first, second, places })
}

/// Place, first value, second value, number of places.
type Found = (String, String, String, Option<usize>);

/// A table as text.
struct Cells {
    head: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Cells {
    fn csv(bytes: &[u8]) -> Option<Self> {
        let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(bytes);
        let head = reader.headers().ok()?.iter().map(str::to_owned).collect();
        let rows = reader.records().map(|row| Some(row.ok()?.iter().map(str::to_owned).collect()));
        Some(Self { head, rows: rows.collect::<Option<_>>()? })
    }

    fn parquet(bytes: &[u8]) -> Option<Self> {
        let frame = ParquetReader::new(Cursor::new(bytes)).finish().ok()?;
        let head = frame.columns().iter().map(|column| column.name().to_string()).collect();
        let cell = |row: usize, column: &Column| column.get(row).map_or(String::new(), text_of);
        let row = |row: usize| frame.columns().iter().map(|column| cell(row, column)).collect();
        Some(Self { head, rows: (0..frame.height()).map(row).collect() })
    }

    fn against(&self, other: &Self) -> Option<Found> {
        if self.head != other.head {
            return Some(("the columns".into(), self.head.join(", "), other.head.join(", "), None));
        }
        let mut first = None;
        let mut places = 0;
        for (at, (a, b)) in self.rows.iter().zip(&other.rows).enumerate() {
            for (column, (x, y)) in self.head.iter().zip(a.iter().zip(b)) {
                if x != y {
                    places += 1;
                    first.get_or_insert_with(|| {
                        let known: Vec<&str> = a.iter().take(6).map(String::as_str).filter(|c| !c.is_empty()).collect();
                        (format!("row {} ({}), column {column}", at + 1, known.join(", ")), x.clone(), y.clone())
                    });
                }
            }
        }
        if let Some((place, x, y)) = first {
            return Some((place, or_empty(x), or_empty(y), Some(places)));
        }
        let rows = |cells: &Self| format!("{} rows", cells.rows.len());
        (self.rows.len() != other.rows.len()).then(|| ("its length".into(), rows(self), rows(other), None))
    }
}

fn text_of(value: AnyValue<'_>) -> String {
    match value {
        AnyValue::Null => String::new(),
        AnyValue::String(text) => text.to_owned(),
        // The shortest text that gives the number back: the frame library rounds what it displays.
        AnyValue::Float64(number) => number.to_string(),
        other => other.to_string(),
    }
}

fn or_empty(text: String) -> String {
    if text.is_empty() { "nothing".to_owned() } else { text }
}

fn in_json(a: &[u8], b: &[u8]) -> Option<Found> {
    let (a, b): (Value, Value) = (serde_json::from_slice(a).ok()?, serde_json::from_slice(b).ok()?);
    let mut found = Vec::new();
    walk(&a, &b, String::new(), &mut found);
    let places = found.len();
    let (path, first, second) = found.into_iter().next()?;
    Some((if path.is_empty() { "/".into() } else { path }, first, second, Some(places)))
}

fn walk(a: &Value, b: &Value, path: String, found: &mut Vec<(String, String, String)>) {
    let absent = || "nothing".to_owned();
    match (a, b) {
        (Value::Object(x), Value::Object(y)) => {
            for key in x.keys().chain(y.keys().filter(|key| !x.contains_key(*key))) {
                let at = format!("{path}/{key}");
                match (x.get(key), y.get(key)) {
                    (Some(x), Some(y)) => walk(x, y, at, found),
                    (x, y) => found.push((at, x.map_or_else(absent, brief), y.map_or_else(absent, brief))),
                }
            }
        }
        (Value::Array(x), Value::Array(y)) => {
            x.iter().zip(y).enumerate().for_each(|(at, (x, y))| walk(x, y, format!("{path}/{at}"), found));
            if x.len() != y.len() {
                found.push((path, format!("{} entries", x.len()), format!("{} entries", y.len())));
            }
        }
        _ if a != b => found.push((path, brief(a), brief(b))),
        _ => {}
    }
}

fn brief(value: &Value) -> String {
    cut(&value.to_string())
}

/// The longest piece of a file that is shown.
const LONGEST: usize = 120;

fn cut(text: &str) -> String {
    if text.chars().count() <= LONGEST {
        return text.to_owned();
    }
    text.chars().take(LONGEST).chain(['…']).collect()
}

fn in_lines(a: &[u8], b: &[u8]) -> Option<Found> {
    let (a, b) = (std::str::from_utf8(a).ok()?, std::str::from_utf8(b).ok()?);
    let (at, (x, y)) = a.lines().zip(b.lines()).enumerate().find(|(_, (x, y))| x != y)?;
    let column = x.chars().zip(y.chars()).take_while(|(x, y)| x == y).count();
    let around = |line: &str| cut(&line.chars().skip(column.saturating_sub(20)).collect::<String>());
    Some((format!("line {}, character {}", at + 1, column + 1), around(x), around(y), None))
}

fn in_bytes(a: &[u8], b: &[u8]) -> Found {
    match a.iter().zip(b).position(|(x, y)| x != y) {
        Some(at) => (format!("byte {at}"), format!("{:#04x}", a[at]), format!("{:#04x}", b[at]), None),
        None => ("its length".into(), format!("{} bytes", a.len()), format!("{} bytes", b.len()), None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(name: &str, a: &[u8], b: &[u8]) -> Option<String> {
        let folder = |bytes: &[u8]| BTreeMap::from([(name.to_owned(), bytes.to_vec())]);
        differences(&folder(a), &folder(b)).first().map(Difference::to_string)
    }

    #[test]
    fn a_cell_is_named_by_row_and_column() {
        let a = b"arm,policy,estimate\nslow,enclosed,1.5\nslow,evidence,2\n";
        let b = b"arm,policy,estimate\nslow,enclosed,1.5\nslow,evidence,2.25\n";
        assert_eq!(
            one("results.csv", a, b).unwrap(),
            "results.csv: row 2 (slow, evidence, 2), column estimate: 2 before, 2.25 now"
        );
        assert_eq!(one("results.csv", a, a), None);
        assert_eq!(
            one("results.csv", a, b"arm,policy,estimate\nslow,enclosed,1.5\n").unwrap(),
            "results.csv: its length: 2 rows before, 1 rows now"
        );
        assert!(one("results.csv", a, b"arm,policy\nslow,enclosed\n").unwrap().contains("the columns"));
    }

    #[test]
    fn numbers_of_a_parquet_are_told_apart_to_the_last_bit() {
        let bytes = |last: f64| {
            let mut frame = df!("policy" => ["a", "b"], "estimate" => [0.1, last]).unwrap();
            let mut bytes = Vec::new();
            ParquetWriter::new(&mut bytes).finish(&mut frame).unwrap();
            bytes
        };
        let next = f64::from_bits(0.3f64.to_bits() + 1);
        assert_eq!(
            one("typists.parquet", &bytes(0.3), &bytes(next)).unwrap(),
            "typists.parquet: row 2 (b, 0.3), column estimate: 0.3 before, 0.30000000000000004 now"
        );
    }

    #[test]
    fn json_text_and_bytes_are_placed_too() {
        assert_eq!(
            one("advice.json", br#"[{"best":"a","n":1}]"#, br#"[{"best":"b","n":2}]"#).unwrap(),
            "advice.json: /0/best: \"a\" before, \"b\" now (2 places in all)"
        );
        assert_eq!(
            one("page.html", b"one\ntwo\n", b"one\ntwx\n").unwrap(),
            "page.html: line 2, character 3: two before, twx now"
        );
        assert_eq!(one("a.png", &[1, 255, 3], &[1, 255, 4]).unwrap(), "a.png: byte 2: 0x03 before, 0x04 now");
        // The same values in another order of writing are still other bytes.
        assert_eq!(one("a.json", b"{ }", b"{}").unwrap(), "a.json: line 1, character 2: { } before, {} now");
    }

    #[test]
    fn a_file_of_one_folder_only_is_named() {
        let one = BTreeMap::from([("a.csv".to_owned(), b"x".to_vec())]);
        let found = differences(&one, &BTreeMap::new());
        assert_eq!(found[0].to_string(), "a.csv: the whole file: there before, missing now");
    }
}

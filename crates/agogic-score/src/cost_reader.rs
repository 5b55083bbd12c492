//! Cost tables from TOML: all mistakes at once, each with the key it is about.

use toml::{Table, Value};

use crate::cost_table::{Basis, CostLevel, CostMistake, CostMistakes, CostRow, CostSpec, CostTable};

const KEYS: [&str; 8] = ["outcome", "modifier", "key", "seconds", "low", "high", "basis", "because"];

impl CostSpec {
    /// Reads a table from TOML and looks it through.
    ///
    /// # Errors
    /// All mistakes at once: text that is no TOML (alone), unknown and missing keys, values of a wrong kind,
    /// and everything that [`CostSpec::table`] refuses.
    pub fn read(text: &str, level: CostLevel) -> Result<(Self, CostTable), CostMistakes> {
        let table: Table = match text.parse() {
            Ok(table) => table,
            Err(error) => {
                let before = &text.as_bytes()[..error.span().map_or(0, |span| span.start.min(text.len()))];
                let line = 1 + before.iter().filter(|&&byte| byte == b'\n').count();
                return Err(CostMistakes(vec![CostMistake::Toml(format!("line {line}: {}", error.message()))]));
            }
        };
        let mut mistakes = Vec::new();
        let mut cost = Vec::new();
        for (key, value) in &table {
            if key != "cost" {
                mistakes.push(CostMistake::UnknownKey { path: key.clone() });
                continue;
            }
            let Value::Array(rows) = value else {
                mistakes.push(wrong_kind("cost", "a list of tables", value));
                continue;
            };
            for (at, row) in rows.iter().enumerate() {
                let path = format!("cost[{}]", at + 1);
                match row {
                    Value::Table(row) => cost.push(read_row(row, &path, &mut mistakes)),
                    other => mistakes.push(wrong_kind(&path, "a table", other)),
                }
            }
        }
        // Rows keep their numbers, so those that cannot be read stay as rows without meaning.
        let spec = Self { cost: cost.iter().map(|row| row.clone().unwrap_or_else(unreadable)).collect() };
        let looked_through = spec.table(level);
        if let Err(CostMistakes(more)) = &looked_through {
            let readable = |row: usize| cost.get(row - 1).is_some_and(Option::is_some);
            let all_readable = mistakes.is_empty();
            mistakes.extend(more.iter().filter(|mistake| mistake.row().map_or(all_readable, readable)).cloned());
        }
        match looked_through {
            Ok(table) if mistakes.is_empty() => Ok((spec, table)),
            _ => Err(CostMistakes(mistakes)),
        }
    }
}

/// What stands in for a row that has been complained about already.
fn unreadable() -> CostRow {
    CostRow {
        outcome: String::new(),
        modifier: String::new(),
        key: None,
        seconds: 0.0,
        low: 0.0,
        high: 0.0,
        basis: Basis::default(),
        because: String::new(),
    }
}

/// Reads one row; `None` when something is wrong with it.
fn read_row(row: &Table, path: &str, mistakes: &mut Vec<CostMistake>) -> Option<CostRow> {
    let before = mistakes.len();
    for key in row.keys().filter(|key| !KEYS.contains(&key.as_str())) {
        mistakes.push(CostMistake::UnknownKey { path: format!("{path}.{key}") });
    }
    let mut fields = Fields { row, path, mistakes };
    let read = CostRow {
        outcome: fields.text("outcome", true),
        modifier: fields.text("modifier", true),
        key: row.get("key").map(|_| fields.text("key", true)),
        seconds: fields.number("seconds"),
        low: fields.number("low"),
        high: fields.number("high"),
        basis: fields.basis(),
        because: fields.text("because", false),
    };
    (mistakes.len() == before).then_some(read)
}

struct Fields<'a> {
    row: &'a Table,
    path: &'a str,
    mistakes: &'a mut Vec<CostMistake>,
}

impl Fields<'_> {
    fn get(&mut self, key: &str, needed: bool) -> Option<&Value> {
        let value = self.row.get(key);
        if value.is_none() && needed {
            self.mistakes.push(CostMistake::MissingKey { path: format!("{}.{key}", self.path) });
        }
        value
    }

    fn text(&mut self, key: &str, needed: bool) -> String {
        match self.get(key, needed).cloned() {
            None => String::new(),
            Some(Value::String(text)) => text,
            Some(other) => {
                self.mistakes.push(wrong_kind(&format!("{}.{key}", self.path), "a text in quotes", &other));
                String::new()
            }
        }
    }

    fn number(&mut self, key: &str) -> f64 {
        match self.get(key, true).cloned() {
            None => 0.0,
            Some(Value::Float(number)) => number,
            Some(Value::Integer(number)) => number as f64,
            Some(other) => {
                self.mistakes.push(wrong_kind(&format!("{}.{key}", self.path), "a number", &other));
                0.0
            }
        }
    }

    fn basis(&mut self) -> Basis {
        let text = self.text("basis", false);
        let known = Basis::ALL.into_iter().find(|basis| basis.name() == text);
        if known.is_none() && !text.is_empty() {
            let path = format!("{}.basis", self.path);
            let wanted = "\"assumed\", \"derived\" or \"published\"";
            self.mistakes.push(CostMistake::Kind { path, wanted, found: format!("`{text}`") });
        }
        known.unwrap_or_default()
    }
}

fn wrong_kind(path: &str, wanted: &'static str, found: &Value) -> CostMistake {
    CostMistake::Kind { path: path.to_owned(), wanted, found: found.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_assumed_table_is_read_back() {
        let text = toml::to_string(&CostSpec::assumed()).unwrap();
        let (spec, table) = CostSpec::read(&text, CostLevel::Stated).unwrap();
        assert_eq!((spec, table), (CostSpec::assumed(), CostTable::default()));
        assert!(text.contains("basis = \"assumed\""));
    }

    #[test]
    fn mistakes_of_form_and_of_meaning_come_together_with_their_keys() {
        let mut text = toml::to_string(&CostSpec::assumed()).unwrap();
        text.insert_str(
            0,
            r#"
                [[cost]]
                outcome = "lost-chord"
                modifier = 7
                hour = 1
                seconds = "one"
                low = 1
                basis = "guessed"
                [[cost]]
                outcome = "lost-cord"
                modifier = "Shift"
                key = "KeyE"
                seconds = 1
                low = 2
                high = 3
            "#,
        );
        let CostMistakes(mistakes) = CostSpec::read(&text, CostLevel::Stated).unwrap_err();
        let shown: Vec<String> = mistakes.iter().map(ToString::to_string).collect();
        let expected = [
            "`cost[1].hour`: is not a key here",
            "`cost[1].modifier`: must be a text in quotes, not 7",
            "`cost[1].seconds`: must be a number, not \"one\"",
            "`cost[1].high`: is missing",
            "`cost[1].basis`: must be \"assumed\", \"derived\" or \"published\", not `guessed`",
            "`cost[2].seconds`: low ≤ seconds ≤ high must hold, not 2, 1, 3",
            "`cost[2].outcome`: `lost-cord` is no outcome; use false-hold, missed-hold, stray-chord or lost-chord",
        ];
        assert_eq!(shown, expected);
    }

    #[test]
    fn holes_are_told_once_all_rows_can_be_read() {
        let mistakes = |text: &str| CostSpec::read(text, CostLevel::Stated).unwrap_err().0;
        assert_eq!(mistakes("").len(), 20);
        assert!(mistakes("")[0].to_string().contains("false-hold with Shift"));
        assert_eq!(mistakes("cost = 3").len(), 1);
        assert_eq!(mistakes("costs = []").len(), 1);
        assert!(matches!(&mistakes("cost = [")[..], [CostMistake::Toml(_)]));
    }
}

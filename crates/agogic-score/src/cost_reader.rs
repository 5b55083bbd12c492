//! Cost tables from TOML.

use agogic_toml::{Mistakes, Section};

use crate::cost_table::{Basis, CostLevel, CostMistakes, CostRow, CostSpec, CostTable};

impl CostSpec {
    /// Reads a table from TOML and looks it through.
    ///
    /// # Errors
    /// All mistakes at once, with line and key: text that is no TOML (alone), unknown and missing keys, values of a wrong
    /// kind, and everything that [`CostSpec::table`] refuses.
    pub fn read(text: &str, level: CostLevel) -> Result<(Self, CostTable), Mistakes> {
        agogic_toml::read(text, |root| {
            let sections = root.sections("cost");
            let rows: Vec<Option<CostRow>> = sections.iter().map(read_row).collect();
            root.finish();
            // Rows keep their numbers, so those that cannot be read stay as rows without meaning.
            let spec = Self { cost: rows.iter().map(|row| row.clone().unwrap_or_else(unreadable)).collect() };
            let all_readable = root.diagnostics().count() == 0;
            match spec.table(level) {
                Ok(table) => all_readable.then_some((spec, table)),
                Err(CostMistakes(mistakes)) => {
                    for mistake in mistakes {
                        match mistake.row() {
                            // What a row that cannot be read would say is not known to be missing.
                            None if all_readable => root.missing("cost", mistake.to_string()),
                            Some(row) if rows[row - 1].is_some() => {
                                sections[row - 1].refuse(mistake.field().as_slice(), mistake.to_string());
                            }
                            _ => {}
                        }
                    }
                    None
                }
            }
        })
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

/// Reads one row; `None` when something is wrong with it, which is logged.
fn read_row(row: &Section<'_, '_>) -> Option<CostRow> {
    let before = row.diagnostics().count();
    for key in ["outcome", "modifier", "seconds", "low", "high"] {
        if !row.contains(key) {
            row.missing(key, "is missing; a row needs outcome, modifier, seconds, low and high");
        }
    }
    let text = |key| row.text(key).map_or(String::new(), |found| found.value);
    let number = |key| row.number(key).map_or(0.0, |found| found.value);
    let read = CostRow {
        outcome: text("outcome"),
        modifier: text("modifier"),
        key: row.text("key").map(|found| found.value),
        seconds: number("seconds"),
        low: number("low"),
        high: number("high"),
        basis: row
            .choice("basis", &Basis::ALL.map(|basis| (basis.name(), basis)))
            .map_or(Basis::default(), |found| found.value),
        because: text("because"),
    };
    row.finish();
    (row.diagnostics().count() == before).then_some(read)
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
        let mistakes = CostSpec::read(&text, CostLevel::Stated).unwrap_err();
        let lines: Vec<String> = mistakes.0.iter().map(ToString::to_string).collect();
        let expected = [
            "line 2: `cost[1].high`: is missing; a row needs outcome, modifier, seconds, low and high",
            "line 4: `cost[1].modifier`: must be a text in quotes, not 7",
            "line 5: `cost[1].hour`: is not a key here (keys here: outcome, modifier, seconds, low, high, key, basis, because)",
            "line 6: `cost[1].seconds`: must be a number, not the text \"one\"",
            "line 8: `cost[1].basis`: `guessed` is unknown; choose one of: assumed, derived, published",
            "line 10: `cost[2].outcome`: `lost-cord` is no outcome; use false-hold, missed-hold, stray-chord or lost-chord",
            "line 13: `cost[2].seconds`: low ≤ seconds ≤ high must hold, not 2, 1, 3",
        ];
        assert_eq!(lines, expected);
    }

    #[test]
    fn holes_are_told_once_all_rows_can_be_read() {
        let mistakes = |text: &str| CostSpec::read(text, CostLevel::Stated).unwrap_err().0;
        assert_eq!(mistakes("").len(), 20);
        assert!(mistakes("")[0].to_string().contains("false-hold with Shift"));
        assert_eq!(mistakes("cost = 3").len(), 1);
        assert_eq!(mistakes("costs = []").len(), 1);
        assert!(mistakes("cost = [")[0].key.is_empty());
    }
}

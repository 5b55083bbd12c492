//! What a wrong outcome costs: a table over outcome, modifier and key, in seconds of repair.

use agogic_keys::{Code, Modifier};
use serde::{Deserialize, Serialize};

use crate::assumed_costs::ASSUMED;
use crate::kinds::Outcome;

/// The dearest outcome a table may hold: a day of repair. It also keeps whole sums far from overflow.
const DEAREST_S: f64 = 86_400.0;

/// One line of a cost table as it is written down.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CostRow {
    /// What went wrong: `false-hold`, `missed-hold`, `stray-chord` or `lost-chord`.
    pub outcome: String,
    /// The modifier.
    pub modifier: String,
    /// The key; without it the row holds for every key that has no row of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub key: Option<String>,
    /// Seconds until all is as it would have been.
    pub seconds: f64,
    /// The least that can be argued for.
    pub low: f64,
    /// The most that can be argued for.
    pub high: f64,
    /// Where the numbers come from.
    #[serde(default)]
    pub basis: Basis,
    /// Why.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub because: String,
}

/// Where a cost comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// Somebody's judgement, with a range and a reason.
    #[default]
    Assumed,
    /// Worked out from other numbers; the reason says how.
    Derived,
    /// From a source that the reason names.
    Published,
}

impl Basis {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Assumed, Self::Derived, Self::Published];

    /// The name in files.
    pub fn name(self) -> &'static str {
        ["assumed", "derived", "published"][self as usize]
    }
}

/// A cost table as it is written down, not yet looked through.
///
/// # Units
/// Seconds of repair: from noticing the mistake until all is as it would have been.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CostSpec {
    /// The rows. Every outcome and modifier needs one row without a key.
    pub cost: Vec<CostRow>,
}

/// Which end of the stated ranges to take.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CostLevel {
    /// The least that can be argued for.
    Low,
    /// The stated value.
    #[default]
    Stated,
    /// The most that can be argued for.
    High,
}

/// A mistake in a cost table. The text continues the key it is about.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CostMistake {
    /// No outcome of that name.
    #[error("`{name}` is no outcome; use false-hold, missed-hold, stray-chord or lost-chord")]
    Outcome {
        /// The row, from 1.
        row: usize,
        /// What stands there.
        name: String,
    },
    /// No modifier of that name.
    #[error("`{name}` is no modifier; use Shift, Control, Alt, Meta or Layer")]
    Modifier {
        /// The row, from 1.
        row: usize,
        /// What stands there.
        name: String,
    },
    /// No key of that name.
    #[error("`{name}` is not a W3C key code known here (examples: KeyA, Semicolon, Space)")]
    Key {
        /// The row, from 1.
        row: usize,
        /// What stands there.
        name: String,
    },
    /// A number that is no cost.
    #[error("must lie between 0 and {DEAREST_S} seconds, not {value}")]
    Value {
        /// The row, from 1.
        row: usize,
        /// Which number.
        field: &'static str,
        /// What stands there.
        value: f64,
    },
    /// A range that does not hold the value.
    #[error("low ≤ seconds ≤ high must hold, not {low}, {seconds}, {high}")]
    Range {
        /// The row, from 1.
        row: usize,
        /// The low end.
        low: f64,
        /// The value.
        seconds: f64,
        /// The high end.
        high: f64,
    },
    /// Two rows for the same thing.
    #[error("is about the same outcome, modifier and key as `cost[{first}]`")]
    Twice {
        /// The first of them, from 1.
        first: usize,
        /// The second.
        second: usize,
    },
    /// A table with a hole.
    #[error("no row without a key for {outcome} with {modifier}", outcome = .outcome.name(), modifier = .modifier.name())]
    Missing {
        /// The outcome.
        outcome: Outcome,
        /// The modifier.
        modifier: Modifier,
    },
}

impl CostMistake {
    /// The row it is about, from 1; `None` for a mistake about the whole table.
    pub fn row(&self) -> Option<usize> {
        match self {
            Self::Outcome { row, .. }
            | Self::Modifier { row, .. }
            | Self::Key { row, .. }
            | Self::Value { row, .. }
            | Self::Range { row, .. }
            | Self::Twice { second: row, .. } => Some(*row),
            Self::Missing { .. } => None,
        }
    }

    /// The key in the row; `None` for a mistake about the whole row or table.
    pub fn field(&self) -> Option<&'static str> {
        match self {
            Self::Outcome { .. } => Some("outcome"),
            Self::Modifier { .. } => Some("modifier"),
            Self::Key { .. } => Some("key"),
            Self::Value { field, .. } => Some(field),
            Self::Range { .. } => Some("seconds"),
            Self::Twice { .. } | Self::Missing { .. } => None,
        }
    }
}

/// Everything that is wrong with a cost table, each with its key. The text continues "failed to read the costs: …".
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", .0.iter().map(with_key).collect::<Vec<_>>().join("; "))]
pub struct CostMistakes(pub Vec<CostMistake>);

fn with_key(mistake: &CostMistake) -> String {
    match (mistake.row(), mistake.field()) {
        (None, _) => mistake.to_string(),
        (Some(row), None) => format!("`cost[{row}]`: {mistake}"),
        (Some(row), Some(field)) => format!("`cost[{row}].{field}`: {mistake}"),
    }
}

/// A row whose names are understood.
struct Entry {
    row: usize,
    outcome: Outcome,
    modifier: Modifier,
    key: Option<Code>,
}

impl CostSpec {
    /// Our own costs, every one of them assumed, with ranges and reasons.
    pub fn assumed() -> Self {
        let row = |row: &crate::assumed_costs::AssumedCost| CostRow {
            outcome: row.outcome.name().to_owned(),
            modifier: row.modifier.name().to_owned(),
            key: row.key.map(str::to_owned),
            seconds: row.seconds,
            low: row.low,
            high: row.high,
            basis: Basis::Assumed,
            because: row.because.to_owned(),
        };
        Self { cost: ASSUMED.iter().map(row).collect() }
    }

    /// The table at one end of the stated ranges.
    ///
    /// # Errors
    /// All mistakes at once: unknown names, numbers that are no costs, ranges that do not hold their value,
    /// rows about the same thing, and missing rows.
    pub fn table(&self, level: CostLevel) -> Result<CostTable, CostMistakes> {
        let mut mistakes = Vec::new();
        let mut entries: Vec<Entry> = Vec::new();
        for (at, cost) in self.cost.iter().enumerate() {
            let row = at + 1;
            check_numbers(cost, row, &mut mistakes);
            let Some(entry) = read_names(cost, row, &mut mistakes) else { continue };
            let same = |e: &&Entry| (e.outcome, e.modifier, e.key) == (entry.outcome, entry.modifier, entry.key);
            if let Some(first) = entries.iter().find(same) {
                mistakes.push(CostMistake::Twice { first: first.row, second: row });
            }
            entries.push(entry);
        }
        for outcome in Outcome::ALL {
            for modifier in Modifier::ALL {
                if !entries.iter().any(|e| (e.outcome, e.modifier, e.key) == (outcome, modifier, None)) {
                    mistakes.push(CostMistake::Missing { outcome, modifier });
                }
            }
        }
        if !mistakes.is_empty() {
            return Err(CostMistakes(mistakes));
        }
        // Rows without a key first, then those that say more.
        entries.sort_by_key(|entry| entry.key.is_some());
        let mut table = CostTable { cells: Box::new([[[0; Code::COUNT]; 5]; 4]) };
        for Entry { row, outcome, modifier, key } in entries {
            let cost = &self.cost[row - 1];
            let seconds = match level {
                CostLevel::Low => cost.low,
                CostLevel::Stated => cost.seconds,
                CostLevel::High => cost.high,
            };
            let micros = (seconds * 1e6).round() as u64;
            let cells = &mut table.cells[outcome as usize][modifier as usize];
            match key {
                None => cells.fill(micros),
                Some(key) => cells[key.index()] = micros,
            }
        }
        Ok(table)
    }
}

fn read_names(cost: &CostRow, row: usize, mistakes: &mut Vec<CostMistake>) -> Option<Entry> {
    let outcome = Outcome::ALL.into_iter().find(|outcome| outcome.name() == cost.outcome);
    if outcome.is_none() {
        mistakes.push(CostMistake::Outcome { row, name: cost.outcome.clone() });
    }
    let modifier: Option<Modifier> = cost.modifier.parse().ok();
    if modifier.is_none() {
        mistakes.push(CostMistake::Modifier { row, name: cost.modifier.clone() });
    }
    let key = match &cost.key {
        None => Some(None),
        Some(name) => name.parse().ok().map(Some),
    };
    if key.is_none() {
        mistakes.push(CostMistake::Key { row, name: cost.key.clone().unwrap_or_default() });
    }
    Some(Entry { row, outcome: outcome?, modifier: modifier?, key: key? })
}

fn check_numbers(cost: &CostRow, row: usize, mistakes: &mut Vec<CostMistake>) {
    let before = mistakes.len();
    for (field, value) in [("seconds", cost.seconds), ("low", cost.low), ("high", cost.high)] {
        if !(0.0..=DEAREST_S).contains(&value) {
            mistakes.push(CostMistake::Value { row, field, value });
        }
    }
    if mistakes.len() == before && !(cost.low <= cost.seconds && cost.seconds <= cost.high) {
        let (low, seconds, high) = (cost.low, cost.seconds, cost.high);
        mistakes.push(CostMistake::Range { row, low, seconds, high });
    }
}

/// A cost table without mistakes.
///
/// # Units
/// Whole microseconds of repair, so that sums of costs are the same in any order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CostTable {
    cells: Box<[[[u64; Code::COUNT]; 5]; 4]>,
}

impl CostTable {
    /// The cost of `outcome` with this modifier and key, in µs of repair.
    pub fn cost_us(&self, outcome: Outcome, modifier: Modifier, key: Code) -> u64 {
        self.cells[outcome as usize][modifier as usize][key.index()]
    }
}

impl Default for CostTable {
    /// [`CostSpec::assumed`] at its stated values.
    fn default() -> Self {
        CostSpec::assumed().table(CostLevel::Stated).expect("our own table is tested")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(name: &str) -> Code {
        name.parse().unwrap()
    }

    #[test]
    fn the_assumed_table_is_without_mistakes_and_survives_a_file() {
        let spec = CostSpec::assumed();
        for level in [CostLevel::Low, CostLevel::Stated, CostLevel::High] {
            spec.table(level).unwrap();
        }
        let text = toml::to_string(&spec).unwrap();
        assert_eq!(toml::from_str::<CostSpec>(&text).unwrap(), spec);
        assert!(spec.cost.iter().all(|row| !row.because.is_empty()));
    }

    #[test]
    fn dear_is_dearer_than_cheap() {
        let table = CostTable::default();
        let stray = |modifier, key| table.cost_us(Outcome::StrayChord, modifier, code(key));
        let capital = stray(Modifier::Shift, "KeyE");
        assert!(stray(Modifier::Control, "KeyW") > 10 * capital);
        assert!(stray(Modifier::Alt, "F4") > 10 * capital);
        assert!(stray(Modifier::Meta, "KeyE") > capital && stray(Modifier::Meta, "KeyE") < stray(Modifier::Alt, "F4"));
    }

    #[test]
    fn a_key_with_a_row_of_its_own_does_not_take_the_general_one() {
        let mut spec = CostSpec::assumed();
        spec.cost.reverse();
        // Rows may stand in any order.
        let table = spec.table(CostLevel::Stated).unwrap();
        assert_eq!(table, CostTable::default());
        assert_eq!(table.cost_us(Outcome::StrayChord, Modifier::Control, code("KeyW")), 30_000_000);
        assert_eq!(table.cost_us(Outcome::StrayChord, Modifier::Control, code("KeyY")), 4_000_000);
    }

    #[test]
    fn all_mistakes_are_listed() {
        let text = r#"
            [[cost]]
            outcome = "fals-hold"
            modifier = "Ctl"
            key = "KeyÄ"
            seconds = nan
            low = -1.0
            high = inf
            [[cost]]
            outcome = "lost-chord"
            modifier = "Shift"
            seconds = 5.0
            low = 1.0
            high = 4.0
            [[cost]]
            outcome = "lost-chord"
            modifier = "Shift"
            seconds = 1.0
            low = 1.0
            high = 1.0
        "#;
        let spec: CostSpec = toml::from_str(text).unwrap();
        let CostMistakes(mistakes) = spec.table(CostLevel::Stated).unwrap_err();
        let is = |test: fn(&CostMistake) -> bool| mistakes.iter().filter(|mistake| test(mistake)).count();
        assert_eq!(is(|m| matches!(m, CostMistake::Value { row: 1, .. })), 3);
        assert_eq!(is(|m| matches!(m, CostMistake::Outcome { row: 1, .. })), 1);
        assert_eq!(is(|m| matches!(m, CostMistake::Modifier { row: 1, .. })), 1);
        assert_eq!(is(|m| matches!(m, CostMistake::Key { row: 1, .. })), 1);
        assert_eq!(is(|m| matches!(m, CostMistake::Range { row: 2, .. })), 1);
        assert_eq!(is(|m| *m == CostMistake::Twice { first: 2, second: 3 }), 1);
        assert_eq!(is(|m| matches!(m, CostMistake::Missing { .. })), 19);
        assert_eq!(mistakes.len(), 27);
        let text = CostMistakes(mistakes).to_string();
        assert!(text.contains("`cost[3]`: is about the same outcome, modifier and key as `cost[2]`"), "{text}");
        assert!(text.contains("no row without a key for stray-chord with Meta"), "{text}");
    }

    #[test]
    fn unknown_fields_are_refused() {
        let text = "[[cost]]\noutcome = \"lost-chord\"\nmodifier = \"Shift\"\nseconds = 1\nlow = 1\nhigh = 1\nhour = 1";
        assert!(toml::from_str::<CostSpec>(text).unwrap_err().to_string().contains("hour"));
    }
}

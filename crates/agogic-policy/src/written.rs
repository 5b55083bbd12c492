//! Settings as a person writes them.

use std::sync::Arc;

use crate::registry::RuleEntry;
use crate::{EvidenceTables, GUARDS, Guards, Setting, SettingError};

/// What is wrong with a written setting. The texts continue "failed to read the setting: …".
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum WrittenError {
    /// A value or the rule was refused.
    #[error(transparent)]
    Refused(#[from] SettingError),
    /// Something that is no number stands where one is due.
    #[error("`{text}` is no number; write a rule with its values, then guards, such as `enclosed, lull 150`")]
    NoNumber {
        /// What was written.
        text: String,
    },
    /// More numbers than the rule has values.
    #[error("the rule {rule} has {has} values, not {given}")]
    TooMany {
        /// The rule.
        rule: String,
        /// Its values.
        has: usize,
        /// Numbers given.
        given: usize,
    },
    /// No guard of that name.
    #[error("there is no guard `{0}`; guards are lull, floor, retap, bare hold (each with ms) and other hand")]
    UnknownGuard(String),
}

impl Setting {
    /// Reads a setting as [`label`](Self::label) writes it: a rule with its values, then guards, parted by commas. Values
    /// stand in their order (`sequential-evidence 3.5 4 2`) or each after its word (`sequential-evidence hold 3.5, end 2`).
    /// Those that are left out take their defaults.
    ///
    /// # Errors
    /// What is no rule, guard, number, or a value out of range; a rule that learns and was given no tables.
    ///
    /// ```
    /// use agogic_policy::Setting;
    ///
    /// let setting = Setting::written("overlap-share 0.6, lull 150, other hand", None)?;
    /// assert_eq!(setting.label(), "overlap-share 0.6, lull 150, other hand");
    /// # Ok::<(), agogic_policy::WrittenError>(())
    /// ```
    pub fn written(text: &str, tables: Option<&Arc<EvidenceTables>>) -> Result<Self, WrittenError> {
        let text = text.trim();
        let end = text.find([' ', ',', '\t']).unwrap_or(text.len());
        let (name, rest) = text.split_at(end);
        let entry = crate::rule(name).ok_or_else(|| SettingError::UnknownRule(name.to_owned()))?;
        let mut values = Vec::new();
        let mut guards = Vec::new();
        for (at, part) in rest.split(',').map(str::trim).enumerate() {
            match value_of(entry, part)? {
                Some(value) => values.push(value),
                None if at == 0 => values = in_order(entry, part)?,
                None if part.is_empty() => {}
                None => guards.push(part),
            }
        }
        let setting = Self::of_entry(entry, &values, tables)?;
        guards.into_iter().try_fold(setting, Self::with_written_guard)
    }

    /// The same setting with a guard as a person writes it.
    fn with_written_guard(self, part: &str) -> Result<Self, WrittenError> {
        if matches!(part, "other hand" | "other_hand") {
            let guards = Guards { other_hand: true, ..*self.guards() };
            return Ok(self.with_guards(guards));
        }
        let (guard, value) = part.rsplit_once(' ').unwrap_or((part, ""));
        let guard = guard.trim();
        let mut known = GUARDS.iter().filter_map(|own| own.param);
        let Some(param) = known.find(|param| guard == param.word() || guard == param.name) else {
            return Err(WrittenError::UnknownGuard(part.to_owned()));
        };
        Ok(self.with_value(param.name, number(value.trim_end_matches("ms"))?)?)
    }
}

fn number(text: &str) -> Result<f64, WrittenError> {
    text.parse().map_err(|_| WrittenError::NoNumber { text: text.to_owned() })
}

/// A value of a rule after its word or its name in a spec; `None` if the part begins with neither.
fn value_of(entry: &RuleEntry, part: &str) -> Result<Option<(&'static str, f64)>, WrittenError> {
    let (word, value) = part.split_once(char::is_whitespace).unwrap_or((part, ""));
    let Some(param) = entry.params.iter().find(|param| word == param.word() || word == param.name) else {
        return Ok(None);
    };
    let value = value.trim().trim_end_matches("ms");
    Ok(Some((param.name, number(if value.is_empty() { part } else { value })?)))
}

/// Values of a rule in their order.
fn in_order(entry: &RuleEntry, part: &str) -> Result<Vec<(&'static str, f64)>, WrittenError> {
    let given: Vec<f64> = part.split_whitespace().map(number).collect::<Result<_, _>>()?;
    if given.len() > entry.params.len() {
        let (has, given) = (entry.params.len(), given.len());
        return Err(WrittenError::TooMany { rule: entry.name.to_owned(), has, given });
    }
    Ok(entry.params.iter().map(|param| param.name).zip(given).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_label_says_is_read_back() {
        for label in [
            "enclosed",
            "dwell-cutoff 175",
            "overlap-share 0.8, retap 150, lull 120, floor 80, other hand, bare hold 500",
        ] {
            assert_eq!(Setting::written(label, None).unwrap().label(), label);
        }
        let read = |text: &str| Setting::written(text, None).unwrap().label();
        assert_eq!(read("dwell-cutoff, lull_ms 90ms"), "dwell-cutoff 200, lull 90");
        assert_eq!(read(" dwell-cutoff cutoff 180, lull 0"), "dwell-cutoff 180");
        assert_eq!(read("overlap-share,share 0.5,floor 60"), "overlap-share 0.5, floor 60");
    }

    #[test]
    fn values_stand_in_order_or_after_their_words() {
        let press = || {
            let code = "KeyF".parse().unwrap();
            crate::Encounter::new(code, agogic_keys::Hand::Left, agogic_keys::Instant(0), agogic_keys::Span(9))
        };
        let tables = Arc::new(EvidenceTables::train([(press(), true), (press(), false)]).unwrap());
        let read = |text: &str| Setting::written(text, Some(&tables)).unwrap().label();
        let label = "sequential-evidence hold 3.5, tap 4, end 2, lull 150";
        for text in [
            label,
            "sequential-evidence 3.5 4 2, lull 150",
            "sequential-evidence tap 4, lull 150, hold 3.5",
            "sequential-evidence hold_nats 3.5, tap_nats 4, lull_ms 150",
        ] {
            assert_eq!(read(text), label, "{text}");
        }
        let refused = |text: &str| Setting::written(text, Some(&tables)).unwrap_err().to_string();
        assert!(refused("sequential-evidence hold").contains("`hold` is no number"));
        assert!(refused("sequential-evidence share 3").contains("`share` is no number"));
    }

    #[test]
    fn what_is_none_is_refused_with_a_word_on_why() {
        let refused = |text: &str| Setting::written(text, None).unwrap_err().to_string();
        assert!(refused("").contains("no rule ``"));
        assert!(refused("overlap").contains("no rule `overlap`"));
        assert!(refused("enclosed 5").contains("has 0 values, not 1"));
        assert!(refused("dwell-cutoff many").contains("`many` is no number"));
        assert!(refused("dwell-cutoff 99999").contains("between"));
        assert!(refused("enclosed, calm 80").contains("no guard `calm 80`"));
        assert!(refused("evidence 2").contains("learned"));
    }
}

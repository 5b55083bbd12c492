//! Settings as a person writes them.

use std::sync::Arc;

use crate::{EvidenceTables, Guards, Setting, SettingError};

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

/// Names of guards with a number, as they stand in labels, and in specs.
const GUARD_NAMES: [(&str, &str); 4] =
    [("lull", "lull_ms"), ("floor", "dwell_floor_ms"), ("retap", "retap_ms"), ("bare hold", "bare_hold_ms")];

impl Setting {
    /// Reads a setting as [`label`](Self::label) writes it: a rule with its values in order, then guards, parted by commas.
    /// Values that are left out take their defaults.
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
        let number = |text: &str| text.parse::<f64>().map_err(|_| WrittenError::NoNumber { text: text.to_owned() });
        let mut parts = text.split(',').map(str::trim);
        let mut words = parts.next().unwrap_or_default().split_whitespace();
        let name = words.next().unwrap_or_default();
        let entry = crate::rule(name).ok_or_else(|| SettingError::UnknownRule(name.to_owned()))?;
        let given: Vec<f64> = words.map(number).collect::<Result<_, _>>()?;
        if given.len() > entry.params.len() {
            let (has, given) = (entry.params.len(), given.len());
            return Err(WrittenError::TooMany { rule: name.to_owned(), has, given });
        }
        let values: Vec<(&str, f64)> = entry.params.iter().map(|param| param.name).zip(given).collect();
        let mut setting = Self::of_entry(entry, &values, tables)?;
        for part in parts.filter(|part| !part.is_empty()) {
            if matches!(part, "other hand" | "other_hand") {
                let guards = Guards { other_hand: true, ..*setting.guards() };
                setting = setting.with_guards(guards);
                continue;
            }
            let (guard, value) = part.rsplit_once(' ').unwrap_or((part, ""));
            let guard = guard.trim();
            let known = GUARD_NAMES.iter().find(|(short, long)| guard == *short || guard == *long);
            let Some((_, name)) = known else { return Err(WrittenError::UnknownGuard(part.to_owned())) };
            setting = setting.with_value(name, number(value.trim_end_matches("ms"))?)?;
        }
        Ok(setting)
    }
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
        assert_eq!(Setting::written("dwell-cutoff, lull_ms 90ms", None).unwrap().label(), "dwell-cutoff 200, lull 90");
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

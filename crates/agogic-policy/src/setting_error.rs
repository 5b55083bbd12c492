//! Why a setting was refused.

/// Why a setting was refused. The texts continue "failed to set up a policy: …".
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SettingError {
    /// No rule of that name.
    #[error("there is no rule `{0}`; `agogic policies` lists them")]
    UnknownRule(String),
    /// The rule has no such parameter.
    #[error("the rule {rule} has no value `{name}`")]
    UnknownValue {
        /// The rule.
        rule: &'static str,
        /// The name given.
        name: String,
    },
    /// The value lies outside its range.
    #[error("{name} must lie between {min} and {max}, not {value}")]
    OutOfRange {
        /// The parameter.
        name: &'static str,
        /// The value given.
        value: f64,
        /// Smallest accepted.
        min: f64,
        /// Largest accepted.
        max: f64,
    },
    /// The rule was given as a value, which no numbers build again.
    #[error("the rule {0} was given as it is: it has no values to set")]
    GivenWhole(&'static str),
    /// The rule learns, and no tables were given.
    #[error("the rule {rule} decides from tables that are learned; train it on a population first")]
    Untrained {
        /// The rule.
        rule: &'static str,
    },
}

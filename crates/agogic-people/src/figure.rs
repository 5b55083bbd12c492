//! One number about many people.

use serde::{Deserialize, Serialize};

/// One number about many people.
///
/// # Definition
/// `se` is the standard error over people, and `lo` and `hi` a 95 % interval over people, by the method named.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    /// What it is: `false-holds: SETTING`, with `, slow`, `, middle` or `, fast` for a third of the people by speed.
    pub name: String,
    /// Unit.
    pub unit: String,
    /// The number.
    pub value: f64,
    /// Its standard error over people.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub se: Option<f64>,
    /// Lower end of the 95 % interval.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lo: Option<f64>,
    /// Upper end of the 95 % interval.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hi: Option<f64>,
    /// Method of the interval.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub method: String,
    /// People behind it.
    pub people: u64,
}

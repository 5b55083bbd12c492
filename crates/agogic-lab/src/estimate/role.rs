//! Which results a study is about, and which it only reports.

use agogic_study::EstimandInfo;
use serde::{Deserialize, Serialize};

use super::{ALL, ResultRow};

/// Whether a study is about a result.
///
/// # Definition
/// A study names one estimand before it runs. What is said of it over all typists of an arm is primary; all other
/// estimands, and every group of typists or text by itself, are secondary: their levels hold for each interval alone, and
/// among many some will miss.
///
/// # Source
/// ICH E9 (1998), Statistical Principles for Clinical Trials, section 2.2.2, on primary and secondary variables (from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Named beforehand as what the study is about.
    Primary,
    /// Reported beside it.
    Secondary,
}

impl Role {
    /// The role of a row in a study about `primary`.
    pub(crate) fn of(row: &ResultRow, primary: &EstimandInfo) -> Self {
        if row.estimand == primary.name && row.group == ALL { Self::Primary } else { Self::Secondary }
    }

    /// Name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Primary => "primary",
            Self::Secondary => "secondary",
        }
    }
}

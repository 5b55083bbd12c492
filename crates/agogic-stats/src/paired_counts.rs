//! Two yes-or-no outcomes of the same trials.

use thiserror::Error;

/// Why counts cannot form a table of paired outcomes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum PairedCountsError {
    /// There are no pairs.
    #[error("read a table of 0 pairs: at least 1 is needed")]
    NoPairs,
}

/// How often two outcomes happened on the same trial.
///
/// # Shape
/// The cells e, f, g, h of Newcombe (1998): both, only the first, only the
/// second, neither.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PairedCounts {
    pub(crate) both: u64,
    pub(crate) first_only: u64,
    pub(crate) second_only: u64,
    pub(crate) neither: u64,
}

impl PairedCounts {
    /// Checks a table.
    ///
    /// # Errors
    /// [`PairedCountsError::NoPairs`] if all cells are 0.
    pub fn new(both: u64, first_only: u64, second_only: u64, neither: u64) -> Result<Self, PairedCountsError> {
        if both + first_only + second_only + neither == 0 {
            return Err(PairedCountsError::NoPairs);
        }
        Ok(PairedCounts { both, first_only, second_only, neither })
    }

    /// Number of pairs.
    pub fn pairs(self) -> u64 {
        self.both + self.first_only + self.second_only + self.neither
    }

    /// Number of pairs whose outcomes differ.
    pub fn discordant(self) -> u64 {
        self.first_only + self.second_only
    }
}

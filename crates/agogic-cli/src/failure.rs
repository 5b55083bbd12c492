//! Why a command failed, and the exit code that says whose fault it is.

use std::path::PathBuf;

use agogic_lab::Mistakes;
use agogic_lab::files::FileError;

/// A failed command.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The spec cannot be read.
    #[error("failed to read the spec {path}: {source}")]
    Spec {
        /// The spec.
        path: PathBuf,
        /// The system's answer.
        source: std::io::Error,
    },
    /// The spec has mistakes.
    #[error("the spec {name} has {} {}; nothing was run and nothing was written\n{mistakes}", .mistakes.0.len(), if .mistakes.0.len() == 1 { "mistake" } else { "mistakes" })]
    Mistakes {
        /// The spec.
        name: String,
        /// All of them.
        mistakes: Mistakes,
    },
    /// A name on the command line is unknown.
    #[error("there is no {what} `{name}`; there are: {known}")]
    Unknown {
        /// What kind of thing.
        what: &'static str,
        /// The name given.
        name: String,
        /// The names known.
        known: String,
    },
    /// Files could not be written.
    #[error("failed to write results: {0}")]
    Files(#[from] FileError),
    /// Standard output is gone.
    #[error("failed to print: {0}")]
    Print(#[from] std::io::Error),
}

impl Failure {
    /// The exit code.
    pub fn code(&self) -> u8 {
        match self {
            Self::Spec { .. } | Self::Mistakes { .. } | Self::Unknown { .. } => 2,
            Self::Files(FileError::Occupied(_)) => 2,
            Self::Files(_) | Self::Print(_) => 3,
        }
    }
}

//! Why a command failed, and the exit code that says whose fault it is.

use std::path::PathBuf;

use agogic_lab::files::{FileError, FolderError};
use agogic_lab::{Mistakes, MomentError, PoolError};
use agogic_literature::{CalibrationError, CheckError};
use agogic_policy::TrainingError;
use agogic_report::FigureFileError;

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
    /// A name that nothing has.
    #[error("there is no {what} `{name}` (known: {known})")]
    Name {
        /// What it should name.
        what: &'static str,
        /// What was given.
        name: String,
        /// Names that would do.
        known: String,
    },
    /// A spec without what the command is about.
    #[error("the spec has no table [{table}]; add {example}")]
    Lacks {
        /// The table.
        table: &'static str,
        /// What would do.
        example: &'static str,
    },
    /// A rule could not learn.
    #[error("failed to train the rule: {0}")]
    Training(#[from] TrainingError),
    /// The model could not be checked.
    #[error("failed to check the model: {0}")]
    Check(#[from] CheckError),
    /// The model could not be fitted.
    #[error("failed to calibrate the model: {0}")]
    Calibration(#[from] CalibrationError),
    /// A study with people could not be planned.
    #[error("failed to plan the study: {0}")]
    Plan(#[from] PoolError),
    /// A figure could not be drawn or saved.
    #[error("failed to draw the figure: {0}")]
    Figure(#[from] FigureFileError),
    /// A log cannot be read.
    #[error("failed to read the log {path}: {message}")]
    Log {
        /// The log.
        path: PathBuf,
        /// Why not.
        message: String,
    },
    /// There is no press to draw.
    #[error("failed to find the press: {0}")]
    Moment(#[from] MomentError),
    /// A result folder cannot be read.
    #[error("failed to read the result folder {path}: {source}")]
    Folder {
        /// The folder.
        path: PathBuf,
        /// Why not.
        source: FolderError,
    },
    /// A folder for files cannot be made.
    #[error("failed to write to {path}: {source}. Check that its parent exists and can be written to")]
    Out {
        /// The folder.
        path: PathBuf,
        /// The system's answer.
        source: std::io::Error,
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
            Self::Spec { .. }
            | Self::Mistakes { .. }
            | Self::Check(_)
            | Self::Name { .. }
            | Self::Lacks { .. }
            | Self::Training(_)
            | Self::Calibration(_)
            | Self::Plan(_) => 2,
            Self::Folder { source: FolderError::Io { .. }, .. } => 3,
            Self::Folder { .. } | Self::Log { .. } | Self::Moment(_) => 2,
            Self::Files(FileError::Occupied(_)) => 2,
            Self::Figure(FigureFileError::Ending(_)) => 2,
            Self::Files(_) | Self::Print(_) | Self::Figure(_) | Self::Out { .. } => 3,
        }
    }
}

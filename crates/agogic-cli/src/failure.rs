//! Why a command failed, and the exit code that says whose fault it is.

use std::path::PathBuf;

use agogic_export::{ConformError, ExportError, VectorsError};
use agogic_files::{FolderError, LogFileError};
use agogic_fit::FitError;
use agogic_lab::{PoolError, PressExampleError};
use agogic_literature::{CalibrationError, CheckError};
use agogic_log::PageError;
use agogic_policy::TrainingError;
use agogic_report::{FigureFileError, ReportError};
use agogic_sim::blocks::MergeError;
use agogic_sim::{EngineError, FileError};
use agogic_study::Mistakes;

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
    /// Results of another spec lie where these would.
    #[error("{} holds the results of another spec; name another folder with --out, or come with --force to replace them", .folder.display())]
    OtherResults {
        /// The folder.
        folder: PathBuf,
    },
    /// A text that the command was given cannot be read.
    #[error("failed to read the {what} {path}: {source}")]
    Input {
        /// What it is.
        what: &'static str,
        /// The file.
        path: PathBuf,
        /// The system's answer.
        source: std::io::Error,
    },
    /// A log cannot be read.
    #[error("failed to read the log: {0}")]
    Log(#[from] LogFileError),
    /// A person could not be fitted.
    #[error("failed to fit the log: {0}")]
    Fit(#[from] FitError),
    /// A setting on the command line cannot be read.
    #[error("failed to read the setting `{text}`: {refused}")]
    Setting {
        /// What was written.
        text: String,
        /// What is wrong with it.
        refused: agogic_policy::WrittenError,
    },
    /// A population file has mistakes.
    #[error("{0}")]
    Population(String),
    /// A log holds several people where one is needed.
    #[error("the log {path} holds several participants; choose one with --participant (there are {known})")]
    Several {
        /// The log.
        path: PathBuf,
        /// Who is in it.
        known: String,
    },
    /// A layout has mistakes.
    #[error("the layout {path} has mistakes; nothing was read\n{mistakes}")]
    Layout {
        /// The layout.
        path: PathBuf,
        /// All of them.
        mistakes: Mistakes,
    },
    /// The description of a page is none.
    #[error("the page {path} has mistakes; nothing was made\n{mistakes}")]
    PageFile {
        /// The file.
        path: PathBuf,
        /// All of them.
        mistakes: Mistakes,
    },
    /// A page cannot be made.
    #[error("failed to make the page: {0}")]
    Page(#[from] PageError),
    /// An argument lies out of its range.
    #[error("`{argument}` must be {must}, not {value}")]
    Argument {
        /// The argument.
        argument: &'static str,
        /// What would do.
        must: &'static str,
        /// What was given.
        value: String,
    },
    /// A log has nothing that the command could work on.
    #[error("the log {path} has {lacks}; {mend}")]
    Nothing {
        /// The log.
        path: PathBuf,
        /// What it lacks.
        lacks: &'static str,
        /// What would do.
        mend: &'static str,
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
    /// A setting cannot be exported.
    #[error("failed to export the setting: {0}")]
    Export(#[from] ExportError),
    /// An arm of advice without a setting.
    #[error("nothing was advised for the arm `{0}`; write the setting that you want before --out")]
    NothingAdvised(String),
    /// Tables of one's own without a log.
    #[error("failed to read the setting `{0}`: own tables come from a log: name it with --log")]
    OwnTables(String),
    /// A rule that a log teaches nothing.
    #[error("`{rule}` learns nothing from the log {path}: {mend}")]
    NothingToLearn {
        /// The log.
        path: PathBuf,
        /// The rule.
        rule: String,
        /// What would do.
        mend: &'static str,
    },
    /// Vectors cannot be read.
    #[error("failed to read the vectors {path}: {source}")]
    Vectors {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: VectorsError,
    },
    /// A program could not be held to vectors.
    #[error("failed to run the program: {0}")]
    Conform(#[from] ConformError),
    /// A spec without what the command is about.
    #[error("the spec has no table [{table}]; add {example}")]
    Lacks {
        /// The table.
        table: &'static str,
        /// What would do.
        example: &'static str,
    },
    /// A rule could not learn from people.
    #[error("failed to train the rule: {0}")]
    Learning(#[from] TrainingError),
    /// A rule of a study could not learn.
    #[error("failed to train the rules: {0}")]
    Training(#[from] EngineError),
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
    /// There is no press to draw.
    #[error("failed to find the press: {0}")]
    Moment(#[from] PressExampleError),
    /// No policy adds up terms.
    #[error(
        "no policy of the study decides by a sum of terms; add a [[policy]] with rule = \"key-evidence\", or leave out --terms"
    )]
    NoSum,
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
    /// Shards do not come together.
    #[error("failed to merge the shards: {0}")]
    Merge(#[from] MergeError),
    /// A result could not be shown.
    #[error("failed to show the result: {0}")]
    Show(FolderError),
    /// Files could not be written.
    #[error("failed to write results: {0}")]
    Files(#[from] FileError),
    /// A page could not be served.
    #[error("failed to serve the page: {0}")]
    Serve(#[from] agogic_serve::ServeError),
    /// Standard output is gone.
    #[error("failed to print: {0}")]
    Print(#[from] std::io::Error),
}

impl From<ReportError> for Failure {
    fn from(failed: ReportError) -> Self {
        match failed {
            ReportError::Files(refused) => Self::Files(refused),
            ReportError::Folder(refused) => Self::Show(refused),
            ReportError::Figure(refused) => Self::Figure(refused),
        }
    }
}

impl Failure {
    /// Whether nobody reads standard output any more.
    pub fn is_closed_pipe(&self) -> bool {
        matches!(self, Self::Print(refused) if refused.kind() == std::io::ErrorKind::BrokenPipe)
    }

    /// The exit code.
    pub fn code(&self) -> u8 {
        match self {
            Self::Spec { .. }
            | Self::Input { .. }
            | Self::OtherResults { .. }
            | Self::Log(_)
            | Self::Fit(_)
            | Self::Several { .. }
            | Self::Population(_)
            | Self::Layout { .. }
            | Self::PageFile { .. }
            | Self::Page(_)
            | Self::Argument { .. }
            | Self::Nothing { .. }
            | Self::Mistakes { .. }
            | Self::Check(_)
            | Self::Name { .. }
            | Self::Lacks { .. }
            | Self::Setting { .. }
            | Self::NoSum
            | Self::Export(_)
            | Self::NothingAdvised(_)
            | Self::OwnTables(_)
            | Self::NothingToLearn { .. }
            | Self::Vectors { .. }
            | Self::Conform(_)
            | Self::Learning(_)
            | Self::Training(_)
            | Self::Calibration(_)
            | Self::Merge(_)
            | Self::Plan(_) => 2,
            Self::Folder { source: FolderError::Io { .. }, .. } => 3,
            Self::Folder { .. } | Self::Moment(_) => 2,
            Self::Files(FileError::Occupied(_) | FileError::OtherShard(_) | FileError::Busy(_)) => 2,
            Self::Figure(FigureFileError::Ending(_)) => 2,
            Self::Files(_) | Self::Show(_) | Self::Serve(_) | Self::Print(_) | Self::Figure(_) | Self::Out { .. } => 3,
        }
    }
}

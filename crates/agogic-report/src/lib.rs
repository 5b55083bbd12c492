//! Results as something a person reads: tables for the screen and for Markdown, and figures.
//!
//! *In*: estimates of a study, comparisons with published values. *Out*: text and pictures. Nothing is
//! computed here and nothing is printed.

mod figures;
mod log_figure;
mod tables;

pub use agogic_figures::Width;
pub use figures::{FigureFileError, literature_figure, save_figure, trade_off_figure};
pub use log_figure::log_figure;

pub use tables::{Style, assignment_table, policy_table};

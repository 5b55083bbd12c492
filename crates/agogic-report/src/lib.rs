//! Results as something a person reads: tables for the screen and for Markdown.
//!
//! *In*: estimates of a study. *Out*: text. Nothing is computed here and nothing is printed.

mod tables;

pub use tables::{Style, policy_table};

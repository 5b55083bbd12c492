//! `agogic completions`: for a shell.

use std::io::Write;
use std::process::ExitCode;

use clap::CommandFactory;

use crate::args::{Args, Completions};
use crate::failure::Failure;

/// Prints the completions of all commands.
pub fn completions(asked: &Completions) -> Result<ExitCode, Failure> {
    let mut text = Vec::new();
    clap_complete::generate(asked.shell, &mut Args::command(), "agogic", &mut text);
    std::io::stdout().lock().write_all(&text)?;
    Ok(ExitCode::SUCCESS)
}

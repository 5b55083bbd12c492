//! `agogic completions`: for a shell.

use std::process::ExitCode;

use crate::args::Completions;
use crate::completing::script;
use crate::failure::Failure;

/// Prints what makes the shell offer commands, options and names.
pub fn completions(asked: &Completions) -> Result<ExitCode, Failure> {
    script(asked.shell, &mut std::io::stdout().lock())?;
    Ok(ExitCode::SUCCESS)
}

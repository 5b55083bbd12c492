//! `agogic manual`: the help as manual pages.

use std::io::Write;
use std::process::ExitCode;

use clap::CommandFactory;
use clap_mangen::Man;

use crate::args::{Args, Manual};
use crate::failure::Failure;

/// Prints the manual page of the program, or writes those of all commands.
pub fn manual(asked: &Manual) -> Result<ExitCode, Failure> {
    let command = Args::command();
    let Some(out) = &asked.out else {
        let mut text = Vec::new();
        Man::new(command).render(&mut text)?;
        std::io::stdout().lock().write_all(&text)?;
        return Ok(ExitCode::SUCCESS);
    };
    let refused = |source| Failure::Out { path: out.clone(), source };
    std::fs::create_dir_all(out).map_err(refused)?;
    clap_mangen::generate_to(command, out).map_err(refused)?;
    writeln!(std::io::stdout().lock(), "Manual pages: {}", out.display())?;
    Ok(ExitCode::SUCCESS)
}

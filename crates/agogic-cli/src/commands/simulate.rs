//! `agogic simulate`: synthetic logs.

use std::io::Write;
use std::process::ExitCode;

use agogic_files::write_events;

use super::{arm, study};
use crate::args::Simulate;
use crate::failure::Failure;

/// Writes the events of some typists of a study.
pub fn simulate(args: &Simulate) -> Result<ExitCode, Failure> {
    let study = study(args.spec.as_ref())?;
    let arm = arm(&study, args.arm.as_deref())?;
    let rows = write_events(&study, arm, args.typists, !args.without_intents, &args.out)?;
    writeln!(
        std::io::stdout().lock(),
        "{rows} events of {} synthetic typists ({}) in {}",
        args.typists,
        arm.label,
        args.out.display()
    )?;
    Ok(ExitCode::SUCCESS)
}

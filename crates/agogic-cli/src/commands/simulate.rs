//! `agogic simulate`: synthetic logs.

use std::io::Write;
use std::process::ExitCode;

use agogic_files::{LogSink, session_log, write_events};

use super::{arm, study};
use crate::args::Simulate;
use crate::failure::Failure;

/// Writes the events of some typists of a study.
pub fn simulate(args: &Simulate) -> Result<ExitCode, Failure> {
    let study = study(args.spec.as_ref())?;
    let arm = arm(&study, args.arm.as_deref())?;
    let (rows, of) = match args.typist {
        None => {
            let rows = write_events(&study, arm, args.typists, !args.without_intents, &args.out)?;
            (rows, format!("{} synthetic typists ({})", args.typists, arm.label))
        }
        Some(typist) if typist >= study.typists => {
            return Err(Failure::Argument {
                argument: "--typist",
                must: "the number of a typist of the study, counted from 0",
                value: format!("{typist}: the study has {} typists", study.typists),
            });
        }
        Some(typist) => {
            let mut sink = LogSink::new(&args.out)?;
            sink.add(&session_log(&study, arm, typist, args.replicate, !args.without_intents))?;
            (sink.finish()?, format!("typist {typist}, replicate {} ({})", args.replicate, arm.label))
        }
    };
    writeln!(std::io::stdout().lock(), "{rows} events of {of} in {}", args.out.display())?;
    Ok(ExitCode::SUCCESS)
}

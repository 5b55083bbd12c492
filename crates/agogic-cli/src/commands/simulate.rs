//! `agogic simulate`: synthetic logs.

use std::io::Write;
use std::process::ExitCode;

use agogic_files::{LogSink, session_log, write_events};
use serde_json::json;

use super::{arm, study};
use crate::args::Simulate;
use crate::failure::Failure;
use crate::screen::screen;

/// Writes the events of some typists of a study.
pub fn simulate(args: &Simulate, as_json: bool) -> Result<ExitCode, Failure> {
    let study = study(args.spec.as_ref())?;
    let arm = arm(&study, args.arm.as_deref())?;
    let (rows, of) = match args.typist {
        None => {
            let rows = write_events(&study, arm, args.typists, !args.without_intents, &args.out)?;
            let s = if args.typists == 1 { "" } else { "s" };
            (rows, format!("{} synthetic typist{s} ({})", args.typists, arm.label))
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
    let mut screen = screen();
    if as_json {
        let all = json!({ "out": args.out, "events": rows, "study": study.name, "arm": arm.label,
            "typists": args.typist.map_or(args.typists, |_| 1), "typist": args.typist, "replicate": args.replicate });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
    } else {
        writeln!(screen, "{rows} events of {of} in {}", args.out.display())?;
    }
    Ok(ExitCode::SUCCESS)
}

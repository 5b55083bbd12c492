//! `agogic conform`: any program, held to the vectors of a setting.

use std::io::Write;
use std::process::ExitCode;

use agogic_export::{conform as run, read_vectors};
use serde_json::json;

use super::text;
use crate::args::Conform;
use crate::failure::Failure;
use crate::screen::screen;

/// Runs a program on vectors and says where it differs. The exit code is 1 where it does.
pub fn conform(args: &Conform, as_json: bool) -> Result<ExitCode, Failure> {
    let source = text("vectors", &args.vectors)?;
    let cases = read_vectors(&source).map_err(|source| Failure::Vectors { path: args.vectors.clone(), source })?;
    let found = run(&args.program, &args.arguments, &cases)?;
    let mut screen = screen();
    if as_json {
        let all = json!({ "program": args.program, "vectors": args.vectors, "conformance": found });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
    } else if found.failed == 0 {
        writeln!(screen, "The same: {} cases, {} decisions.", found.cases, found.decisions)?;
    } else {
        writeln!(screen, "{} of {} cases differ:\n", found.failed, found.cases)?;
        for difference in &found.differences {
            writeln!(screen, "  {difference}")?;
        }
        if found.failed > found.differences.len() {
            writeln!(screen, "  …")?;
        }
    }
    Ok(if found.failed == 0 { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

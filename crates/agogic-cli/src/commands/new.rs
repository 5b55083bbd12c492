//! `agogic new`: a study to start from, with comments.

use std::io::Write;
use std::process::ExitCode;

use agogic_sim::disk::write_file;
use agogic_study::NEW_STUDY;

use crate::args::New;
use crate::failure::Failure;
use crate::screen::screen;

/// Writes a commented spec.
pub fn new(args: &New) -> Result<ExitCode, Failure> {
    if !args.force && args.spec.exists() {
        return Err(Failure::Argument {
            argument: "SPEC",
            must: "a file that is not there yet, or come with --force",
            value: args.spec.display().to_string(),
        });
    }
    write_file(&args.spec, NEW_STUDY.as_bytes())?;
    let spec = args.spec.display();
    writeln!(screen(), "{spec}: a study to change. Run it with `agogic run {spec}`.")?;
    Ok(ExitCode::SUCCESS)
}

//! `agogic costs`: what wrong outcomes cost.

use std::io::Write;
use std::process::ExitCode;

use agogic_score::CostSpec;

use crate::failure::Failure;
use crate::screen::screen;

/// Prints the assumed cost table.
pub fn costs(as_json: bool) -> Result<ExitCode, Failure> {
    let spec = CostSpec::assumed();
    let mut screen = screen();
    if as_json {
        serde_json::to_writer_pretty(&mut screen, &spec).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    writeln!(
        screen,
        "# Seconds of repair for each wrong outcome, assumed, with ranges and reasons. A row without a key holds for\n\
         # every key that has none of its own. Name a file like this in a study: [harm] costs = \"my-costs.toml\"\n"
    )?;
    writeln!(screen, "{}", toml::to_string(&spec).expect("our own table can be written"))?;
    Ok(ExitCode::SUCCESS)
}

//! `agogic inspect`: what a log holds, and what is wrong with it.

use std::io::Write;
use std::process::ExitCode;

use agogic_log::{Ink, summarise};
use agogic_report::{Width, log_figure, save_figure};
use agogic_stats::Level;

use super::log;
use crate::args::Inspect;
use crate::failure::Failure;
use crate::screen::screen;

/// Summarises a log.
pub fn inspect(args: &Inspect, as_json: bool) -> Result<ExitCode, Failure> {
    let log = log(&args.log)?;
    if let Some(path) = &args.figure {
        if log.report.presses == 0 {
            return Err(Failure::Nothing {
                path: args.log.log.clone(),
                lacks: "no press that could be drawn",
                mend: "look at its defects without --figure",
            });
        }
        let name = args.log.log.file_name().unwrap_or_default().to_string_lossy();
        save_figure(&log_figure(&log, &name, Width::TwoColumn)?, path)?;
    }
    let summary = summarise(&log, Level::P95);
    let mut screen = screen();
    if as_json {
        serde_json::to_writer_pretty(&mut screen, &summary).map_err(std::io::Error::from)?;
        writeln!(screen)?;
    } else {
        write!(screen, "{}", summary.render(if args.ascii { Ink::Ascii } else { Ink::Blocks }))?;
        if log.report.presses > 0 {
            writeln!(
                screen,
                "\nIntervals are those of all presses, between words and after a halt too. `agogic fit` tells what is left of them \
                 inside words, by the other hand, without hesitation: fewer milliseconds."
            )?;
        }
        if let Some(path) = &args.figure {
            writeln!(screen, "\nFigure: {}", path.display())?;
        }
    }
    // Nothing that could be used: a mistake of the input, told above defect by defect.
    Ok(if log.report.presses == 0 { ExitCode::from(2) } else { ExitCode::SUCCESS })
}

//! `agogic try`: a page on this machine on which somebody types and sees their answer.

mod answers;
mod opened;
mod tasks;

use std::io::Write;
use std::process::ExitCode;
use std::time::Duration;

use agogic_log::RECORDING_SCRIPT;
use agogic_policy::{SettingError, WrittenError};
use agogic_report::TRY_PAGE;
use agogic_serve::{Asset, Limits, Server, Site};
use serde_json::json;

use super::advise_log::in_range;
use super::{arm, setting, study};
use crate::args::Try;
use crate::failure::Failure;
use answers::{Asked, TryAnswers};

/// Serves the page until it is no longer used.
pub fn try_page(args: &Try, as_json: bool) -> Result<ExitCode, Failure> {
    in_range("--least-gain", args.least_gain, 0.0)?;
    in_range("--false-hold-counts", args.false_hold_counts, 0.01)?;
    let study = study(args.spec.as_ref())?;
    let arm = arm(&study, args.arm.as_deref())?;
    if let Some(now) = &args.now {
        // Tables are not there yet; a rule that needs them is tried when they are.
        match setting(now, None) {
            Err(Failure::Setting { refused: WrittenError::Refused(SettingError::Untrained { .. }), .. }) | Ok(_) => {}
            Err(failed) => return Err(failed),
        }
    }
    let plan = tasks::plan(arm, args);
    let file = |(path, kind, text): &agogic_report::PageFile| Asset { path, kind, bytes: text.as_bytes().to_vec() };
    let mut assets: Vec<Asset> = TRY_PAGE.iter().map(file).collect();
    assets.push(file(&("recording.js", "text/javascript; charset=utf-8", RECORDING_SCRIPT)));
    assets.push(Asset { path: "plan.json", kind: "application/json", bytes: plan.to_string().into_bytes() });
    let at = study.arms.iter().position(|own| own.label == arm.label).expect("it is one of them");
    let asked = Asked { least_gain: args.least_gain, draws: tasks::DRAWS };
    let answers = TryAnswers::new(study, at, asked);
    let limits = Limits { quiet: Duration::from_secs(60 * args.quiet_minutes), ..Limits::default() };
    let server = Server::bind(Site { assets, answers }, limits)?;
    let address = server.address();
    let mut screen = std::io::stdout().lock();
    if as_json {
        writeln!(screen, "{}", json!({ "address": address }))?;
    } else {
        writeln!(screen, "{address}\n\n{ABOUT}")?;
    }
    screen.flush()?;
    drop(screen);
    if !args.no_open && !opened::open(&address) {
        eprintln!("agogic: no browser could be opened; open the address by hand, on this machine");
    }
    server.run()?;
    Ok(ExitCode::SUCCESS)
}

const ABOUT: &str = "\
Open this address in a browser on this machine, if none opens by itself. The page listens on this machine only; what
you type stays in memory and is gone when this command ends, unless you save it. Type no password.
Ctrl-C ends it, and so does a long time without use.";

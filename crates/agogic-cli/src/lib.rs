//! The command line: arguments, progress, exit codes. The only crate that prints.
//!
//! Exit codes: 0 done; 1 a check found disagreement, or a repeated run differs; 2 the input has a mistake; 3 the machine refused
//! (disk, permissions); 101 a fault of ours.

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{CommandFactory, FromArgMatches};

mod args;
mod commands;
mod completing;
mod failure;
mod help;
mod progress;
mod screen;

use args::{Args, Command};

/// What commands share with other ways in.
pub mod shared {
    pub use crate::commands::advise_log::{COMMON_PEOPLE, fits, keys_of_draws};
    pub use crate::commands::check::row_json;
    pub use crate::commands::replay::settings;
    pub use crate::commands::run::steps;
}

/// Does what the arguments say, the first of which is the name of the program, and gives the exit code.
///
/// It starts the global thread pool where `--threads` is given, so it is called once in a process. Where the arguments
/// cannot be read, or ask for help, the process ends here, as clap does it.
pub fn main_from(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args: Vec<OsString> = args.into_iter().collect();
    if completing::answered(&args) {
        return ExitCode::SUCCESS;
    }
    let given = help::fitted(Args::command(), screen::width_there()).get_matches_from(args);
    let args = Args::from_arg_matches(&given).unwrap_or_else(|refused| refused.exit());
    let data = args.json || args.command.as_ref().is_some_and(Command::prints_data);
    screen::set_width(args.wide || data);
    screen::set_details(args.verbose);
    if let Some(threads) = args.threads
        && let Err(refused) = rayon::ThreadPoolBuilder::new().num_threads(threads).build_global()
    {
        eprintln!("agogic: failed to start {threads} threads: {refused}");
        return ExitCode::from(3);
    }
    let done = match args.command.unwrap_or_default() {
        Command::Run(run) => commands::run::run(&run, args.json),
        Command::Try(asked) => commands::try_page::try_page(&asked, args.json),
        Command::Advise(asked) => commands::advise::advise(&asked, args.json),
        Command::Shard(shard) => commands::shard::shard(&shard, args.json),
        Command::Merge(merge) => commands::merge::merge(&merge, args.json),
        Command::Check(check) => commands::check::check(&check, args.json),
        Command::People(people) => commands::people::people(&people, args.json),
        Command::Policies(policies) => commands::policies::policies(&policies, args.json),
        Command::New(new) => commands::new::new(&new),
        Command::Export(asked) => commands::export::export(&asked, args.json),
        Command::Conform(asked) => commands::conform::conform(&asked, args.json),
        Command::Costs => commands::costs::costs(args.json),
        Command::Populations(populations) => commands::populations::populations(&populations, args.json),
        Command::Calibrate(calibrate) => commands::calibrate::calibrate(&calibrate, args.json),
        Command::Plan(plan) => commands::plan::plan(&plan, args.json),
        Command::Robust(asked) => commands::robust::robust(&asked, args.json),
        Command::Sweep(sweep) => commands::sweep::sweep(&sweep, args.json),
        Command::Sensitivity(asked) => commands::sensitivity::sensitivity(&asked, args.json),
        Command::Picture(picture) => commands::picture::picture(&picture, args.json),
        Command::Report(report) => commands::report::report(&report, args.json),
        Command::Repeat(repeat) => commands::repeat::repeat(&repeat, args.json),
        Command::Completions(asked) => commands::completions::completions(&asked),
        Command::Manual(asked) => commands::manual::manual(&asked),
        Command::Simulate(simulate) => commands::simulate::simulate(&simulate, args.json),
        Command::Record(record) => commands::record::record(&record, args.json),
        Command::Inspect(inspect) => commands::inspect::inspect(&inspect, args.json),
        Command::Redact(redact) => commands::redact::redact(&redact, args.json),
        Command::Fit(asked) => commands::fit::fit(&asked, args.json),
        Command::Compare(asked) => commands::compare::compare(&asked, args.json),
        Command::Replay(replay) => commands::replay::replay(&replay, args.json),
    };
    done.unwrap_or_else(|failure| {
        // Whoever reads along has seen enough, as `head` does.
        if failure.is_closed_pipe() {
            return ExitCode::SUCCESS;
        }
        eprintln!("agogic: {failure}");
        ExitCode::from(failure.code())
    })
}

//! Arguments, as clap reads them: a file for each group of commands.

mod advise;
mod explore;
mod export;
mod figures;
mod lists;
mod logs;
mod model;
mod one_log;
mod plan;
mod studies;
mod try_page;

use clap::{Parser, Subcommand};

pub use advise::Advise;
pub use explore::{Robust, Sensitivity, Sweep};
pub use export::{Conform, Export, Ticks};
pub use figures::{FigureFormat, Picture, PictureWidth, Report};
pub use lists::{Completions, Manual, Policies, Populations, TableFormat};
pub use logs::{Inspect, LogFile, OfLog, Record, Redact, RedactClasses, Simulate};
pub use model::{Calibrate, Check, People};
pub use one_log::{Compare, Fit, Replay};
pub use plan::{Plan, PlanDesign, PlanErrors};
pub use studies::{MakeShard, Merge, New, Repeat, Run};
pub use try_page::Try;

/// Statistical experiments on rules that tell a tap from a hold on dual-role keys.
///
/// Without a command, runs the built-in main study, prints its table and a sentence to act on.
#[derive(Debug, Parser)]
#[command(
    name = "agogic",
    version,
    after_help = "\
Examples:
  agogic                                run the built-in main study
  agogic try                            type for five minutes in the browser, see which setting suits you
  agogic run my-study.toml              run a study of your own
  agogic new                            a study to start your own from
  agogic policies                       list the decision rules and their values
  agogic check                          compare the typist model with published values
  agogic simulate my-study.toml --typists 2 --out log.csv
  agogic record --out page.html         a page on which a person types
  agogic inspect log.csv                what a log holds
  agogic replay log.csv                 the policies on a recorded log
  agogic picture --out roll.svg         a press on which rules disagree, drawn
  agogic export enclosed --out mine     a rule as C source, with vectors and a page
  agogic report results/my-study        page, figures and tables of a result, for a paper
  agogic repeat results/my-study        run it again and compare byte by byte

Exit codes: 0 done; 1 a check found disagreement, or a repeated run differs; 2 the input has a mistake; 3 the machine refused."
)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// Print results as JSON on standard output instead of tables.
    #[arg(long, global = true)]
    pub json: bool,
    /// Tell all that was found, not the answer alone.
    #[arg(long, short, global = true)]
    pub verbose: bool,
    /// Keep tables and lines whole, however wide.
    #[arg(long, global = true)]
    pub wide: bool,
    /// Threads to use; all cores if absent. Results do not depend on it.
    #[arg(long, global = true, value_parser = clap::builder::RangedU64ValueParser::<usize>::new().range(1..=1024))]
    pub threads: Option<usize>,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Run a study: synthetic typists, policies, error rates with intervals.
    Run(Run),
    /// Type for five minutes on a page in the browser, and see which setting suits you.
    Try(Try),
    /// Write a study to start from, with comments.
    New(New),
    /// Find the best setting that meets what is asked, on some typists, and confirm it on others.
    Advise(Advise),
    /// Make one shard of a study, to be merged with the others.
    Shard(MakeShard),
    /// Put the shards of a study together: the results of one run.
    Merge(Merge),
    /// Compare the typist model with published values.
    Check(Check),
    /// Hold rules and model against people's ordinary typing, from logs of many.
    People(People),
    /// List the decision rules and guards, or print what a rule needs of a microcontroller.
    Policies(Policies),
    /// Write a rule for a keyboard's own processor: C source, data, vectors that hold a program to it, and a page.
    Export(Export),
    /// Hold a program to the vectors of an exported rule.
    Conform(Conform),
    /// Print the assumed cost table behind `harm` as TOML, to change and to use in a study.
    #[command(after_help = "\
Examples:
  agogic costs                  the table, with comments
  agogic costs > my-costs.toml  a table to start your own from; name it in a study with
                                [harm] costs = \"my-costs.toml\"")]
    Costs,
    /// List the populations of typists.
    Populations(Populations),
    /// Fit the typist model to the published values with the role `calibration`.
    Calibrate(Calibrate),
    /// Say how many people and minutes a study with people needs.
    Plan(Plan),
    /// Sweep rules over ranges of their values: exact curves, grids, and the front of the trade-off.
    Sweep(Sweep),
    /// Say which conclusions of a study survive other assumptions, and which assumption breaks them.
    Robust(Robust),
    /// Say which values of a rule, and which traits of the typists, the outcomes hang on.
    Sensitivity(Sensitivity),
    /// Write synthetic key events as a log.
    Simulate(Simulate),
    /// Write the page on which a participant types, for any browser and without a network.
    Record(Record),
    /// Show what a log of key events holds, and everything that is wrong with it.
    Inspect(Inspect),
    /// Write a log without names, keys and exact times, and say what it still gives away.
    Redact(Redact),
    /// Fit the traits of one person to a log: how they type, how sure that is, what more typing would bring.
    Fit(Fit),
    /// Play a recorded log to every policy: decisions, delays, and errors where intents are known.
    Replay(Replay),
    /// Say whether a change of setting helped: a log from before it and one from after it.
    Compare(Compare),
    /// Draw one press with the keys around it, and what each policy makes of it, and when.
    Picture(Picture),
    /// Make the page, figures, tables, methods and sources of a result folder.
    Report(Report),
    /// Run a study again from its result folder and compare byte by byte.
    Repeat(Repeat),
    /// Print completions for a shell.
    Completions(Completions),
    /// Print the manual page, or write the pages of all commands.
    Manual(Manual),
}

impl Command {
    /// Whether it prints what is to be read back, as TOML or a table of numbers, so that no line may be broken.
    pub fn prints_data(&self) -> bool {
        match self {
            Self::Costs => true,
            Self::Populations(asked) => asked.write.is_some(),
            Self::Policies(asked) => asked.format != TableFormat::Markdown,
            Self::Record(asked) => asked.template,
            _ => false,
        }
    }
}

impl Default for Command {
    fn default() -> Self {
        Self::Run(Run { spec: None, out: None, force: false })
    }
}

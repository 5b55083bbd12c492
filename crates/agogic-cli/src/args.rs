//! Arguments, as clap reads them.

use std::path::PathBuf;

use clap::{Args as ClapArgs, Parser, Subcommand};

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
  agogic run my-study.toml              run a study of your own
  agogic policies                       list the decision rules and their values
  agogic check                          compare the typist model with published values
  agogic simulate my-study.toml --typists 2 --out log.csv

Exit codes: 0 done; 1 a check found disagreement; 2 the input has a mistake; 3 the machine refused."
)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// Print results as JSON on standard output instead of tables.
    #[arg(long, global = true)]
    pub json: bool,
    /// Threads to use; all cores if absent. Results do not depend on it.
    #[arg(long, global = true, value_parser = clap::builder::RangedU64ValueParser::<usize>::new().range(1..=1024))]
    pub threads: Option<usize>,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Run a study: synthetic typists, policies, error rates with intervals.
    Run(Run),
    /// Compare the typist model with published values.
    Check(Check),
    /// List the decision rules and guards, or print what a rule needs of a microcontroller.
    Policies(Policies),
    /// List the populations of typists.
    Populations(Populations),
    /// Write synthetic key events as a CSV log.
    Simulate(Simulate),
}

impl Default for Command {
    fn default() -> Self {
        Self::Run(Run { spec: None, out: None })
    }
}

/// Arguments of `run`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic run                            the built-in main study
  agogic run my-study.toml              results go to results/NAME
  agogic run my-study.toml --out here   results go to the folder `here`
  agogic run my-study.toml --json       the rows as JSON, for a program to read")]
pub struct Run {
    /// Study spec in TOML; the built-in main study if absent.
    pub spec: Option<PathBuf>,
    /// Result folder; results/NAME if absent.
    #[arg(long)]
    pub out: Option<PathBuf>,
}

/// Arguments of `check`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic check                  the table of all published values
  agogic check --json           the same for a program to read
  agogic check --typists 10000  with a fifth of the variance

The exit code is 1 when a row misses. Misses are known and explained; they are information, not a fault.")]
pub struct Check {
    /// Typists to simulate of each population.
    #[arg(long, default_value_t = 2000, value_parser = clap::value_parser!(u64).range(50..=1_000_000))]
    pub typists: u64,
    /// Seed.
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
}

/// Arguments of `policies`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic policies                                  every rule and guard
  agogic policies --table evidence                 the trained table of a rule that learns, its size and its work
  agogic policies --table evidence my-study.toml   trained for the first population of a study of your own
  agogic policies --table evidence --format arrays whole numbers for a program
  agogic policies --table enclosed                 a rule without a table: state and work in the worst case")]
pub struct Policies {
    /// Rule whose table, memory and work to print.
    #[arg(long, value_name = "NAME")]
    pub table: Option<String>,
    /// How the table is printed.
    #[arg(long, value_enum, default_value_t = TableFormat::Markdown, requires = "table")]
    pub format: TableFormat,
    /// Study whose population, text and workload the rule learns from; the built-in main study if absent.
    #[arg(requires = "table")]
    pub spec: Option<PathBuf>,
}

/// Form of a printed table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum TableFormat {
    /// For people.
    Markdown,
    /// For a spreadsheet.
    Csv,
    /// Whole numbers for a program.
    Arrays,
}

/// Arguments of `populations`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic populations                          who types
  agogic populations --register               every number of every population with its provenance
  agogic populations --register slow          those of one population
  agogic populations --write trained > my-people.toml
                                              a population to start your own from; name the file in a study with
                                              [typists] populations = [\"my-people.toml\"]")]
pub struct Populations {
    /// Show every number of the model with its provenance; of one population if it is named.
    #[arg(long, value_name = "NAME", num_args = 0..=1, default_missing_value = "")]
    pub register: Option<String>,
    /// Print a population as TOML with comments, to change and to use in a study.
    #[arg(long, value_name = "NAME", conflicts_with = "register")]
    pub write: Option<String>,
}

/// Arguments of `simulate`.
#[derive(Debug, ClapArgs)]
pub struct Simulate {
    /// Study spec in TOML; the built-in main study if absent.
    pub spec: Option<PathBuf>,
    /// How many typists of the study to write.
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u64).range(1..=100_000))]
    pub typists: u64,
    /// Log file to write.
    #[arg(long)]
    pub out: PathBuf,
}

//! Planning a study with people.

use std::path::PathBuf;

use clap::Args as ClapArgs;

/// Arguments of `plan`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic plan                                        the first two policies of the main study
  agogic plan my-study.toml --first 'enclosed' --second 'evidence 2'
  agogic plan my-study.toml --difference 5           a policy with 5 fewer errors per 1000 than the second
  agogic plan my-study.toml --margin 3               to show that two policies differ by less than 3 per 1000
  agogic plan my-study.toml --minutes 5,15,30 --errors false-holds

A short session is the start of the same person's longer one. The pool is simulated; people differ from it by more than \
the interval says. Studies with people need their consent \
and the review of your local ethics board.")]
pub struct Plan {
    /// Study spec in TOML; the built-in main study if absent.
    pub spec: Option<PathBuf>,
    /// Label of the first policy; the first of the study if absent.
    #[arg(long)]
    pub first: Option<String>,
    /// Label of the second policy; the one after the first if absent.
    #[arg(long)]
    pub second: Option<String>,
    /// Label of the arm; the first of the study if absent.
    #[arg(long)]
    pub arm: Option<String>,
    /// Errors that are counted.
    #[arg(long, value_enum, default_value_t = PlanErrors::Both)]
    pub errors: PlanErrors,
    /// How each person tries both policies.
    #[arg(long, value_enum, default_value_t = PlanDesign::Crossover)]
    pub design: PlanDesign,
    /// Difference to detect, in errors per 1000 opportunities below the second policy; what the model says if absent.
    #[arg(long, conflicts_with = "margin")]
    pub difference: Option<f64>,
    /// Margin of equivalence, in errors per 1000 opportunities.
    #[arg(long)]
    pub margin: Option<f64>,
    /// Minutes that each person types, several lengths separated by commas.
    #[arg(long, value_delimiter = ',', default_value = "5,10,20", value_parser = clap::value_parser!(u64).range(1..=240))]
    pub minutes: Vec<u64>,
    /// Power wanted.
    #[arg(long, default_value_t = 0.8)]
    pub power: f64,
    /// Error allowed: two-sided for a difference, of each test for equivalence.
    #[arg(long, default_value_t = 0.05)]
    pub alpha: f64,
    /// People in the simulated pool, at most; it grows until each number is known to ± 15 %.
    #[arg(long, default_value_t = 80_000, value_parser = clap::value_parser!(u64).range(100..=1_000_000))]
    pub pool: u64,
    /// Trial studies for each number of people.
    #[arg(long, default_value_t = 1000, value_parser = clap::value_parser!(u64).range(100..=1_000_000))]
    pub trials: u64,
}

/// Which errors a plan counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum PlanErrors {
    /// Both kinds among all presses of dual-role keys.
    Both,
    /// False holds among taps.
    FalseHolds,
    /// Missed holds among holds.
    MissedHolds,
}

/// How each person tries both policies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum PlanDesign {
    /// Each types twice, once under each policy.
    Crossover,
    /// Each types once; the record is judged under both.
    Replay,
}

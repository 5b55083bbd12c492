//! The typist model against published values and people.

use std::path::PathBuf;

use clap::Args as ClapArgs;

/// Arguments of `check`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic check                  the table of all published values
  agogic check --json           the same for a program to read
  agogic check --typists 10000  with a fifth of the variance
  agogic check --figure all.svg all published values in one figure
  agogic check --people rates.svg the rates of rules, simulated over those of held-out people

The exit code is 1 when a row misses. Misses are known and explained; they are information, not a fault.")]
pub struct Check {
    /// Typists to simulate of each population.
    #[arg(long, default_value_t = 5000, value_parser = clap::value_parser!(u64).range(50..=1_000_000))]
    pub typists: u64,
    /// Seed.
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Draw all rows into a file; the ending says how: .svg, .pdf or .png.
    #[arg(long, value_name = "FILE")]
    pub figure: Option<PathBuf>,
    /// Draw the rates of rules, simulated over those of held-out people, into a file.
    #[arg(long, value_name = "FILE")]
    pub people: Option<PathBuf>,
}

/// Arguments of `people`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic people logs/*.tsv --layout layout.toml --name my-set
  agogic people all.tsv --layout layout.toml --name my-set --half held-out --out my-set-held-out.json
  agogic people all.tsv --layout layout.toml --name my-set --half held-out --learned
  agogic people all.tsv --layout layout.toml --name my-set --whole --advised

The people of such logs never had a key with two roles: a press of Shift with a target stands for a hold, a press of a \
resting key for a tap. Use logs within their licence, and publish figures about many people only.")]
pub struct People {
    /// Logs of ordinary typing: CSV, JSON lines or Parquet, of many people.
    #[arg(required = true)]
    pub logs: Vec<PathBuf>,
    /// How the logs are laid out, as for `inspect`.
    #[arg(long, value_name = "FILE|NAME", default_value = "events")]
    pub layout: String,
    /// Name of the data set; part of the rule that splits its people.
    #[arg(long)]
    pub name: String,
    /// Take the people who may set a model, or those who are kept to judge it; everybody if absent.
    #[arg(long)]
    pub half: Option<Part>,
    /// The simulated population they are held against.
    #[arg(long, default_value = "volunteers")]
    pub against: String,
    /// People typed on and on; one sentence at a time if absent.
    #[arg(long)]
    pub whole: bool,
    /// Also train the rules `evidence` and `key-evidence` on simulated people, and on the calibration half where that is not
    /// judged.
    #[arg(long)]
    pub learned: bool,
    /// Step of the logs' clock in ms: simulated people from whom rules learn are seen through such a clock; absent, through
    /// clocks as those that figures are made with.
    #[arg(long, value_name = "MS", value_parser = clap::value_parser!(u64).range(1..=50))]
    pub clock_ms: Option<u64>,
    /// Instead advise each person on all but the last third of their sessions, as `advise --log` would, and judge the advice on
    /// the rest: people with three sessions take part.
    #[arg(long, conflicts_with = "learned")]
    pub advised: bool,
    /// A further setting to be judged beside the advice, one for all, such as "dwell-cutoff 210, lull 50"; may be given more
    /// than once.
    #[arg(long, value_name = "SETTING", requires = "advised")]
    pub beside: Vec<String>,
    /// Typists to simulate.
    #[arg(long, default_value_t = 5000, value_parser = clap::value_parser!(u64).range(50..=1_000_000))]
    pub typists: u64,
    /// Seed.
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Write the figures into a file, as JSON.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// A half of the people of a data set.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub enum Part {
    /// Those who may set a model.
    Calibration,
    /// Those who are kept to judge it.
    HeldOut,
}

impl From<Part> for agogic_people::Half {
    fn from(part: Part) -> Self {
        match part {
            Part::Calibration => Self::Calibration,
            Part::HeldOut => Self::HeldOut,
        }
    }
}

/// Arguments of `calibrate`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic calibrate              the fit behind the population `volunteers`; takes minutes
  agogic calibrate --json       the same for a program to read
  agogic calibrate --seed 5     with other simulated people, to see what chance does

Rows with the role `held out` are never used. Nothing is written: a build carries its values in its source.")]
pub struct Calibrate {
    /// Typists of each simulation; as for the shipped values if absent.
    #[arg(long, value_parser = clap::value_parser!(u64).range(50..=1_000_000))]
    pub typists: Option<u64>,
    /// Seed; that of the shipped values if absent.
    #[arg(long)]
    pub seed: Option<u64>,
}

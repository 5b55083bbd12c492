//! What a log says about its people, and policies on it.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use super::LogFile;

/// Arguments of `fit`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic fit log.csv                               the one person of a log, as one of the `volunteers`
  agogic fit log.csv --participant ada --population trained
  agogic fit log.csv --spec my-study.toml          on the keyboard of a study: its dual-role keys count only where
                                                   the log states what was meant
  agogic fit log.csv --page ada.html               all of it as a page for a browser
  agogic fit log.csv --write ada.toml              the person as a population; name the file in a study with
                                                   [typists] populations = [\"ada.toml\"]

Every trait is drawn towards the population, the more the less the log tells. How somebody types can tell who it is: \
keep a fit as you keep the log.")]
pub struct Fit {
    /// The log.
    #[command(flatten)]
    pub log: LogFile,
    /// The participant; needed where the log has several.
    #[arg(long, value_name = "NAME")]
    pub participant: Option<String>,
    /// The people that the person is one of: a built-in population or a file.
    #[arg(long, value_name = "NAME|FILE", default_value = "volunteers")]
    pub population: String,
    /// Study spec in TOML whose keyboard was typed on; a row-staggered one without dual-role keys if absent.
    #[arg(long, value_name = "SPEC")]
    pub spec: Option<PathBuf>,
    /// Level of the intervals.
    #[arg(long, default_value_t = 0.95)]
    pub level: f64,
    /// How often times are drawn anew to judge the fit; 0 gives no p-values.
    #[arg(long, default_value_t = 99, value_parser = clap::value_parser!(u32).range(0..=9999))]
    pub redraws: u32,
    /// Seed of what is drawn.
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Write the person as a population in TOML.
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Write all that was found as a page for a browser.
    #[arg(long, value_name = "FILE")]
    pub page: Option<PathBuf>,
}

/// Arguments of `replay`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic replay log.csv                          the policies of the main study on a log
  agogic replay log.csv --spec my-study.toml     those of a study of your own, on its keyboard
  agogic replay log.csv --arm slow               rules that learn, trained on another population
  agogic replay log.csv --participant p7         one participant of several
  agogic replay log.csv --pairs                  also how often each two policies differ
  agogic replay log.csv --page replay.html       all of it as a page for a browser

With one participant intervals resample blocks of presses in time; with several they are over participants. Errors \
need intents in the log: `agogic record` makes a page that asks for them.")]
pub struct Replay {
    /// The log.
    #[command(flatten)]
    pub log: LogFile,
    /// Study spec in TOML whose policies and keyboard are used; the built-in main study if absent.
    #[arg(long, value_name = "SPEC")]
    pub spec: Option<PathBuf>,
    /// Label of the arm that rules learn from; the first of the study if absent.
    #[arg(long)]
    pub arm: Option<String>,
    /// Look at this participant alone.
    #[arg(long, value_name = "NAME")]
    pub participant: Option<String>,
    /// Show every pair of policies.
    #[arg(long)]
    pub pairs: bool,
    /// Show presses and errors by key and by finger.
    #[arg(long)]
    pub by_key: bool,
    /// Hold the log against so many simulated groups of as many people, trait by trait and policy by policy.
    #[arg(long, value_name = "GROUPS", value_parser = clap::value_parser!(u64).range(40..=10_000))]
    pub against: Option<u64>,
    /// Draw that as a figure: SVG, PDF or PNG.
    #[arg(long, value_name = "FILE", requires = "against")]
    pub figure: Option<PathBuf>,
    /// Write every press of a dual-role key and what each policy makes of it into a CSV file. It says which keys were pressed.
    #[arg(long, value_name = "FILE")]
    pub decisions: Option<PathBuf>,
    /// Write all that was found as a page for a browser. It says which keys were pressed.
    #[arg(long, value_name = "FILE", conflicts_with = "against")]
    pub page: Option<PathBuf>,
}

/// Arguments of `compare`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic compare before.csv after.csv --was \"enclosed\" --now \"enclosed, lull 150\"
  agogic compare before.csv after.csv --was \"dwell-cutoff 200\" --now \"dwell-cutoff 260\" --json

Each log is judged under the setting that was in use, on presses whose meaning it states; where none does, corrections speak. \
Who types for longer errs less often with any setting: go back and forth between both to tell a setting from practice. \
The exit code is 0 whatever the answer.")]
pub struct Compare {
    /// The log from before the change.
    pub before: PathBuf,
    /// The log from after it.
    pub after: PathBuf,
    /// The setting in use before, such as "enclosed".
    #[arg(long, value_name = "SETTING")]
    pub was: String,
    /// The setting in use after.
    #[arg(long, value_name = "SETTING")]
    pub now: String,
    /// How both logs are laid out, as for `inspect`.
    #[arg(long, value_name = "FILE|NAME", default_value = "events")]
    pub layout: String,
    /// The participant; needed where a log has several.
    #[arg(long, value_name = "NAME")]
    pub participant: Option<String>,
    /// Study spec in TOML whose keyboard is used; the built-in main study if absent.
    #[arg(long, value_name = "SPEC")]
    pub spec: Option<PathBuf>,
    /// Label of the arm whose keyboard it is; the first of the study if absent.
    #[arg(long)]
    pub arm: Option<String>,
}

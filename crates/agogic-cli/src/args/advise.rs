//! Advice, for groups of people and for one person.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use super::OfLog;

/// Arguments of `advise`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic advise                         defaults for the three built-in populations
  agogic advise my-study.toml           advice of your own; tables go to results/NAME-advice
  agogic advise my-study.toml --json    the same for a program to read
  agogic advise --log log.csv           a setting for the one person of a log, what it gains, and whether that is
                                        worth a change
  agogic advise --log log.csv --now \"enclosed, lull 150\" --out mine
                                        compared with the setting in use, as a folder with a page

What is asked stands in the spec; policies and the points of sweeps are the settings to choose from:

  [advice]
  objective = \"false_holds\"           what is made small
  least_gain = 0.2                    least difference that is worth a change
  served = 0.9                        share of typists within the limits
  limits = { missed_holds = 5, tap_delay_p95 = 150 }
  limits_of_all = { harm = 20 }         limits for all typists together
  search_typists = 400
  confirm_typists = 1000

The exit code is 1 where no setting is sure to meet what is asked.")]
pub struct Advise {
    /// Study spec in TOML with a table `advice`; the built-in study of defaults if absent.
    pub spec: Option<PathBuf>,
    /// Result folder; results/NAME-advice if absent. Of a log nothing is written unless a folder is named.
    #[arg(long)]
    pub out: Option<PathBuf>,
    /// Replace the results of another spec.
    #[arg(long)]
    pub force: bool,
    /// Advise the one person of a log instead: the study gives the keyboard, the text and the people compared with.
    #[arg(long, value_name = "LOG")]
    pub log: Option<PathBuf>,
    #[command(flatten)]
    pub of_log: OfLog,
    /// Label of the arm whose people the person is one of; the first of the study if absent.
    #[arg(long, requires = "log")]
    pub arm: Option<String>,
    /// The setting in use, as `agogic` writes settings, such as "enclosed, lull 150"; the best common setting if absent.
    #[arg(long, value_name = "SETTING", requires = "log")]
    pub now: Option<String>,
    /// What a letter that becomes a hold counts, a hold that comes out as a letter being 1.
    #[arg(long, value_name = "TIMES", default_value_t = 1.0, requires = "log")]
    pub false_hold_counts: f64,
    /// A gain that is not worth a change, in wrong decisions per 1000 presses of dual-role keys.
    #[arg(long, default_value_t = 1.0, requires = "log")]
    pub least_gain: f64,
    /// Draws of the person that choose; as many more say what is gained.
    #[arg(long, default_value_t = 100, requires = "log", value_parser = clap::value_parser!(u64).range(20..=100_000))]
    pub draws: u64,
}

//! The page on which somebody types and sees their answer.

use std::path::PathBuf;

use clap::Args as ClapArgs;

/// Arguments of `try`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic try                                     type for five minutes, see which setting suits you
  agogic try --now \"overlap-share 0.7, lull 150\"  compared with the setting in use
  agogic try --no-open                           only print the address of the page

The page listens on this machine only, under an address with a secret that changes each time. What you type stays in \
memory, also when the page is loaded again or in another tab, and is gone when the command ends; nothing is written unless \
you save it. It needs no network. Ctrl-C ends it.

Type no password. Pain that stays is a matter for a clinician, not for a timing value. For a study with other people \
use `agogic record`.")]
pub struct Try {
    /// Study spec in TOML that gives the keyboard, the keys with two meanings, the text and the people compared with; the
    /// built-in main study if absent.
    #[arg(long)]
    pub spec: Option<PathBuf>,
    /// Label of the arm whose people you are one of; the first of the study if absent.
    #[arg(long)]
    pub arm: Option<String>,
    /// The setting in use, as `agogic` writes settings, such as "enclosed, lull 150"; can be given on the page too.
    #[arg(long, value_name = "SETTING")]
    pub now: Option<String>,
    /// What a letter that becomes a hold counts, a hold that comes out as a letter being 1; can be given on the page too.
    #[arg(long, value_name = "TIMES", default_value_t = 1.0)]
    pub false_hold_counts: f64,
    /// A gain that is not worth a change, in wrong decisions per 1000 presses of dual-role keys.
    #[arg(long, default_value_t = 1.0)]
    pub least_gain: f64,
    /// Minutes without a request of the page after which the command ends.
    #[arg(long, value_name = "MINUTES", default_value_t = 60, value_parser = clap::value_parser!(u64).range(1..=10_080))]
    pub quiet_minutes: u64,
    /// Minutes of free typing at the end; 0 leaves it out.
    #[arg(long, value_name = "MINUTES", default_value_t = 1, value_parser = clap::value_parser!(u32).range(0..=60))]
    pub free: u32,
    /// Do not open a browser.
    #[arg(long)]
    pub no_open: bool,
}

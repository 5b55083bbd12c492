//! A rule for a keyboard's own processor, and programs held to it.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use super::OfLog;

/// Arguments of `export`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic export \"enclosed, lull 150\" --out mine         source, data, vectors and a page of a setting
  agogic export \"evidence 2\" --spec my-study.toml --out mine
                                                       trained on the people of a study, for its keyboard
  agogic export --from results/my-study-advice --out mine
                                                       the setting that was advised, for its people and keyboard
  agogic export \"key-evidence 1.25\" --log log.csv --out mine
                                                       with tables that learned from the presses of one person

The folder holds agogic.h and agogic.c (C99 that needs no library), rule.json with its schema, vectors.txt and conform.c, \
RULE.md and states.svg. `agogic conform` holds any program to the vectors.")]
pub struct Export {
    /// The setting, as `agogic` writes settings, such as \"enclosed, lull 150\"; with --from, the advised one if absent.
    #[arg(required_unless_present = "from")]
    pub setting: Option<String>,
    /// Folder to write.
    #[arg(long)]
    pub out: PathBuf,
    /// Study spec in TOML whose keyboard is meant and whose people a rule learns from; the built-in main study if absent.
    #[arg(long, value_name = "SPEC", conflicts_with = "from")]
    pub spec: Option<PathBuf>,
    /// Folder of `agogic advise` whose study is meant.
    #[arg(long, value_name = "ADVICE_FOLDER", conflicts_with = "log")]
    pub from: Option<PathBuf>,
    /// Log of one person from which tables of keys learn further.
    #[arg(long, value_name = "LOG")]
    pub log: Option<PathBuf>,
    #[command(flatten)]
    pub of_log: OfLog,
    /// Label of the arm whose keyboard and people are meant; the first of the study if absent.
    #[arg(long)]
    pub arm: Option<String>,
    /// Ticks of the clock that the rule is given.
    #[arg(long, value_enum, default_value_t = Ticks::Ms)]
    pub clock: Ticks,
    /// Keys that are followed at once.
    #[arg(long, default_value_t = agogic_export::Machine::DEFAULT_SLOTS)]
    pub slots: usize,
}

/// Ticks of a clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Ticks {
    /// Milliseconds.
    Ms,
    /// Microseconds.
    Us,
}

/// Arguments of `conform`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic conform ./conform                               vectors.txt of this folder
  agogic conform --vectors mine/vectors.txt python3 my_rule.py
                                                         a program with arguments of its own

The program reads key events from standard input and writes decisions to standard output; RULE.md of an exported folder \
says how. The exit code is 1 where a decision differs.")]
pub struct Conform {
    /// Vectors that `agogic export` wrote.
    #[arg(long, value_name = "FILE", default_value = "vectors.txt")]
    pub vectors: PathBuf,
    /// The program.
    pub program: PathBuf,
    /// Arguments of the program.
    #[arg(trailing_var_arg = true, allow_hyphen_values = true)]
    pub arguments: Vec<String>,
}

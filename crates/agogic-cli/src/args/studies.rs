//! Running a study, in one go or in shards, and running it again.

use std::path::PathBuf;

use agogic_sim::blocks::Shard;
use clap::Args as ClapArgs;

/// Arguments of `run`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic run                            the built-in main study
  agogic run my-study.toml              results go to results/NAME
  agogic run my-study.toml --out here   results go to the folder `here`
  agogic run my-study.toml --json       the rows as JSON, for a program to read

The folder holds page.html, the whole result on one page. `agogic report` makes figures and tables for a paper of it.

A run that was interrupted goes on from its finished blocks when the same command is given again. Until then they \
lie in a folder beside the results, NAME.unfinished; delete it to start afresh.")]
pub struct Run {
    /// Study spec in TOML; the built-in main study if absent.
    pub spec: Option<PathBuf>,
    /// Result folder; results/NAME if absent.
    #[arg(long)]
    pub out: Option<PathBuf>,
    /// Replace the results of another spec.
    #[arg(long)]
    pub force: bool,
}

/// Arguments of `shard`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic shard my-study.toml 3/8 --out shards/3     the third of eight shards
  agogic merge shards/* --out results/my-study      all of them together

A shard depends on the spec, its number and how many there are, and on nothing else. The same command given again goes \
on where an interrupted one stopped, and does nothing to a finished shard. For a cluster see experiments/cluster.")]
pub struct MakeShard {
    /// Study spec in TOML.
    pub spec: PathBuf,
    /// Number of the shard and how many there are, such as 3/8.
    #[arg(value_name = "K/N")]
    pub shard: Shard,
    /// Folder of the shard.
    #[arg(long)]
    pub out: PathBuf,
}

/// Arguments of `merge`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic merge shards/*                        results go to results/NAME
  agogic merge shards/* --out results/whole    results go to the folder `results/whole`

Shards of another study, missing ones and doubled ones are refused by name. The results are those of one run, byte by \
byte.")]
pub struct Merge {
    /// Folders of all shards of one study, in any order.
    #[arg(required = true)]
    pub folders: Vec<PathBuf>,
    /// Result folder; results/NAME if absent.
    #[arg(long)]
    pub out: Option<PathBuf>,
    /// Replace the results of another spec.
    #[arg(long)]
    pub force: bool,
}

/// Arguments of `repeat`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic repeat results/my-study          runs it again; says `the same` or what differs, and why it may
  agogic repeat results/my-study --json   the same for a program to read

Nothing is written. The folder repeats by itself: it holds the spec and copies of the files that the spec names.

Exit codes: 0 the same, byte by byte; 1 something differs; 2 this is no result folder, or its spec has a mistake; \
3 the machine refused.")]
pub struct Repeat {
    /// Result folder of `agogic run`, `agogic sweep` or `agogic sensitivity`.
    pub folder: PathBuf,
}

/// Write a study to start from, with comments.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic new                     writes my-study.toml
  agogic new rolls.toml          under another name")]
pub struct New {
    /// The file to write.
    #[arg(default_value = "my-study.toml")]
    pub spec: PathBuf,
    /// Write over a file that is there.
    #[arg(long)]
    pub force: bool,
}

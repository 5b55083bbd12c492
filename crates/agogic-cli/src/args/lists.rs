//! What is built in, and help for a shell.

use std::path::PathBuf;

use clap::Args as ClapArgs;

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
    /// Bytes that the tables may take, for a rule whose memory is chosen.
    #[arg(long, value_name = "BYTES", default_value_t = 1024, requires = "table")]
    pub bytes: usize,
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

/// Arguments of `completions`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic completions bash    in ~/.bashrc: source <(agogic completions bash)
  agogic completions zsh     in ~/.zshrc: source <(agogic completions zsh)
  agogic completions fish    in config.fish: agogic completions fish | source

What is printed asks agogic while you type, for options, files and names of rules, guards, populations and layouts. It belongs \
to this version of the program: let the shell fetch it anew at its start.")]
pub struct Completions {
    /// The shell.
    pub shell: clap_complete::Shell,
}

/// Arguments of `manual`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic manual | man -l -                 read the manual page
  agogic manual --out ~/.local/share/man/man1
                                           one page for the program and one for each command")]
pub struct Manual {
    /// Folder for the pages of all commands.
    #[arg(long)]
    pub out: Option<PathBuf>,
}

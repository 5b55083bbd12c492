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
  agogic picture --out roll.svg         a press on which rules disagree, drawn
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
    /// Say which values of a rule, and which traits of the typists, the outcomes hang on.
    Sensitivity(Sensitivity),
    /// Write synthetic key events as a CSV log.
    Simulate(Simulate),
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
  agogic run my-study.toml --json       the rows as JSON, for a program to read

The folder holds page.html, the whole result on one page. `agogic report` makes figures and tables for a paper of it.")]
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
  agogic check --figure all.svg all rows in one figure

The exit code is 1 when a row misses. Misses are known and explained; they are information, not a fault.")]
pub struct Check {
    /// Typists to simulate of each population.
    #[arg(long, default_value_t = 2000, value_parser = clap::value_parser!(u64).range(50..=1_000_000))]
    pub typists: u64,
    /// Seed.
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Draw all rows into a file; the ending says how: .svg, .pdf or .png.
    #[arg(long, value_name = "FILE")]
    pub figure: Option<PathBuf>,
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

/// Arguments of `plan`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic plan                                        the first two policies of the main study
  agogic plan my-study.toml --first 'enclosed' --second 'evidence 2'
  agogic plan my-study.toml --difference 5           a policy with 5 fewer errors per 1000 than the second
  agogic plan my-study.toml --margin 3               to show that two policies differ by less than 3 per 1000
  agogic plan my-study.toml --minutes 5,15,30 --errors false-holds

The pool is simulated; people differ from it by more than the interval says. Studies with people need their consent
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
    /// People in the simulated pool.
    #[arg(long, default_value_t = 1600, value_parser = clap::value_parser!(u64).range(100..=1_000_000))]
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

/// Arguments of `sweep`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic sweep                          the front of the policies of the main study
  agogic sweep my-study.toml            the sweeps of a study; results go to results/NAME-sweep
  agogic sweep my-study.toml --json     rows and fronts as JSON, for a program to read

What is swept stands in the spec:

  [[sweep]]                             one threshold: its exact curve in one pass over the presses
  rule = \"dwell-cutoff\"
  guards = { lull_ms = 120 }
  over = { cutoff_ms = { from = 100, to = 400, steps = 301 } }

  [[sweep]]                             several values: every combination of steps, each by a run
  rule = \"overlap-share\"
  over = { share = { from = 0.5, to = 1, steps = 6 }, lull_ms = { from = 0, to = 200, steps = 5 } }

  [[sweep]]                             or so many points between the ends: sobol or latin-hypercube
  label = \"spread out\"
  rule = \"overlap-share\"
  design = \"sobol\"
  points = 64
  over = { share = { from = 0.5, to = 1 }, lull_ms = { from = 0, to = 200 } }

A curve knows false holds, missed holds and mean delays. Wrong keys, harm and percentiles of the delay take
design = \"grid\". The policies of the study stand on the front beside the swept settings.")]
pub struct Sweep {
    /// Study spec in TOML; the built-in main study if absent.
    pub spec: Option<PathBuf>,
    /// Result folder; results/NAME-sweep if absent.
    #[arg(long)]
    pub out: Option<PathBuf>,
}

/// Arguments of `sensitivity`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic sensitivity my-study.toml          indices; results go to results/NAME-sensitivity
  agogic sensitivity my-study.toml --json   the same for a program to read

What varies stands in the spec; values and medians are uniform between the ends:

  [sensitivity]
  rule = \"overlap-share\"
  rows = 128                                a power of two
  typists = 40                              at each of the rows × (inputs + 2) points
  over = { share = { from = 0.5, to = 1 }, lull_ms = { from = 0, to = 200 } }
  traits = { dwell_ms = { from = 80, to = 130 }, interval_ms = { from = 90, to = 200 } }

An index is a share of variance, but it is estimated: a small one can come out below zero.")]
pub struct Sensitivity {
    /// Study spec in TOML with a table `sensitivity`.
    pub spec: PathBuf,
    /// Result folder; results/NAME-sensitivity if absent.
    #[arg(long)]
    pub out: Option<PathBuf>,
}

/// Arguments of `picture`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic picture --out roll.svg                       the first press on which common rules disagree
  agogic picture --population trained --typist 3 --out roll.pdf
  agogic picture my-study.toml --press 12 --out 12.png
                                                      the twelfth press of a dual-role key, under your policies
  agogic picture --log log.csv --press 40 --out 40.svg
                                                      a press of a log, as `agogic simulate` and recordings write it

In a log, what was meant is drawn only where the log states it. A picture of somebody's log shows keys that this
person pressed: mind what it gives away.")]
pub struct Picture {
    /// Study spec in TOML, for policies, keyboard and people; five common rules if absent.
    pub spec: Option<PathBuf>,
    /// Population of the study; its first if absent.
    #[arg(long, value_name = "NAME")]
    pub population: Option<String>,
    /// Number of the typist, from 0.
    #[arg(long, default_value_t = 0, conflicts_with = "log")]
    pub typist: u64,
    /// Number of the press among those of dual-role keys, from 1; the first on which policies disagree if absent.
    #[arg(long, value_name = "N", value_parser = clap::builder::RangedU64ValueParser::<usize>::new().range(1..))]
    pub press: Option<usize>,
    /// Log to take the press from, in place of a simulated typist.
    #[arg(long, value_name = "FILE", conflicts_with = "typist")]
    pub log: Option<PathBuf>,
    /// Width of the picture.
    #[arg(long, value_enum, default_value_t = PictureWidth::Screen)]
    pub width: PictureWidth,
    /// File to write; its ending says how: .svg, .pdf or .png.
    #[arg(long)]
    pub out: PathBuf,
}

/// Width of a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum PictureWidth {
    /// One column of a paper, 88 mm.
    OneColumn,
    /// The width of a page, 180 mm.
    TwoColumn,
    /// A wide screen.
    Screen,
    /// A phone.
    Phone,
}

/// Arguments of `report`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic report results/my-study                 page, figures, tables, methods, sources in results/my-study/report
  agogic report results/my-study --out paper     the same in the folder `paper`
  agogic report results/my-study --formats pdf   figures as PDF only

The folder then holds
  page.html     everything on one page, for a browser or for print; needs no network
  figures/      each figure for one column (88 mm) and two (180 mm)
  tables/       each table as LaTeX (booktabs), Markdown and CSV
  methods.md    a methods section to adapt: aims, data, estimands, methods, performance; methods.tex is the same
  sources.bib   the works it names, as BibTeX
  example.tex   a LaTeX file that uses them, to copy from")]
pub struct Report {
    /// Result folder of `agogic run`.
    pub folder: PathBuf,
    /// Where the report goes; FOLDER/report if absent.
    #[arg(long)]
    pub out: Option<PathBuf>,
    /// Forms of the figures, separated by commas.
    #[arg(long, value_enum, value_delimiter = ',', default_values_t = [FigureFormat::Svg, FigureFormat::Pdf, FigureFormat::Png])]
    pub formats: Vec<FigureFormat>,
}

/// Form of a figure file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum FigureFormat {
    /// For a page, and to edit.
    Svg,
    /// For a paper.
    Pdf,
    /// For slides and text programs; 300 dots per inch.
    Png,
}

/// Arguments of `repeat`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic repeat results/my-study          runs it again; says `the same` or what differs, and why it may
  agogic repeat results/my-study --json   the same for a program to read

Nothing is written. The folder repeats by itself: it holds the spec and copies of the files that the spec names.

Exit codes: 0 the same, byte by byte; 1 something differs; 2 this is no result folder, or its spec has a mistake;
3 the machine refused.")]
pub struct Repeat {
    /// Result folder of `agogic run`, `agogic sweep` or `agogic sensitivity`.
    pub folder: PathBuf,
}

/// Arguments of `completions`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic completions bash > ~/.local/share/bash-completion/completions/agogic
  agogic completions fish > ~/.config/fish/completions/agogic.fish
  agogic completions zsh > _agogic         then put it into a folder of your fpath")]
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

/// Arguments of `simulate`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic simulate --out log.csv                          a typist of the main study
  agogic simulate my-study.toml --typists 20 --out log.csv
                                                         twenty of the first population of a study of your own

Columns: session, participant, t_us, code, edge, intent, target. Intents are there because these people are simulated;
a log of real people has them only where the text was prompted.")]
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

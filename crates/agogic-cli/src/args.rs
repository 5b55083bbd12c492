//! Arguments, as clap reads them.

use std::path::PathBuf;

use agogic_lab::Shard;
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
  agogic record --out page.html         a page on which a person types
  agogic inspect log.csv                what a log holds
  agogic replay log.csv                 the policies on a recorded log
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
    /// Find the best setting that meets what is asked, on some typists, and confirm it on others.
    Advise(Advise),
    /// Make one shard of a study, to be merged with the others.
    Shard(MakeShard),
    /// Put the shards of a study together: the results of one run.
    Merge(Merge),
    /// Compare the typist model with published values.
    Check(Check),
    /// Hold rules and model against people's ordinary typing, from logs of many.
    People(People),
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
    /// Say which conclusions of a study survive other assumptions, and which assumption breaks them.
    Robust(Robust),
    /// Say which values of a rule, and which traits of the typists, the outcomes hang on.
    Sensitivity(Sensitivity),
    /// Write synthetic key events as a log.
    Simulate(Simulate),
    /// Write the page on which a participant types, for any browser and without a network.
    Record(Record),
    /// Show what a log of key events holds, and everything that is wrong with it.
    Inspect(Inspect),
    /// Write a log without names, keys and exact times, and say what it still gives away.
    Redact(Redact),
    /// Fit the traits of one person to a log: how they type, how sure that is, what more typing would bring.
    Fit(Fit),
    /// Play a recorded log to every policy: decisions, delays, and errors where intents are known.
    Replay(Replay),
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

The folder holds page.html, the whole result on one page. `agogic report` makes figures and tables for a paper of it.

A run that was interrupted goes on from its finished blocks when the same command is given again. Until then they
lie in a folder beside the results, NAME.unfinished; delete it to start afresh.")]
pub struct Run {
    /// Study spec in TOML; the built-in main study if absent.
    pub spec: Option<PathBuf>,
    /// Result folder; results/NAME if absent.
    #[arg(long)]
    pub out: Option<PathBuf>,
}

/// Arguments of `advise`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic advise                         defaults for the three built-in populations
  agogic advise my-study.toml           advice of your own; tables go to results/NAME-advice
  agogic advise my-study.toml --json    the same for a program to read
  agogic advise --log log.csv           values for the one person of a log, what they gain, and whether that is
                                        worth a change

What is asked stands in the spec; policies and the points of sweeps are the settings to choose from:

  [advice]
  objective = \"false_holds\"           what is made small
  least_gain = 0.2                      a difference that nobody would change anything for
  served = 0.9                          share of typists who have to stay within the limits
  limits = { missed_holds = 5, tap_delay_p95 = 150 }
  limits_of_all = { harm = 20 }         limits for all typists together
  search_typists = 400
  confirm_typists = 1000

The exit code is 1 where no setting is sure to meet what is asked.")]
pub struct Advise {
    /// Study spec in TOML with a table `advice`; the built-in study of defaults if absent.
    pub spec: Option<PathBuf>,
    /// Result folder; results/NAME-advice if absent.
    #[arg(long)]
    pub out: Option<PathBuf>,
    /// Advise the one person of a log instead: the study gives the keyboard, the text and the people compared with.
    #[arg(long, value_name = "LOG")]
    pub log: Option<PathBuf>,
    /// How the log is laid out: a TOML file or the name of a layout, as for `agogic inspect`.
    #[arg(long, value_name = "FILE|NAME", default_value = "events", requires = "log")]
    pub layout: String,
    /// The participant; needed where the log has several.
    #[arg(long, value_name = "NAME", requires = "log")]
    pub participant: Option<String>,
    /// Label of the arm whose people the person is one of; the first of the study if absent.
    #[arg(long, requires = "log")]
    pub arm: Option<String>,
    /// What is made small for the person.
    #[arg(long, value_enum, default_value_t = PersonalObjective::WrongKeys, requires = "log")]
    pub objective: PersonalObjective,
    /// A gain that is not worth a change; 2 wrong keys, 5 s of harm or 1 false hold if absent.
    #[arg(long, requires = "log")]
    pub least_gain: Option<f64>,
    /// Draws of the person that choose; twice as many say what is gained.
    #[arg(long, default_value_t = 100, requires = "log", value_parser = clap::value_parser!(u64).range(20..=100_000))]
    pub draws: u64,
}

/// What is made small for one person.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum PersonalObjective {
    /// Wrong keys per 1000 words.
    WrongKeys,
    /// Seconds of repair per 1000 words, under the cost table of the study.
    Harm,
    /// False holds per 1000 taps. Missed holds are not counted: values drift to where nothing is a hold.
    FalseHolds,
}

/// Arguments of `shard`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic shard my-study.toml 3/8 --out shards/3     the third of eight shards
  agogic merge shards/* --out results/my-study      all of them together

A shard depends on the spec, its number and how many there are, and on nothing else. The same command given again goes
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

Shards of another study, missing ones and doubled ones are refused by name. The results are those of one run, byte by
byte.")]
pub struct Merge {
    /// Folders of all shards of one study, in any order.
    #[arg(required = true)]
    pub folders: Vec<PathBuf>,
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

The people of such logs never had a key with two roles: a press of Shift with a target stands for a hold, a press of a
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
    /// Also train the rules `evidence` and `key-evidence` on simulated people, and on the calibration half where that is not judged.
    #[arg(long)]
    pub learned: bool,
    /// Step of the logs' clock in ms: simulated people from whom rules learn are seen through such a clock; absent, through
    /// clocks as those that figures are made with.
    #[arg(long, value_name = "MS", requires = "learned", value_parser = clap::value_parser!(u64).range(1..=50))]
    pub clock_ms: Option<u64>,
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

/// Arguments of `plan`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic plan                                        the first two policies of the main study
  agogic plan my-study.toml --first 'enclosed' --second 'evidence 2'
  agogic plan my-study.toml --difference 5           a policy with 5 fewer errors per 1000 than the second
  agogic plan my-study.toml --margin 3               to show that two policies differ by less than 3 per 1000
  agogic plan my-study.toml --minutes 5,15,30 --errors false-holds

A short session is the start of the same person's longer one. The pool is simulated; people differ from it by more than
the interval says. Studies with people need their consent
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

/// Arguments of `robust`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic robust                         the built-in study of defaults; takes some minutes
  agogic robust my-study.toml           tables go to results/NAME-robust
  agogic robust my-study.toml --json    the same for a program to read

Conclusions are the comparisons of each policy with its `versus` (or the reference), and what the advice claims where
the spec has a table `advice`. Each number of the typist model whose provenance is `assumed` is moved to both ends of
its range, and all of them together; see `agogic populations --register`. How long it takes stands in the spec:

  [robust]
  typists = 100                         under each variant
  points = 60                           with all assumed numbers moved together
  figures = [\"wrong_keys\", \"false_holds\"]

The exit code is 1 where an assumption breaks a conclusion.")]
pub struct Robust {
    /// Study spec in TOML; the built-in study of defaults if absent.
    pub spec: Option<PathBuf>,
    /// Result folder; results/NAME-robust if absent.
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
  agogic simulate --out log.csv                         one typist of the main study
  agogic simulate my-study.toml --typists 20 --out log.parquet
  agogic simulate --without-intents --out log.csv       as a log that nobody annotated

Columns: session, participant, t_us, code, edge, intent, target. Intents are there because these people are simulated;
a log of real people has them only where the text was prompted.")]
pub struct Simulate {
    /// Study spec in TOML; the built-in main study if absent.
    pub spec: Option<PathBuf>,
    /// How many typists of the study to write.
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u64).range(1..=100_000))]
    pub typists: u64,
    /// Label of the arm; the first of the study if absent.
    #[arg(long)]
    pub arm: Option<String>,
    /// Leave out what the presses of dual-role keys were meant as.
    #[arg(long)]
    pub without_intents: bool,
    /// Log file to write: Parquet if its name ends in .parquet, else CSV.
    #[arg(long)]
    pub out: PathBuf,
}

/// Arguments of `record`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic record --out page.html                       a page to look at
  agogic record --out page.html --consent consent.txt --phrases phrases.txt
  agogic record --template > page.toml                everything on the page, to change
  agogic record --page page.toml --out page.html

Send the file to a participant; it needs no network and sends nothing. The participant types and saves the log.

Studies with people need informed consent and the review of your local ethics board. A log holds what was typed:
nobody should type a password or anything private. Nobody should type through pain; pain that stays is a matter for
a clinician.")]
pub struct Record {
    /// The page to write.
    #[arg(long, required_unless_present = "template")]
    pub out: Option<PathBuf>,
    /// Print all that the page says and asks as TOML, to change and to use with --page.
    #[arg(long, exclusive = true)]
    pub template: bool,
    /// What the page says and asks, in TOML.
    #[arg(long, value_name = "FILE")]
    pub page: Option<PathBuf>,
    /// Consent text: paragraphs with an empty line between.
    #[arg(long, value_name = "FILE")]
    pub consent: Option<PathBuf>,
    /// Phrases to type, a line each.
    #[arg(long, value_name = "FILE")]
    pub phrases: Option<PathBuf>,
    /// Phrases with capitals, a line each.
    #[arg(long, value_name = "FILE")]
    pub capitals: Option<PathBuf>,
    /// Title of the study.
    #[arg(long)]
    pub title: Option<String>,
    /// Minutes of free typing; 0 leaves it out.
    #[arg(long, value_name = "MINUTES", value_parser = clap::value_parser!(u32).range(0..=240))]
    pub free: Option<u32>,
}

/// A log and how it is laid out.
#[derive(Debug, ClapArgs)]
pub struct LogFile {
    /// Log of key events: CSV, JSON lines or Parquet.
    pub log: PathBuf,
    /// How the log is laid out: a TOML file, or one of events, events-ms, events-key-ms, pairs-ms, pairs-s,
    /// pairs-usage-ms, pairs-keycode-ms, dwell-ms, redacted.
    #[arg(long, value_name = "FILE|NAME", default_value = "events")]
    pub layout: String,
}

/// Arguments of `inspect`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic inspect log.csv                        what is in it, with small plots
  agogic inspect log.csv --figure log.pdf       dwell, interval, flight and overlap as histograms
  agogic inspect data.tsv --layout layout.toml  a log laid out otherwise
  agogic inspect data.csv --layout pairs-ms     a usual layout by name

A layout names the columns:

  from = \"pairs-ms\"                           the preset to start from
  delimiter = \"tab\"
  unit = \"s\"                                  s, ms, us or ns
  keys = \"key\"                                code, key, usage, keycode or class
  [columns]
  participant = \"who\"
  session = \"\"                                there is none
  code = \"letter\"

Nothing is dropped unseen: every row is part of a press or counted under a defect with its line.")]
pub struct Inspect {
    /// The log.
    #[command(flatten)]
    pub log: LogFile,
    /// Draw the distributions into a file; the ending says how: .svg, .pdf or .png.
    #[arg(long, value_name = "FILE")]
    pub figure: Option<PathBuf>,
    /// Draw plots in the terminal with ASCII alone.
    #[arg(long)]
    pub ascii: bool,
}

/// Arguments of `redact`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic redact log.csv --out redacted.csv
  agogic redact log.csv --classes hand --jitter-ms 20 --out redacted.csv
  agogic redact log.csv --words words.txt --out redacted.csv   measured against a list of words
  agogic inspect redacted.csv --layout redacted

A redacted log is not anonymous: words and the rhythm of the person can be read from it. What is measured is printed.
Publish it only if the participants agreed to that.")]
pub struct Redact {
    /// The log.
    #[command(flatten)]
    pub log: LogFile,
    /// The file to write, as CSV.
    #[arg(long)]
    pub out: PathBuf,
    /// What stands for a key.
    #[arg(long, value_enum, default_value_t = RedactClasses::Finger)]
    pub classes: RedactClasses,
    /// Every press and release moves by up to this, either way.
    #[arg(long, value_name = "MS", default_value_t = 10.0, allow_negative_numbers = true)]
    pub jitter_ms: f64,
    /// Longer times without an event are cut to this.
    #[arg(long, value_name = "MS", default_value_t = 2000.0, allow_negative_numbers = true)]
    pub longest_lull_ms: f64,
    /// Seed of the noise; drawn and forgotten if absent. Whoever knows it can take the noise away.
    #[arg(long)]
    pub seed: Option<u64>,
    /// Keyboard whose fingers press the keys: row-staggered or column-staggered.
    #[arg(long, default_value = "row-staggered")]
    pub board: String,
    /// Words that a reader may know; the built-in texts if absent.
    #[arg(long, value_name = "FILE")]
    pub words: Option<PathBuf>,
}

/// Classes of a redacted log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum RedactClasses {
    /// Hand and finger.
    Finger,
    /// The hand alone.
    Hand,
}

/// Arguments of `fit`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic fit log.csv                               the one person of a log, as one of the `volunteers`
  agogic fit log.csv --participant ada --population trained
  agogic fit log.csv --spec my-study.toml          on the keyboard of a study: its dual-role keys count only where
                                                   the log states what was meant
  agogic fit log.csv --write ada.toml              the person as a population; name the file in a study with
                                                   [typists] populations = [\"ada.toml\"]

Every trait is drawn towards the population, the more the less the log tells. How somebody types can tell who it is:
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

With one participant intervals resample blocks of presses in time; with several they are over participants. Errors
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
}

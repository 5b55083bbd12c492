//! Logs: made, recorded, looked at and redacted.

use std::path::PathBuf;

use clap::Args as ClapArgs;

/// Arguments of `simulate`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic simulate --out log.csv                         one typist of the main study
  agogic simulate my-study.toml --typists 20 --out log.parquet
  agogic simulate --without-intents --out log.csv       as a log that nobody annotated
  agogic simulate my-study.toml --typist 17 --out log.csv
                                                        what typist 17 of that study typed, press for press
  agogic simulate my-study.toml --typist 17 --replicate 3 --out log.csv
                                                        a further session of the same typist

Columns: session, participant, t_us, code, edge, intent, target. Intents are there because these people are simulated; \
a log of real people has them only where the text was prompted.")]
pub struct Simulate {
    /// Study spec in TOML; the built-in main study if absent.
    pub spec: Option<PathBuf>,
    /// How many typists of the study to write.
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u64).range(1..=100_000))]
    pub typists: u64,
    /// Write one session of this typist alone, by its address: as the study makes it, cut out of the text anywhere.
    #[arg(long, value_name = "NUMBER", conflicts_with = "typists")]
    pub typist: Option<u64>,
    /// Which session of the typist: 0 is the one that is judged, 1 the one that personal values are fitted to.
    #[arg(long, value_name = "NUMBER", default_value_t = 0, requires = "typist")]
    pub replicate: u64,
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
nobody should type a password or anything private. Nobody should type through pain; pain that stays is a matter for \
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

/// Of a log that is named by `--log`: how it is laid out, and whose it is.
#[derive(Debug, ClapArgs)]
pub struct OfLog {
    /// How the log is laid out: a TOML file or the name of a layout, as for `agogic inspect`.
    #[arg(long, value_name = "FILE|NAME", default_value = "events", requires = "log")]
    pub layout: String,
    /// The participant; needed where the log has several.
    #[arg(long, value_name = "NAME", requires = "log")]
    pub participant: Option<String>,
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

A redacted log is not anonymous: words and the rhythm of the person can be read from it. What is measured is printed. \
Publish it only if the participants agreed to that.")]
pub struct Redact {
    /// The log.
    #[command(flatten)]
    pub log: LogFile,
    /// The file to write, as CSV.
    #[arg(long)]
    pub out: PathBuf,
    /// Write over a file that is there.
    #[arg(long)]
    pub force: bool,
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

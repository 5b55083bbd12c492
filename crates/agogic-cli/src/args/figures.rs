//! Pictures and reports.

use std::path::PathBuf;

use clap::Args as ClapArgs;

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
  agogic picture --terms --out terms.svg              what key-evidence saw of a press, and how that adds up
  agogic picture my-study.toml --terms --press 12 --out terms.svg
                                                      the same under your first policy that decides by a sum

In a log, what was meant is drawn only where the log states it. A picture of somebody's log shows keys that this \
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
    /// How the log is laid out: a TOML file or a name, as for `agogic inspect`.
    #[arg(long, value_name = "FILE|NAME", default_value = "events", requires = "log")]
    pub layout: String,
    /// Look at this participant of the log alone.
    #[arg(long, value_name = "NAME", requires = "log")]
    pub participant: Option<String>,
    /// Draw what adds up to the decision of a rule that decides by a sum, such as key-evidence, in place of the times.
    #[arg(long)]
    pub terms: bool,
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
  agogic report results/my-study-sweep           the front of a sweep; so for advise, robust and sensitivity

The report holds
  page.html     everything on one page, for a browser or for print; needs no network
  figures/      each figure for one column (88 mm) and two (180 mm)
  tables/       each table as LaTeX (booktabs), Markdown and CSV
and, of a run,
  methods.md    a methods section to adapt: aims, data, estimands, methods, performance; methods.tex is the same
  sources.bib   the works it names, as BibTeX
  example.tex   a LaTeX file that uses them, to copy from")]
pub struct Report {
    /// Result folder of `agogic run`, `sweep`, `advise`, `robust` or `sensitivity`.
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

//! Values swept, and conclusions under other assumptions.

use std::path::PathBuf;

use clap::Args as ClapArgs;

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

A curve knows false holds, missed holds and mean delays. Wrong keys, harm and percentiles of the delay take \
design = \"grid\". The policies of the study stand on the front beside the swept settings.")]
pub struct Sweep {
    /// Study spec in TOML; the built-in main study if absent.
    pub spec: Option<PathBuf>,
    /// Result folder; results/NAME-sweep if absent.
    #[arg(long)]
    pub out: Option<PathBuf>,
    /// Replace the results of another spec.
    #[arg(long)]
    pub force: bool,
}

/// Arguments of `robust`.
#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  agogic robust                         the built-in study of defaults; takes some minutes
  agogic robust my-study.toml           tables go to results/NAME-robust
  agogic robust my-study.toml --json    the same for a program to read

Conclusions are the comparisons of each policy with its `versus` (or the reference), and what the advice claims where \
the spec has a table `advice`. Each number of the typist model whose provenance is `assumed` is moved to both ends of \
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
    /// Replace the results of another spec.
    #[arg(long)]
    pub force: bool,
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
    /// Replace the results of another spec.
    #[arg(long)]
    pub force: bool,
}

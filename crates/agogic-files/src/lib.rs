//! Result folders and event logs on disk, written whole or not at all.
//!
//! A result folder holds `results.parquet`, `results.csv` and `results.json` (one row per arm, policy,
//! estimand and statistic), `typists.parquet` (counts per typist and policy), `kinds.csv` (wrong outcomes by
//! modifier and key), `floor.csv` (the floor of an ideal observer), `hands.csv` (finger
//! load and reach of each assignment), `advice.json`, `transfer.json` and
//! `transfer.csv` (rules that learn where they did not learn), `cautions.json` (what to mind when reading the estimates),
//! `register.json` (every number of the typist model with its provenance) and `manifest.json`. Copies of the files that the spec names lie beside them as `input-1-NAME` and so on, so that
//! a folder can be repeated by itself: whoever passes it on passes those texts on.
//!
//! The folder of a sweep holds `sweep.parquet`, `sweep.csv` and `sweep.json` (one row per arm, setting and
//! estimand), `front.csv` and `front.json` (what is dominated, by what), `floor.csv`, `register.json` and
//! `manifest.json`.
//! That of a sensitivity analysis holds `indices.csv` and `indices.json` (one row per arm, outcome, input and
//! index), `points.csv` (every point of the design), `register.json` and `manifest.json`. That of advice holds
//! `advice.json`, `searched.csv` (what became of every setting), `listed.csv` (the short list on fresh typists),
//! `rules.csv` (the best setting of each rule), `transfer.csv` (rules that learn where they did not learn), `whom.csv` (whom the setting fails), `knobs.csv` (what turning a value
//! does), `turns.csv` (what would change the advice), `register.json`, `page.html` and `manifest.json`. That of a
//! robustness analysis holds `robust.json`, `conclusions.csv`, `against.csv` (which assumption speaks against which
//! conclusion), `register.json` and `manifest.json`, and `advice.json` where the study asks for advice.
//! `agogic-report` adds `page.html` and figures to each.
//!
//! A [`ResultFolder`] is made from a result ([`of_run`](ResultFolder::of_run) and the like), written, and opened again. The
//! records are the same structs both ways: [`Manifest`], [`KindRecord`], [`FloorRecord`] and [`HandRecord`] here, rows of
//! estimates in `agogic-lab`, the register in `agogic-typist`.

mod claim;
mod compare;
mod csv_text;
mod events;
mod folder;
mod log_read;
mod log_write;
mod manifest;
mod parquet_footer;
mod parquet_pages;
mod read;
mod recommend;
mod records;
mod results;
mod robust;
mod sensitivity;
mod sweep;
mod tables;
mod thrift;
mod transfer;
mod typist_columns;

pub use claim::Claim;
pub use compare::{Difference, differences};
pub use events::{prompted_logs, session_log, write_events};
pub use folder::{Files, check_target, input_files, register_json, save_folder, spec_kept};
pub use log_read::{LogFileError, read_log, read_log_text, read_log_within};
pub use log_write::LogSink;
pub use manifest::{ArmRecord, ClockRecord, FolderKind, InputRecord, Manifest, RunInfo};
pub use read::{FolderError, ResultFolder};
pub use records::{FloorRecord, HandRecord, KindRecord};
pub use results::Results;
pub use robust::RobustRecord;
pub use sweep::SweepRecord;
pub use typist_columns::TypistColumns;

//! Result folders and event logs on disk, written whole or not at all.
//!
//! A result folder holds `results.parquet`, `results.csv` and `results.json` (one row per arm, policy,
//! estimand and statistic), `typists.parquet` (counts per typist and policy), `kinds.csv` (wrong outcomes by
//! modifier and key), `floor.csv` (the floor of an ideal observer), `hands.csv` (finger
//! load and reach of each assignment), `advice.json`, `cautions.json` (what to mind when reading the estimates), `register.json` (every number of the typist model with its provenance)
//! and `manifest.json`. Copies of the files that the spec names lie beside them as `input-1-NAME` and so on, so that
//! a folder can be repeated by itself: whoever passes it on passes those texts on.
//!
//! The folder of a sweep holds `sweep.parquet`, `sweep.csv` and `sweep.json` (one row per arm, setting and
//! estimand), `front.csv` and `front.json` (what is dominated, by what), `register.json` and `manifest.json`.
//! That of a sensitivity analysis holds `indices.csv` and `indices.json` (one row per arm, outcome, input and
//! index), `points.csv` (every point of the design), `register.json` and `manifest.json`. That of advice holds
//! `advice.json`, `searched.csv` (what became of every setting), `listed.csv` (the short list on fresh typists),
//! `rules.csv` (the best setting of each rule), `whom.csv` (whom the setting fails), `knobs.csv` (what turning a value
//! does), `turns.csv` (what would change the advice), `register.json`, `page.html` and `manifest.json`. That of a
//! robustness analysis holds `robust.json`, `conclusions.csv`, `against.csv` (which assumption speaks against which
//! conclusion), `register.json` and `manifest.json`, and the page of the advice where there is one.

mod claim;
mod compare;
mod csv_text;
mod events;
mod folder;
mod log_read;
mod log_write;
mod parquet_footer;
mod parquet_pages;
mod read;
mod recommend;
mod robust;
mod sensitivity;
mod sweep;
mod tables;
mod thrift;
mod typist_columns;

pub use claim::Claim;
pub use compare::{Difference, differences};
pub use events::write_events;
pub use folder::{
    Files, FolderKind, RunInfo, check_target, input_files, manifest, register_json, run_files, save_folder,
    write_folder, write_whole,
};
pub use log_read::{LogFileError, read_log, read_log_within};
pub use log_write::LogSink;
pub use read::{FolderError, ResultFolder};
pub use recommend::{advice_files, write_advice_folder};
pub use robust::{robust_files, write_robust_folder};
pub use sensitivity::{sensitivity_files, write_sensitivity_folder};
pub use sweep::{sweep_files, write_sweep_folder};
pub use typist_columns::TypistColumns;

//! Results as something a person reads: tables, figures, and a page that needs nothing else.
//!
//! *In*: the files of a result folder, comparisons with published values. *Out*: text and pictures. Nothing is
//! printed, and nothing is estimated but the rates of fifths of typists in the pictures of whom a rule fails.
//!
//! [`run_folder`] and the like make the folder of a result with its figures and page, as `agogic run` writes it;
//! [`bundle()`] makes all that a paper needs from a folder that was written. A [`Section`] of one's own can be put on the
//! [`page()`] of a run, and a [`Sheet`] is a table of one's own in each form that a report has.
//!
//! ```
//! use agogic_files::{ResultFolder, RunInfo};
//! use agogic_lab::run;
//! use agogic_report::{Format, PAGE, bundle, run_folder};
//! use agogic_sim::Engine;
//! use agogic_study::Study;
//!
//! let spec = r#"
//! name = "a-first-look"
//! seed = 1
//! [text]
//! words = "The tide turns at noon. Ask Ada for the log."
//! [typists]
//! number = 8
//! [floor]
//! typists = 0
//! [[policy]]
//! rule = "enclosed"
//! [[policy]]
//! rule = "dwell-cutoff"
//! values = { cutoff_ms = 220 }
//! "#;
//! let study = Study::read(spec, std::path::Path::new("."))?;
//! let result = run(&Engine::new(&study)?, &|_| ());
//! let result = run_folder(&study, &result)?;
//! let place = tempfile::tempdir()?;
//! let out = place.path().join("a-first-look");
//! result.folder.write(RunInfo::here(0, 0.0, 1), &out)?;
//!
//! let read = ResultFolder::open(&out)?;
//! assert_eq!(read.files, result.folder.files);
//! assert!(read.text(PAGE)?.contains("What each rule gets wrong"));
//! let report = bundle(&read, &[Format::Svg])?;
//! assert!(report.iter().any(|(name, _)| name == "tables/policies-volunteers.md"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! A table of one's own:
//!
//! ```
//! use agogic_report::{Cell, Column, Sheet, Style};
//! use agogic_stats::{Clusters, Level, ratio_skewed};
//!
//! // Errors among decisions, for six typists.
//! let counts = [(3, 120), (1, 80), (7, 150), (2, 95), (1, 110), (5, 130)];
//! let rate = ratio_skewed(&Clusters::counts("typist", counts)?, Level::P95);
//! let mut sheet = Sheet::new(vec![Column::words("policy"), Column::numbers("false holds", "per tap")]);
//! sheet.push([Cell::from("my rule"), Cell::estimate(Some(&rate), 3)]);
//! assert!(sheet.text(Style::Screen).contains("my rule  0.028 ("));
//! assert!(sheet.csv().starts_with("policy,false holds per tap,"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod advice_answer;
mod advice_page;
mod advice_tables;
mod bundle;
mod common_sections;
mod comparisons;
mod figures;
mod first_screen;
mod fit_page;
mod folders;
mod log_figure;
mod looks;
mod methods;
mod page;
mod people_figure;
mod personal_page;
mod predictive_figure;
mod replay_page;
mod run_answer;
mod run_grounds;
mod section;
mod sensitivity_page;
mod sheet;
mod short_answer;
mod stop;
mod sweep_figures;
mod sweep_page;
mod tables;
mod transfer_tables;
mod try_page;
mod words;

pub use advice_page::{advice_page, robust_page};
pub use advice_tables::{
    advice_in_short, effect_table as turns_table, list_table, one_default_table, practice_table, rules_table,
    whom_table,
};
pub use agogic_figures::{Figure, Terms, Timing, TimingPress, TimingVerdict, Width};
pub use bundle::{bundle, run_bundle};
pub use comparisons::{Comparisons, comparison_table, effect_table, for_whom};
pub use figures::{
    Drawing, FigureFileError, Format, all as all_figures, differences, false_holds_by_rollover,
    false_holds_over_typists, literature_figure, missed_holds_by_speed, missed_holds_over_typists, save_figure,
    trade_off,
};
pub use fit_page::fit_page;
pub use folders::{ReportError, RunFolder, advice_folder, robust_folder, run_folder, sensitivity_folder, sweep_folder};
pub use log_figure::log_figure;
pub use methods::{Paragraph, bibtex, methods, methods_latex, methods_markdown, sources_used};
pub use page::{PAGE, page};
pub use people_figure::people_figure;
pub use personal_page::{
    PERSONAL_CAUTIONS, personal_files, personal_fingers_table, personal_keys_table, personal_page,
    personal_practice_table, personal_prices_table, personal_table,
};
pub use predictive_figure::predictive_figure;
pub use replay_page::{replay_facts, replay_page, replay_parts_table, replay_policies_table};
pub use section::Section;
pub use sensitivity_page::{index_figures, index_table, sensitivity_page};
pub use sheet::{Cell, Column, Sheet, Style};
pub use short_answer::{short_answer, short_answer_words};
pub use stop::{stop_sentence, stop_table};
pub use sweep_figures::sweep_figures;
pub use sweep_page::{front_sentences, front_table, front_verdict, sweep_page};
pub use tables::{
    assignment_table, caution_notes, ends_table, floor_note, group_table, hand_table, kind_table, policy_table,
    policy_table_on_paper, register_table, slug, spread_table, text_table,
};
pub use transfer_tables::{transfer_in_short, transfer_table, world_table};
pub use try_page::{PageFile, TRY_PAGE};

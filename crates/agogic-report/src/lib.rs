//! Results as something a person reads: tables, figures, and a page that needs nothing else.
//!
//! *In*: the files of a result folder, comparisons with published values. *Out*: text and pictures. Nothing is
//! printed, and nothing is estimated but the rates of fifths of typists in the pictures of whom a rule fails.
//!
//! [`Results`] are read from a [`ResultFolder`](agogic_files::ResultFolder). [`page()`] makes the page,
//! [`bundle()`] all that a paper needs. A [`Section`] of one's own can be put on the page, and a [`Sheet`] is a table of
//! one's own in each form that a report has.
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

mod advice_page;
mod bundle;
mod comparisons;
mod figures;
mod log_figure;
mod methods;
mod page;
mod people_figure;
mod results;
mod section;
mod sheet;
mod stop;
mod sweep_figures;
mod tables;
mod words;

pub use advice_page::advice_page;
pub use agogic_figures::{Figure, Timing, TimingPress, TimingVerdict, Width};
pub use bundle::{PAGE, bundle};
pub use comparisons::{Comparisons, comparison_table, effect_table, for_whom};
pub use figures::{
    Drawing, FigureFileError, Format, all as all_figures, differences, false_holds_by_rollover,
    false_holds_over_typists, literature_figure, missed_holds_by_speed, missed_holds_over_typists, save_figure,
    trade_off,
};
pub use log_figure::log_figure;
pub use methods::{Paragraph, bibtex, methods, methods_latex, methods_markdown, sources_used};
pub use page::page;
pub use people_figure::people_figure;
pub use results::{
    AdviceLine, ArmInfo, CautionLine, FloorCorner, HandLine, KindLine, Manifest, Origin, RegisterEntry, Results, Row,
};
pub use section::Section;
pub use sheet::{Cell, Column, Sheet, Style};
pub use stop::{stop_sentence, stop_table};
pub use sweep_figures::sweep_figures;
pub use tables::{
    assignment_table, caution_notes, ends_table, floor_note, group_table, hand_table, kind_table, policy_table,
    policy_table_on_paper, register_table, slug, spread_table, text_table,
};

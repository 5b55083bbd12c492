//! The laboratory: from a study spec to results in files.
//!
//! *In*: a TOML text. *Out*: a [`StudyResult`] and, through [`files`], a folder with everything needed to
//! repeat it. [`Study::read`] reports every mistake of a spec at once; what it returns is the only thing
//! [`run`] accepts. This crate is the only home of dataframes and of threads.
//!
//! ```
//! use agogic_lab::{Study, run};
//!
//! let spec = r#"
//! name = "a-first-look"
//! seed = 1
//! [text]
//! words = "The tide turns at noon. Ask Ada for the log."
//! [typists]
//! number = 8
//! [[policy]]
//! rule = "enclosed"
//! [[policy]]
//! rule = "dwell-cutoff"
//! values = { cutoff_ms = 220 }
//! "#;
//! let study = Study::read(spec, std::path::Path::new(".")).unwrap();
//! let result = run(&study, &|_| ());
//! assert_eq!(result.typists.len(), 8);
//! ```

mod advice;
mod estimands;
pub mod files;
mod reader;
mod run;
mod spec;
mod study;
mod training;

pub use advice::{Advice, Contender, advise};
pub use estimands::{ESTIMANDS, EstimandInfo, ResultRow, estimate};
pub use reader::{Mistake, Mistakes};
pub use run::{StudyResult, TypistRow, run};
pub use spec::{BUILT_IN_TEXTS, MAIN_STUDY, built_in_text};
pub use study::{Labelled, Study};

//! A setting for a keyboard's own processor: as source, as data, as vectors and as a page.
//!
//! *In*: a [`Setting`](agogic_policy::Setting) of the registry, with any guards and, where it learns, its tables; the keys of a
//! keyboard with hand and roles; a clock. *Out*: [`files`]: C99 without heap, floating-point numbers or a library, which says
//! what the policy says at the time it says it; the same numbers as JSON; event sequences with the decisions that any program has
//! to make of them; and a page from which the rule can be written again.
//!
//! The policy is a function of a whole encounter; the source is a machine that is fed one event at a time. That both decide
//! alike is not proven by construction but held to by tests: every rule with every pair of guards, on ties, on mishaps, and on
//! what simulated people type. A rule that is added to the registry fails them until it can be exported.
//!
//! ```
//! use agogic_export::{Case, Clock, KeyTraits, Line, Machine};
//! use agogic_keys::{Assignment, Board, Code, Modifier};
//! use agogic_policy::Setting;
//!
//! let board = Board::row_staggered();
//! let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
//! let keys = KeyTraits::of(&board, &Assignment::resting(&board, order));
//! let setting = Setting::written("enclosed, lull 150", None)?;
//! let machine = Machine::new(&setting, keys, Clock::Milliseconds, Machine::DEFAULT_SLOTS)?;
//! assert!(agogic_export::sources(&machine)[1].1.contains("#define LULL 150000u"));
//!
//! // F goes down, I goes down and up inside, F comes up: a hold, when I comes up.
//! let key = |name: &str| name.parse::<Code>().unwrap().index() as u8;
//! let (f, i) = (key("KeyF"), key("KeyI"));
//! let lines = vec![
//!     Line::Down { key: f, when: 1000 },
//!     Line::Down { key: i, when: 1060 },
//!     Line::Up { key: i, when: 1140 },
//!     Line::Up { key: f, when: 1180 },
//!     Line::Wait { when: 2000 },
//! ];
//! let case = Case::new(&machine, "enclosed", lines);
//! assert!(case.told[0].hold && case.told[0].when == 1140);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod body;
mod conform;
mod data;
mod edges;
mod folder;
mod footprint;
mod machine;
mod mishaps;
mod page;
mod page_tables;
mod random;
mod source;
mod source_tables;
mod states;
mod story;
mod vectors;
mod words;

pub use body::{Body, KeyEntries, KeyTables, SumBounds};
pub use conform::{ConformError, Conformance, answers, compare_answers, conform};
pub use data::{DATA_VERSION, SCHEMA, data};
pub use edges::{RANDOM_CASES, cases};
pub use folder::{MARKER, files};
pub use footprint::{Measured, Memory, measured, table_bytes};
pub use machine::{Clock, ExportError, KeyTraits, Machine};
pub use page::page;
pub use random::{Manners, Stories};
pub use source::sources;
pub use states::{Change, changes, diagram};
pub use story::{Line, Told, expected, lines_of};
pub use vectors::{Case, VectorsError, read_vectors, vectors_text};

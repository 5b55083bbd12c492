//! Decisions against intents: which presses went wrong, how late the rest were, and what the host received.
//!
//! *In*: presses, what they meant, and a policy's decision for each dual-role press. *Out*: [`Counts`] for
//! one typist under one policy, with the causes of what went wrong; the [`HostKey`]s that the computer would
//! see; the [`Kinds`] of shortcuts that went astray or got lost, and their [`Harm`] under a cost table; the
//! error of the [`Produced`] text. This is the only place where decisions meet intents.
//!
//! [`tally`], [`Kinds::of`] and [`Produced::of`] are written to be read; a [`ScorerStream`] gives the same in one
//! pass, decision by decision, for any number of policies that share a [`Transcript`]; a [`Panel`] scans a session
//! once and feeds one to each policy.
//!
//! ```
//! use agogic_keys::{Assignment, Board, Code, Instant, Modifier, Press, Span, Truth};
//! use agogic_policy::Decision;
//! use agogic_score::{Decided, Emulator, tally};
//!
//! let board = Board::row_staggered();
//! let mut assignment = Assignment::none();
//! let f: Code = "KeyF".parse().unwrap();
//! assignment.assign(&board, f, Modifier::Control).unwrap();
//!
//! // F and E roll; both were meant as letters, but F was taken for a hold: the host sees Control+E.
//! let presses = [
//!     Press { code: f, down: Instant(0), up: Instant(120_000) },
//!     Press { code: "KeyE".parse().unwrap(), down: Instant(90_000), up: Instant(190_000) },
//! ];
//! let truths = [Truth::default(); 2];
//! let decided = [Decided { press: 0, decision: Decision::hold(Span(90_000)) }];
//! let counts = tally(&Emulator::new(&assignment), &presses, &truths, &decided, 1);
//! assert_eq!((counts.false_holds, counts.stray_chords), (1, 1));
//! assert_eq!(counts.false_by.by_roll, 1);
//! ```

mod assumed_costs;
mod causes;
mod cost_reader;
mod cost_table;
mod counts;
mod distance;
mod emulator;
mod harm;
mod kinds;
mod numbers;
mod panel;
mod quantile;
mod scorer;
mod stream;
mod target_class;
mod text_error;
mod transcript;

pub use causes::{FalseHoldCause, FalseHoldCauses, Gesture, Gestures};
pub use cost_table::{Basis, CostLevel, CostMistake, CostMistakes, CostRow, CostSpec, CostTable};
pub use counts::{Counts, tally};
pub use emulator::{Arrival, Decided, Emulator, HostKey};
pub use harm::{Harm, harm};
pub use kinds::{KindRow, Kinds, Outcome};
pub use panel::Panel;
pub use scorer::Scorer;
pub use stream::{ScorerStream, TypistScore};
pub use target_class::{ClassRow, TargetClass};
pub use text_error::{Produced, TextError};
pub use transcript::Transcript;

//! What every other agogic crate has to agree on: time, keys, hands, dual-role keys, intents and
//! addressed random streams.
//!
//! *In*: a text and a keyboard. *Out*: the [`Step`]s a typist means to make, and the vocabulary in
//! which presses are later described. Nothing here knows how long a person takes ([`Step`] has no
//! times) or how a firmware guesses.
//!
//! ```
//! use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported};
//!
//! let board = Board::row_staggered();
//! let assignment = Assignment::resting(&board, [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift]);
//! let plan = TextPlan::new("Low tide.", &board, &assignment, Unsupported::Refuse).unwrap();
//! assert_eq!(plan.words(), 2);
//! // The capital L is made by holding the left hand's Shift key, which is the resting key F.
//! assert_eq!(plan.steps()[0].holder.unwrap().name(), "KeyF");
//! ```

mod assignment;
mod board;
mod code;
mod digraphs;
mod letters;
mod load;
mod one_line;
mod orders;
mod pairs;
mod press;
mod stream;
mod text;
mod texts;
mod time;
mod workload;

pub use assignment::{Assignment, AssignmentError, Modifier, ModifierSet};
pub use board::{Board, Finger, Hand, KeyPlace};
pub use code::{Code, UnknownCode};
pub use digraphs::{DigraphDraw, DigraphError, Digraphs};
pub use letters::{Letters, LettersDraft, LettersMistake, Level, Stroke};
pub use load::{FingerLoad, HandLoad, MeanDwells, Reach};
pub use one_line::one_line;
pub use orders::NamedAssignment;
pub use pairs::{CountedPairs, PairShares, PairsError};
pub use press::{Press, Truth};
pub use stream::{Purpose, Stream, stream};
pub use text::{Step, TextError, TextPlan, Unsupported};
pub use time::{Instant, Span};
pub use workload::{Interruption, Rates, Shortcut, Workload, WorkloadError};

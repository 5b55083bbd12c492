//! Synthetic typists: people as draws from a population, and the key events they make.
//!
//! *In*: a [`Population`], the steps of a text, addressed random streams. *Out*: a [`Session`]: presses on
//! a clock and, in a separate array, what each press was meant to be.
//!
//! Two levels. A [`Typist`] is a vector of [traits](TRAITS) drawn from a multivariate normal on the log or
//! logit scale. Keystrokes of a typist have an interval to the press before and a dwell. **Overlap is never
//! drawn**: keys overlap when an interval turns out shorter than a dwell, so rollover is a consequence of
//! speed, dwell and their spreads; people's rolls come at the rate of intervals and dwells shuffled against each
//! other. What people add is order: of two fingers that roll the first mostly comes up first. A key held on purpose
//! has a time to its target and from the target to its release. Every number has an entry with its provenance in the
//! [register](register()).
//!
//! ```
//! use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported, Workload};
//! use agogic_typist::{Performer, Population, SessionAddress, Typist};
//!
//! let board = Board::row_staggered();
//! let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
//! let assignment = Assignment::resting(&board, order);
//! let plan = TextPlan::new("The tide turns at noon.", &board, &assignment, Unsupported::Refuse).unwrap();
//! let population = Population::volunteers();
//! let typist = Typist::draw(&population, 1, 0);
//! let address = SessionAddress { seed: 1, replicate: 0 };
//! let session = Performer::new(&board, &assignment).perform(&typist, &plan, &Workload::none(), address, 100);
//! assert!(session.presses.windows(2).all(|pair| pair[0].down < pair[1].down));
//! ```

mod address;
mod calibrated;
mod clock;
mod constants;
mod correlations;
mod densities;
mod digraphs;
mod draft;
mod gesture;
mod habits;
mod hands;
mod movement;
mod observe;
mod perform;
mod performance;
mod population;
mod population_error;
mod practice;
mod provenance;
mod register;
mod session;
mod slips;
mod slow;
mod tilt;
mod toml_text;
mod trained;
mod traits;
mod typist;
mod volunteers;
mod word_place;

pub use address::SessionAddress;
pub use clock::{CLOCKS, Clock, ClockPreset, UnknownClock};
pub use constants::{CONSTANTS, Constant, ConstantInfo};
pub use correlations::{Contradiction, Correlation};
pub use densities::{Cue, InOrderLaw, Laws, LogNormalLaw, RollLaw};
pub use draft::{PopulationDraft, PopulationMistake, PopulationProblem, TraitDraft};
pub use habits::finger_dwell_effects;
pub use movement::{Movement, MovementClass};
pub use observe::{Observed, observe};
pub use perform::Performer;
pub use performance::Performance;
pub use population::{Population, TraitSpread};
pub use population_error::PopulationError;
pub use practice::{holds_to_practise, practised_share};
pub use provenance::{Entry, Provenance};
pub use register::{RegisterError, register, register_of};
pub use session::Session;
pub use tilt::{Channel, Drawn, Shift, Tilt, TiltError, Tilted};
pub use traits::{Scale, TRAITS, Trait, TraitInfo};
pub use typist::Typist;
pub use word_place::{LONG_WORD, LONGEST_PLANNED_WORD, MIDDLE_OF_WORD, USUAL_WORD, planned_beyond_usual};

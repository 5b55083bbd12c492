//! People of open logs under the settings of the test bed, as rows.
//!
//! The aggregates lie in `data/people`, one file for each part of a data set, as `agogic people` writes them. A part
//! is the calibration half or the held-out half of a data set, or all of one that is held out whole.

mod personal;
mod rows;
mod simulated;
mod table;

pub use personal::{PROOF_ROWS, Promises, Proof, ProofPlan, ProofRow, proof};
pub use rows::PeopleFile;
pub(crate) use rows::people_rows;
pub use simulated::{simulated_figures, simulated_training};
pub use table::{Distance, distances, people_markdown, rates_of_people};

/// How the people of a data set typed, as far as it bears on what is known of their presses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Runs {
    /// One sentence at a time: no lull and no overlap reaches from one to the next.
    Sentences,
    /// On and on.
    Whole,
}

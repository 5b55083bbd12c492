//! Sweeps: what a rule does over whole ranges of its values, on the typists of a study.
//!
//! One threshold with a curve is swept in one pass, exactly; several, or one that has no curve, by plain runs
//! of each setting on the same presses. The settings, and the policies of the study beside them, then make a
//! [`Front`]: which are worth choosing, and which are dominated, how surely.

mod front;
mod rows;
mod run;
mod swept;

pub use front::{Dominator, Front, FrontPoint};
pub use rows::SweepRow;
pub use run::{SweepResult, run_sweep};
pub use swept::{ArmSweep, Swept};

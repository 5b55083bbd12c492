//! `personal`: values of a rule or guard fitted to one typist.

mod costs;
mod fit;
mod policy;
mod weight;

pub use costs::{CostsError, ErrorCosts};
pub use fit::{Fitted, PairCurves, ThresholdFit};
pub use policy::{PERSONAL, Personal, PersonalEntry, PersonalError, PersonalSample};
pub use weight::learn_prior_presses;

//! One person's rule: chosen from what a log shows and from typists who could be this person.
//!
//! *In*: a [`Grid`] of settings, a person's presses of known meaning ([`Known`]), typists drawn from the person's fit and
//! from a population, as [`Tally`]s. *Out*: [`PersonalAdvice`]: a setting for each rule, what it gains on presses that had no
//! part in the choice, whether a change is worth it, where the setting in use errs, and whom the person resembles.
//!
//! Nothing here draws or types: whoever asks brings the typists, so that the same advice can be held against people who
//! never saw a dual-role key.

mod advice;
mod choice;
mod errors_by_key;
mod grid;
mod known;
mod portrait;
mod tally;
mod weigh;
mod words;

pub use advice::{Evidence, LEAST_TO_SAY, PersonalAdvice, PersonalVerdict, Row, advise};
pub use choice::{Choice, OWN_TABLES, Question, default_setting};
pub use errors_by_key::KeyErrors;
pub use grid::{FAMILIES, FLOORS_MS, Family, Grid, LULLS_MS, Place};
pub use known::Known;
pub use portrait::{Portrait, UnusualTrait};
pub use tally::{Errors, Tally};
pub use weigh::{EVEN, Rates};

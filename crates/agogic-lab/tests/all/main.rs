//! Advice, its cautions, and rules that learn, on whole small studies.

mod advice;
mod cautions;
mod personal_advice;
mod transfer;

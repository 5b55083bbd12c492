//! Advice and its cautions, on whole small studies.

mod advice;
mod cautions;
mod personal_advice;

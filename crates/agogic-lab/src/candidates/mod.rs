//! Settings that take part in an analysis beside the policies of a study, and typists judged by them.

mod candidate;
mod judge;

pub(crate) use candidate::Candidate;
pub(crate) use judge::{Judge, rows_of};

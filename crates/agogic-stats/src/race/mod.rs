//! Choosing the best of many candidates on some units, and saying how good it is on others.
//!
//! The candidate that looked best looks better than it is: whoever picks the smallest of many noisy numbers
//! picks luck with it. So two sets of units are used. On the first, a race drops candidates that are surely
//! outside the demands, or surely worse than one that surely meets them ([`look`]); [`shortlist`] then takes the
//! most promising of those that are left. On fresh units [`confirm`] tests the demands, compares the short list,
//! and only then is anything claimed.
//!
//! All claims hold together with the stated confidence. Of the error α that is allowed, a quarter each goes to
//! the drops of the race, to the settings that the short list left out, to the demands and to the comparisons.
//! `RACE.md`, made by the example `race`, measures how often the claims err.
//!
//! # Source
//! Maron & Moore (1997), Artificial Intelligence Review 11:193 (races); Birattari et al. (2002), GECCO, p. 11 (whoever
//! runs is judged on the same instances). Both from memory.

mod bounds;
mod confirm;
mod look;
mod shortlist;
mod tally;
mod track;

pub use confirm::{Confirmation, Confirmed, confirm};
pub use look::{Dropped, look};
pub use shortlist::{Shortlist, shortlist};
pub use tally::{Demands, Tally};
pub use track::{Race, Runner};

use crate::level::Level;

/// How errors are shared out in a choice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RaceRules {
    /// Confidence that all claims hold together.
    pub level: Level,
    /// Candidates that may ever run, newcomers among them.
    pub candidates: usize,
    /// Looks that may ever be taken.
    pub looks: usize,
    /// Longest short list.
    pub shortlist: usize,
    /// Fresh units that will confirm.
    pub fresh: u64,
}

impl RaceRules {
    /// The error allowed to each of the four kinds of claims.
    pub(crate) fn quarter(&self) -> f64 {
        self.level.alpha() / 4.0
    }

    /// The error allowed to the demands of one candidate of the short list.
    pub(crate) fn of_each_listed(&self) -> f64 {
        self.quarter() / self.shortlist.max(1) as f64
    }
}

//! What is asked of a setting, and how long it is looked for.

use agogic_score::TypistScore;

use crate::{EstimandInfo, Line};

/// Fewest typists at the first look: fewer cannot show that nine in ten are served.
const FIRST_LOOK: u64 = 50;

/// The table `advice` without mistakes.
#[derive(Clone, Debug)]
pub struct AdvicePlan {
    /// What is to be made small.
    pub objective: &'static EstimandInfo,
    /// A difference of the objective that nobody would change anything for, in its unit.
    pub least_gain: f64,
    /// Least share of typists that has to stay within `limits`.
    pub served: f64,
    /// Limits for each typist.
    pub limits: Vec<Line>,
    /// Limits for all typists together.
    pub limits_of_all: Vec<Line>,
    /// Typists of the search.
    pub search_typists: u64,
    /// Fresh typists.
    pub confirm_typists: u64,
    /// How often settings near the leaders enter.
    pub refinements: usize,
    /// Longest short list.
    pub shortlist: usize,
}

impl AdvicePlan {
    /// Whether anything is asked of single typists.
    pub fn asks_of_typists(&self) -> bool {
        !self.limits.is_empty()
    }

    /// The limits for each typist in words.
    pub fn limits_said(&self) -> String {
        if self.limits.is_empty() { "no limit".to_owned() } else { Self::limits_in_words(&self.limits) }
    }

    /// Search typists at each look: doubled from one to the next.
    pub fn looks(&self) -> Vec<u64> {
        let last = self.search_typists;
        let first = FIRST_LOOK.min(last);
        let mut looks: Vec<u64> = (0..=self.refinements as u32).rev().map(|back| (last >> back).max(first)).collect();
        looks.dedup();
        looks
    }

    /// Whether a typist stays within all limits; `None` where that cannot be said.
    pub fn served(&self, score: &TypistScore) -> Option<bool> {
        self.within(|info| (info.parts)(score))
    }

    /// The same from the parts of each estimand.
    pub fn within(&self, parts: impl Fn(&'static EstimandInfo) -> (f64, f64)) -> Option<bool> {
        let mut sure = true;
        for line in &self.limits {
            let (y, x) = parts(line.info);
            if x > 0.0 {
                if y / x * line.info.scale > line.value {
                    return Some(false);
                }
            } else {
                sure = false;
            }
        }
        sure.then_some(true)
    }

    /// The limits in words, such as `2 missed holds per 100 holds and 40 ms …`.
    pub fn limits_in_words(lines: &[Line]) -> String {
        let all: Vec<String> = lines.iter().map(|line| line.info.said(&line.value.to_string())).collect();
        all.join(" and ")
    }
}

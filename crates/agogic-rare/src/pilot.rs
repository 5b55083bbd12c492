//! Finding where the errors are.

use agogic_policy::Setting;
use serde::Serialize;

use crate::levels::{FACTORS, easier};
use crate::proposal::{Proposal, Way};
use crate::simulator::{Batch, Simulator, Visit};
use crate::ways::ways;

/// Typists of the first step of the pilot, which draws from the model, of the steps at easier levels, and of those
/// with the setting itself.
const TYPISTS: [u64; 3] = [1500, 300, 600];

/// Steps after which the pilot gives up.
const STEPS: u64 = 24;

/// Steps with the setting itself, after the easier levels.
const REFINEMENTS: usize = 2;

/// Steps drawn from at a time: the latest ones with the setting itself.
const STEPS_KEPT: usize = 3;

/// Errors, and typists with errors, that a level must have brought before a shift is read off it.
const ERRORS: usize = 60;
const TYPISTS_WITH_ERRORS: usize = 25;

/// Why no figure is given.
#[derive(Debug, Clone, PartialEq, Serialize, thiserror::Error)]
pub enum Refusal {
    /// No press could have gone wrong.
    #[error("no press of these sessions could go wrong in this way, so there is no rate")]
    NoOpportunity,
    /// The pilot saw too few errors at its first step.
    #[error(
        "the pilot saw {errors} errors even under the easiest setting it could make, too few to find the way to the \
         setting asked for; the rate may be zero. A plain run gives an upper bound"
    )]
    NothingFound {
        /// Errors seen.
        errors: u64,
    },
    /// The pilot stopped on the way.
    #[error(
        "the pilot could not come nearer than {share:.0} % of the thresholds asked for; the errors between may need \
         something that typists of this population hardly do. A plain run gives an upper bound"
    )]
    NotReached {
        /// How near it came.
        share: f64,
    },
    /// Few draws carry the estimate.
    #[error(
        "the estimate would rest on {effective:.0} effective typists of {typists}, with {share:.0} % of it on one: \
         the draws do not fit the errors, and neither the figure nor its error can be trusted"
    )]
    Degenerate {
        /// (Σy)²/Σy².
        effective: f64,
        /// Typists drawn.
        typists: u64,
        /// Share of the largest, in percent.
        share: f64,
    },
    /// Weights that should average 1 do not.
    #[error("the weights average {mean:.3} where they must average 1 (standard error {error:.3})")]
    Weights {
        /// Their mean.
        mean: f64,
        /// Its standard error.
        error: f64,
    },
    /// The budget is too small.
    #[error("{needed} presses would be needed for this precision, and {budget} are allowed")]
    Budget {
        /// Presses needed.
        needed: u64,
        /// Presses allowed.
        budget: u64,
    },
}

/// What was found so far with the setting itself, step by step.
#[derive(Clone, Default)]
pub(crate) struct Found {
    steps: Vec<Vec<Way>>,
}

impl Found {
    /// Draws along the latest of it.
    pub fn proposal(&self) -> Proposal {
        let latest = &self.steps[self.steps.len().saturating_sub(STEPS_KEPT)..];
        Proposal::along(latest).expect("there are shifts, and they are bounded")
    }

    /// Adds what these visits found under the hardest of so many levels.
    pub fn learn(&mut self, visits: &[Visit], levels: usize) {
        self.steps.push(ways(visits, levels - 1));
    }
}

/// Goes from level to level to the setting itself; gives the proposal and the presses it took.
pub(crate) fn pilot<B: Batch>(simulator: &Simulator<'_>, batch: &B, first_stage: u64) -> (Result<Found, Refusal>, u64) {
    let spec = simulator.spec;
    let eased: Vec<Setting> =
        FACTORS[..FACTORS.len() - 1].iter().filter_map(|&factor| easier(spec.setting, spec.error, factor)).collect();
    let settings: Vec<&Setting> = eased.iter().chain([spec.setting]).collect();
    let top = settings.len() - 1;
    let (mut proposal, mut keys, mut reached, mut found) = (Proposal::nominal(), 0, None, Found::default());
    for step in 0..STEPS {
        let typists = TYPISTS[if step == 0 { 0 } else { 1 + usize::from(reached == Some(top)) }];
        let visits =
            batch.each(0..typists, |number| simulator.visit(&proposal, &settings, first_stage + step, number, true));
        keys += visits.iter().map(|visit| visit.keys).sum::<u64>();
        let enough = |level: usize| {
            let errors = |visit: &Visit| visit.found.iter().filter(|found| found.level >= level).count();
            let counts: Vec<usize> = visits.iter().map(errors).collect();
            counts.iter().sum::<usize>() >= ERRORS
                && counts.iter().filter(|count| **count > 0).count() >= TYPISTS_WITH_ERRORS
        };
        let Some(level) = (0..=top).rev().find(|&level| enough(level)) else {
            let errors = visits.iter().map(|visit| visit.found.len() as u64).sum();
            let refusal = match reached {
                None => Refusal::NothingFound { errors },
                Some(level) => Refusal::NotReached { share: 100.0 * FACTORS[level] },
            };
            return (Err(refusal), keys);
        };
        reached = Some(reached.map_or(level, |before: usize| before.max(level)));
        if level == top {
            found.learn(&visits, settings.len());
            proposal = found.proposal();
            if found.steps.len() > REFINEMENTS {
                return (Ok(found), keys);
            }
        } else {
            proposal = Proposal::along(&[ways(&visits, level)]).expect("shifts are bounded");
        }
    }
    (Err(Refusal::NotReached { share: 100.0 * reached.map_or(0.0, |level| FACTORS[level]) }), keys)
}

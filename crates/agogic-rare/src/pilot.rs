//! Finding where the errors are.

use agogic_policy::Setting;
use agogic_typist::{Channel, Shift, TRAITS};
use serde::Serialize;

use crate::bench::{Batch, Bench, Visit};
use crate::ladder::{RUNGS, easier};
use crate::proposal::{Proposal, TraitShift};

/// Typists of the first step of the pilot, which draws from the model, of the steps on the ladder, and of those
/// with the setting itself.
const TYPISTS: [u64; 3] = [1500, 300, 600];

/// Steps after which the pilot gives up.
const STEPS: u64 = 24;

/// Steps with the setting itself, after the ladder.
const REFINEMENTS: usize = 2;

/// Shifts drawn from at a time: the latest ones found with the setting itself.
const SHIFTS: usize = 3;

/// Errors, and typists with errors, that a rung must have shown before a shift is read off it.
const ERRORS: usize = 60;
const TYPISTS_WITH_ERRORS: usize = 25;

/// Effective errors below which weights are evened out before a shift is read off them.
const EFFECTIVE: f64 = 40.0;

/// Shifts that are drawn, at most.
const FURTHEST: f64 = 6.0;

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

/// The shifts found so far with the setting itself.
#[derive(Clone, Default)]
pub(crate) struct Way {
    shifts: Vec<(TraitShift, Shift)>,
}

impl Way {
    /// Draws towards the latest of them.
    pub fn proposal(&self) -> Proposal {
        let latest = &self.shifts[self.shifts.len().saturating_sub(SHIFTS)..];
        Proposal::towards(latest).expect("there are shifts, and they are bounded")
    }

    /// Adds what these visits found under the hardest of `rungs` settings.
    pub fn learn(&mut self, visits: &[Visit], rungs: usize) {
        self.shifts.push(centre(visits, rungs - 1));
    }
}

/// Climbs the ladder to the setting itself; gives the proposal and the presses it took.
pub(crate) fn climb<B: Batch>(bench: &Bench<'_>, batch: &B, first_stage: u64) -> (Result<Way, Refusal>, u64) {
    let spec = bench.spec;
    let eased: Vec<Setting> =
        RUNGS[..RUNGS.len() - 1].iter().filter_map(|&factor| easier(spec.setting, spec.error, factor)).collect();
    let settings: Vec<&Setting> = eased.iter().chain([spec.setting]).collect();
    let top = settings.len() - 1;
    let (mut proposal, mut keys, mut reached, mut way) = (Proposal::nominal(), 0, None, Way::default());
    for step in 0..STEPS {
        let typists = TYPISTS[if step == 0 { 0 } else { 1 + usize::from(reached == Some(top)) }];
        let visits =
            batch.each(0..typists, |number| bench.visit(&proposal, &settings, first_stage + step, number, true));
        keys += visits.iter().map(|visit| visit.keys).sum::<u64>();
        let enough = |rung: usize| {
            let errors = |visit: &Visit| visit.found.iter().filter(|found| found.rung >= rung).count();
            let counts: Vec<usize> = visits.iter().map(errors).collect();
            counts.iter().sum::<usize>() >= ERRORS
                && counts.iter().filter(|count| **count > 0).count() >= TYPISTS_WITH_ERRORS
        };
        let Some(rung) = (0..=top).rev().find(|&rung| enough(rung)) else {
            let errors = visits.iter().map(|visit| visit.found.len() as u64).sum();
            let refusal = match reached {
                None => Refusal::NothingFound { errors },
                Some(rung) => Refusal::NotReached { share: 100.0 * RUNGS[rung] },
            };
            return (Err(refusal), keys);
        };
        reached = Some(reached.map_or(rung, |before: usize| before.max(rung)));
        if rung == top {
            way.learn(&visits, settings.len());
            proposal = way.proposal();
            if way.shifts.len() > REFINEMENTS {
                return (Ok(way), keys);
            }
        } else {
            proposal = Proposal::towards(&[centre(&visits, rung)]).expect("shifts are bounded");
        }
    }
    (Err(Refusal::NotReached { share: 100.0 * reached.map_or(0.0, |rung| RUNGS[rung]) }), keys)
}

/// The weighted means of what led to errors at `rung` or harder: the shifts of least cross-entropy.
///
/// For a choice the shift is the difference of log odds between the errors and the model. Means that the errors
/// do not tell from the model's are set to it, since each needless shift makes the weights more uneven.
fn centre(visits: &[Visit], rung: usize) -> (TraitShift, Shift) {
    let errors = || {
        let found = visits.iter().flat_map(|visit| visit.found.iter().map(move |found| (visit, found)));
        found.filter(|(_, found)| found.rung >= rung)
    };
    let logs: Vec<f64> = errors().map(|(visit, found)| libm::log(visit.weight * found.weight)).collect();
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights_at = |power: f64| -> Vec<f64> { logs.iter().map(|log| libm::exp(power * (log - top))).collect() };
    // Errors of one typist share that typist, so effective typists count for the traits.
    let effective = |weights: &[f64]| {
        let (sum, squares) = weights.iter().fold((0.0, 0.0), |(sum, squares), w| (sum + w, squares + w * w));
        sum * sum / squares
    };
    let powers = [1.0, 0.8, 0.6, 0.4, 0.2, 0.0];
    let weights = powers.map(weights_at).into_iter().find(|w| effective(w) >= EFFECTIVE).unwrap_or(weights_at(0.0));
    let total: f64 = weights.iter().sum();
    let mut by_typist = std::collections::BTreeMap::new();
    for ((visit, _), weight) in errors().zip(&weights) {
        by_typist.entry(std::ptr::from_ref(visit) as usize).or_insert((visit, 0.0)).1 += weight;
    }
    let typists: Vec<f64> = by_typist.values().map(|(_, weight)| *weight).collect();
    let noise_of_traits = 2.0 / libm::sqrt(effective(&typists));
    let noise_of_presses = 2.0 / libm::sqrt(effective(&weights));
    let clear = |mean: f64, noise: f64| if mean.abs() > noise { mean.clamp(-FURTHEST, FURTHEST) } else { 0.0 };
    let mut traits = [0.0; TRAITS.len()];
    for (i, value) in traits.iter_mut().enumerate() {
        let mean = errors().zip(&weights).map(|((visit, _), weight)| weight * visit.at[i]).sum::<f64>() / total;
        *value = clear(mean, noise_of_traits);
    }
    // By press and channel: Σ weight, Σ weight × value, Σ weight × chance.
    let mut sums = [[[0.0; 3]; Channel::COUNT]; Shift::PRESSES];
    let mut choices = [[false; Channel::COUNT]; Shift::PRESSES];
    for ((_, found), weight) in errors().zip(&weights) {
        for drawn in &found.drawn {
            let at = (drawn.press, drawn.channel as usize);
            let sum = &mut sums[at.0][at.1];
            *sum = [sum[0] + weight, sum[1] + weight * drawn.value, sum[2] + weight * drawn.chance];
            choices[at.0][at.1] = drawn.channel.is_choice();
        }
    }
    let mut noise = Shift::default();
    for press in 0..Shift::PRESSES {
        for channel in 0..Channel::COUNT {
            let [weight, value, chance] = sums[press][channel];
            // A channel that few of the errors drew says little.
            if weight < 0.02 * total {
                continue;
            }
            let scale = libm::sqrt(total / weight);
            let (mean, expected) = (value / weight, chance / weight);
            noise.values[press][channel] = if choices[press][channel] {
                let few = 0.5 / (effective(&weights) * weight / total).max(1.0);
                let odds = |share: f64| libm::log(share / (1.0 - share));
                let shift = odds(mean.clamp(few, 1.0 - few)) - odds(expected.clamp(1e-9, 1.0 - 1e-9));
                let spread = libm::sqrt(expected * (1.0 - expected)).max(1e-9);
                if (mean - expected).abs() > noise_of_presses * scale * spread {
                    shift.clamp(-FURTHEST, FURTHEST)
                } else {
                    0.0
                }
            } else {
                clear(mean, noise_of_presses * scale)
            };
        }
    }
    (traits, noise)
}

//! What a fit says of a person.

use agogic_typist::Correlation;
use agogic_typist::{Population, PopulationError, Scale, TRAITS, Trait, TraitSpread};
use serde::{Serialize, Serializer};

use crate::fit::Fit;
use crate::gesture::Sides;
use crate::seen::Seen;

/// What a log showed, in counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Evidence {
    /// Presses.
    pub presses: u64,
    /// Intervals that were used.
    pub intervals: u64,
    /// Of these, between keys of one hand.
    pub same_hand: u64,
    /// Of these, between keys of one finger.
    pub same_finger: u64,
    /// Of these, before a key pressed again.
    pub repeats: u64,
    /// Of these, at the start of a word or after an interruption.
    pub starts: u64,
    /// Dwells that were used.
    pub dwells: u64,
    /// Of these, of presses that struck while the one before was still down.
    pub rolls: u64,
    /// Hold gestures with a target.
    pub gestures: u64,
    /// Of these, with one target under the holding hand, for which either hand could have held.
    pub own_hand: u64,
    /// Of these, held by that hand.
    pub one_hand: u64,
    /// Intervals before held keys.
    pub lulls: u64,
    /// Letters typed and not taken back.
    pub letters: u64,
    /// Runs of Backspaces.
    pub corrections: u64,
    /// Presses of dual-role keys whose meaning the log does not tell; none of them was used.
    pub unknown: u64,
}

impl Evidence {
    pub(crate) fn of(seen: &Seen, sides: &Sides) -> Self {
        let count = |yes: &dyn Fn(&crate::seen::Interval) -> bool| {
            seen.intervals.iter().filter(|interval| yes(interval)).count() as u64
        };
        Self {
            presses: seen.presses,
            intervals: seen.intervals.len() as u64,
            same_hand: count(&|i| i.same_hand),
            same_finger: count(&|i| i.same_finger),
            repeats: count(&|i| i.repeat),
            starts: count(&|i| i.starts),
            dwells: seen.dwells.len() as u64,
            rolls: seen.dwells.iter().filter(|dwell| dwell.behind_us.is_some()).count() as u64,
            gestures: seen.releases.len() as u64,
            own_hand: sides.seen.len() as u64,
            one_hand: sides.seen.iter().filter(|side| side.same).count() as u64,
            lulls: seen.lulls.len() as u64,
            letters: seen.letters,
            corrections: seen.corrections,
            unknown: seen.unknown,
        }
    }

    /// Observations that bear on a trait.
    pub fn of_trait(&self, id: Trait) -> u64 {
        match id {
            Trait::Interval => self.intervals - self.repeats,
            Trait::IntervalSpread | Trait::Hesitation => self.intervals,
            Trait::Dwell | Trait::DwellSpread => self.dwells,
            Trait::SameHand => self.same_hand,
            Trait::SameFinger => self.same_finger,
            Trait::Repeat => self.repeats,
            Trait::WordStart => self.starts,
            Trait::Lead | Trait::Release => self.gestures,
            Trait::OneHand => self.own_hand,
            Trait::HoldingHand => self.one_hand,
            Trait::Lull => self.lulls,
            Trait::Slips | Trait::Detection => self.letters,
        }
    }

    /// Why nothing bears on it.
    pub(crate) fn why_none(&self, id: Trait) -> &'static str {
        match id {
            Trait::Lead | Trait::Release | Trait::OneHand | Trait::HoldingHand | Trait::Lull if self.unknown > 0 => {
                "unknown: the log does not tell which presses were holds; the population's value stands"
            }
            Trait::Lead | Trait::Release | Trait::Lull => {
                "unknown: the log holds no hold gesture; the population's value stands"
            }
            Trait::OneHand => {
                "unknown: the log holds no hold for which either hand could have held; the population's value stands"
            }
            Trait::HoldingHand => {
                "unknown: no hand held for a target of its own, or both did as often; the population's value stands"
            }
            _ => "unknown: the log holds no press that tells it; the population's value stands",
        }
    }
}

/// A maximum-likelihood estimate: what the log says without the population.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Likeliest {
    /// Value in the trait's unit; `None` where there is none.
    pub value: Option<f64>,
    /// Standard error on the trait's normal scale.
    pub se: Option<f64>,
    /// Why there is none.
    pub reason: Option<&'static str>,
}

impl Likeliest {
    pub(crate) fn none(reason: &'static str) -> Self {
        Self { value: None, se: None, reason: Some(reason) }
    }
}

/// What more typing of the same kind would bring.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct More {
    /// Predicted posterior SD after twice the presses.
    pub sd_at_twice: f64,
    /// Predicted posterior SD after five times the presses.
    pub sd_at_five_times: f64,
    /// Further presses until the posterior SD is half of what it is; `None` where a hundred times as many would
    /// not do.
    pub presses_to_halve: Option<u64>,
}

impl More {
    /// The most that is looked ahead, in multiples of the log.
    const MOST: f64 = 100.0;

    pub(crate) fn of(sd: f64, presses: u64, sd_at: impl Fn(f64) -> f64) -> Self {
        let halves = |factor: f64| sd_at(factor) <= sd / 2.0;
        let presses_to_halve = halves(Self::MOST).then(|| {
            let (mut short, mut enough) = (1.0, Self::MOST);
            while enough - short > 0.01 {
                let middle = 0.5 * (short + enough);
                if halves(middle) { enough = middle } else { short = middle }
            }
            ((enough - 1.0) * presses as f64).ceil() as u64
        });
        Self { sd_at_twice: sd_at(2.0), sd_at_five_times: sd_at(5.0), presses_to_halve }
    }
}

fn scale_name<S: Serializer>(id: &Trait, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(match TRAITS[*id as usize].scale {
        Scale::Log => "logarithm",
        Scale::Logit => "logit",
        Scale::Plain => "value",
    })
}

/// One trait of a fitted person.
#[derive(Clone, Debug, Serialize)]
pub struct TraitFit {
    /// The trait; in JSON, the scale on which SDs are.
    #[serde(rename = "scale", serialize_with = "scale_name")]
    pub id: Trait,
    /// Its name.
    pub name: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// The estimate: log and population together.
    pub value: f64,
    /// Posterior SD on the trait's normal scale.
    pub sd: f64,
    /// Lower limit.
    pub lo: f64,
    /// Upper limit.
    pub hi: f64,
    /// Median of the population.
    pub population_median: f64,
    /// SD between people on the normal scale.
    pub population_spread: f64,
    /// Share of the population's variance that the log has done away with: 0 says the population speaks, 1 the log.
    pub weight: f64,
    /// Observations that bear on it.
    pub observations: u64,
    /// What the log says without the population.
    pub likeliest: Likeliest,
    /// The posterior SD is above half of the population's.
    pub too_short: bool,
    /// What more typing would bring.
    pub more: More,
    /// What to know about the estimate.
    pub note: Option<String>,
    /// How far its intervals fell short in trials with synthetic people of about as many presses, if they did.
    pub caution: Option<String>,
}

impl Fit {
    /// The person as a population: what the log leaves unknown is its spread. Typists drawn from it are draws
    /// from the posterior.
    ///
    /// # Errors
    /// Correlations that rounding has made impossible.
    pub fn as_population(&self, name: &str, about: &str) -> Result<Population, PopulationError> {
        let mut person = self.prior.clone().named(name, about);
        // Correlations of the prior need not go with the spreads of the posterior on the way.
        person = person.with_correlations(Vec::new())?;
        for (i, info) in TRAITS.iter().enumerate() {
            let sd = libm::sqrt(self.covariance[(i, i)]).min(5.0);
            // The middle of a logit far out must stay a share.
            let median = info.scale.to_natural(self.centre[i]);
            person = person.with_trait(info.id, TraitSpread { median, spread: sd })?;
        }
        let r = |i: usize, j: usize| {
            self.covariance[(i, j)] / libm::sqrt(self.covariance[(i, i)] * self.covariance[(j, j)])
        };
        let hub = Trait::Interval as usize;
        let mut correlations = Vec::new();
        for (i, a) in TRAITS.iter().enumerate() {
            for (j, b) in TRAITS.iter().enumerate().take(i) {
                // What is not stated is what the interval makes of it.
                let unstated = if j == hub { 0.0 } else { r(i, hub) * r(j, hub) };
                if (r(i, j) - unstated).abs() > 1e-4 {
                    // A hair's breadth towards zero keeps rounding from making the matrix singular.
                    correlations.push(Correlation { a: b.id, b: a.id, r: r(i, j) * (1.0 - 1e-6) });
                }
            }
        }
        person.with_correlations(correlations)
    }

    /// The fit of one trait.
    pub fn of(&self, id: Trait) -> &TraitFit {
        &self.traits[id as usize]
    }
}

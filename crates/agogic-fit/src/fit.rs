//! Fitting one person to their log.

use agogic_keys::Hand;
use agogic_log::SessionLog;
use agogic_typist::{Constant, Population, TRAITS, Trait, TraitSpread};
use nalgebra::{DMatrix, DVector};
use serde::Serialize;

use crate::block::{Block, Point, SIZE};
use crate::climb::{climb, curvature, spread};
use crate::gesture::{Lulls, Sides};
use crate::goodness::{Goodness, judge};
use crate::parts::Parts;
use crate::person::{Evidence, Likeliest, More, TraitFit};
use crate::plan::FitPlan;
use crate::prior::Prior;
use crate::recovery::recovered;
use crate::seen::Reader;
use crate::serial::sandwich;

/// How the intervals of a fit were made.
pub const METHOD: &str = "posterior normal on the trait's scale (Laplace), information corrected for serial dependence";

/// A posterior SD above this share of the population's means that the log is too short for the trait.
pub const TOO_SHORT: f64 = 0.5;

/// Why a person cannot be fitted. The texts continue "failed to fit the log: …".
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// Nothing to fit.
    #[error(
        "it holds {presses} presses of which no interval and no dwell can be used; name another participant, or check \
         the layout"
    )]
    Nothing {
        /// Presses read.
        presses: u64,
    },
    /// The search found no maximum.
    #[error(
        "the posterior has no maximum that could be found from {presses} presses; look at the log with `agogic inspect`"
    )]
    NoMaximum {
        /// Presses read.
        presses: u64,
    },
}

/// A person, as far as a log tells.
#[derive(Clone, Debug, Serialize)]
pub struct Fit {
    /// Name of the population behind the prior.
    pub population: String,
    /// Level of the intervals.
    pub level: f64,
    /// How they were made.
    pub method: &'static str,
    /// What was counted and taken as dependent.
    pub unit: &'static str,
    /// What the log showed.
    pub evidence: Evidence,
    /// Every trait, in the order of [`TRAITS`].
    pub traits: Vec<TraitFit>,
    /// How well the laws describe the log.
    pub goodness: Vec<Goodness>,
    #[serde(skip)]
    pub(crate) centre: Point,
    #[serde(skip)]
    pub(crate) covariance: DMatrix<f64>,
    #[serde(skip)]
    pub(crate) prior: Population,
}

/// Fits one person's sessions.
///
/// # Definition
/// The traits have the population's multivariate normal on their normal scales for prior: empirical Bayes. The
/// likelihood is a composite of the model's laws: intervals (a log-normal, and with a share a log-normal
/// hesitation more), dwells with what they wait for when rolled onto the press before, leads, releases, which hand
/// held, lulls before held keys, and runs of Backspaces. What differs between people is fitted; constants stay those of the population.
/// The estimate is the posterior mode, and the posterior is taken as normal around it (Laplace) with the
/// information C J⁻¹ C in place of the curvature C, because neighbouring presses share a tempo; the mode is moved
/// to where it would be with that information. Lulls are fitted with the laws of intervals held at their estimate, whose
/// error they share.
///
/// # Undefined
/// A trait on which the log says nothing stays at the population and says so.
///
/// # Errors
/// No usable press, or no maximum.
///
/// # Source
/// Composite likelihoods and their information: Varin, Reid & Firth 2011, Statistica Sinica 21:5; adjusted
/// posteriors: Ribatet, Cooley & Davison 2012, Statistica Sinica 22:813 (both from memory).
pub fn fit(sessions: &[&SessionLog], plan: &FitPlan<'_>) -> Result<Fit, FitError> {
    let population = plan.population;
    let seen = Reader::new(sessions, population, plan.board, plan.assignment).read(sessions);
    let (sides, hand) = Sides::of(&seen.sides, 1.0 - population.constant(Constant::Adaptation));
    let evidence = Evidence::of(&seen, &sides);
    let presses = seen.presses;
    let prior = Prior::of(&leaning(population, hand));
    let mut parts = Parts::of(seen, sides, population, prior.mean);
    if parts.intervals.len() + parts.dwells.len() == 0 {
        return Err(FitError::Nothing { presses });
    }
    // The laws of intervals first; lulls are judged against them.
    parts.lulls.held = first_climb(&parts, &prior).ok_or(FitError::NoMaximum { presses })?;
    let found = posterior(&parts.all(), &prior, &parts.lulls.held, parts.intervals.constants.tempo())
        .ok_or(FitError::NoMaximum { presses })?;
    let likeliest = likeliest(&parts, &prior, &found);
    let handed_on = handed_on(&parts.lulls, &found, &prior);
    let covariance_at = |factor: f64| {
        let root = (&prior.precision + factor * &found.information).cholesky();
        root.map(|root| &handed_on * root.inverse() * handed_on.transpose())
    };
    let covariance = covariance_at(1.0).ok_or(FitError::NoMaximum { presses })?;
    let z = plan.level.z();
    let traits = TRAITS.iter().enumerate().map(|(i, info)| {
        let sd_at = |factor: f64| covariance_at(factor).map(|covariance| libm::sqrt(covariance[(i, i)]));
        let sd = libm::sqrt(covariance[(i, i)]);
        let observations = evidence.of_trait(info.id);
        let of_population = population.spread_of(info.id);
        // People who do not differ need no fit.
        let fixed = of_population.spread < 1e-6;
        let natural = |x: f64| info.scale.to_natural(x);
        let weight = if fixed { 0.0 } else { (1.0 - (sd / of_population.spread).powi(2)).clamp(0.0, 1.0) };
        let more = More::of(sd, presses, |factor| sd_at(factor).unwrap_or(sd));
        TraitFit {
            id: info.id,
            name: info.name,
            unit: info.unit,
            value: natural(found.centre[i]),
            sd,
            lo: natural(found.centre[i] - z * sd),
            hi: natural(found.centre[i] + z * sd),
            population_median: of_population.median,
            population_spread: of_population.spread,
            weight,
            observations,
            likeliest: likeliest[i].clone(),
            too_short: !fixed && sd > TOO_SHORT * of_population.spread,
            more,
            note: note(info.id, fixed, observations, &evidence, sd, of_population.spread),
            caution: recovered(info.id, presses)
                .filter(|_| !fixed && observations > 0)
                .and_then(|trial| trial.caution()),
        }
    });
    Ok(Fit {
        population: population.name().to_owned(),
        level: plan.level.confidence(),
        method: METHOD,
        unit: "presses, neighbours dependent over 30",
        evidence,
        traits: traits.collect(),
        goodness: judge(&parts, &prior, &found.mode, plan),
        centre: found.centre,
        covariance,
        prior: population.clone(),
    })
}

fn note(id: Trait, fixed: bool, observations: u64, evidence: &Evidence, sd: f64, of_population: f64) -> Option<String> {
    if fixed {
        return Some("the population states no difference between people".to_owned());
    }
    if observations == 0 {
        return Some(evidence.why_none(id).to_owned());
    }
    if matches!(id, Trait::Slips | Trait::Detection) {
        return Some("a log shows slips that were corrected alone: the product of both shares".to_owned());
    }
    if id == Trait::HoldingHand {
        return Some("only its sign counts and can be told: the hand that held for targets of its own".to_owned());
    }
    (sd > TOO_SHORT * of_population).then(|| "the log is too short: mostly the population speaks".to_owned())
}

/// The population with the holding hand that a log tells.
///
/// Only the sign of that trait counts, and what a log shows of it leaves no doubt. So any values on the right side
/// describe the person as well as any other: they are the population's own size, with a spread of a sixth.
fn leaning(population: &Population, hand: Option<Hand>) -> Population {
    let TraitSpread { median, spread } = population.spread_of(Trait::HoldingHand);
    let size = median.abs().max(spread);
    let median = if hand == Some(Hand::Left) { size } else { -size };
    let known = hand.filter(|_| spread >= 1e-6).map(|_| TraitSpread { median, spread: size / 6.0 });
    let moved = known.and_then(|known| population.clone().with_trait(Trait::HoldingHand, known).ok());
    moved.unwrap_or_else(|| population.clone())
}

/// What makes errors of all traits of errors that know nothing of each other: the lull takes over its part of those of
/// the intervals it was fitted with.
fn handed_on(lulls: &Lulls, found: &Posterior, prior: &Prior) -> DMatrix<f64> {
    let mut handed = DMatrix::identity(SIZE, SIZE);
    let lull = Trait::Lull as usize;
    if lulls.len() == 0 {
        return handed;
    }
    let stiff = curvature(lulls, &found.mode, prior)[(0, 0)] + prior.precision[(lull, lull)];
    for (id, lean) in lulls.leans(&found.mode, &prior.sd, stiff) {
        handed[(lull, id as usize)] = lean;
    }
    handed
}

/// The mode of intervals and dwells. A slow typist's intervals may look like a quick one's with many hesitations,
/// so the search starts from the population and from the middle of what was seen, and the higher top counts.
fn first_climb(parts: &Parts, prior: &Prior) -> Option<Point> {
    let blocks: [&dyn Block; 2] = [&parts.intervals, &parts.dwells];
    let height = |at: &Point| blocks.iter().filter(|b| b.len() > 0).map(|b| b.value(at)).sum::<f64>() + prior.log(at);
    let mut middle = prior.mean;
    parts.intervals.middle(&mut middle);
    let tops = [prior.mean, middle].into_iter().filter_map(|start| climb(&blocks, prior, &start));
    tops.map(|top| (height(&top), top)).max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, top)| top)
}

/// A posterior.
pub(crate) struct Posterior {
    /// Where the composite posterior is highest.
    pub mode: Point,
    /// The same with information corrected for serial dependence.
    pub centre: Point,
    /// That information, without the prior.
    pub information: DMatrix<f64>,
}

/// Finds the posterior of some parts.
pub(crate) fn posterior(blocks: &[&dyn Block], prior: &Prior, start: &Point, tempo: (f64, f64)) -> Option<Posterior> {
    let mode = climb(blocks, prior, start)?;
    let (left, moved) = informations(blocks, prior, &mode, tempo);
    // The likelihood's own slope at the mode balances the prior's. Moved by C J⁻¹ it balances the corrected one.
    let own = prior.slope(&mode);
    let step = (&prior.precision + &left).cholesky()?.solve(&(moved + own));
    let centre = std::array::from_fn(|i| mode[i] + step[i]);
    Some(Posterior { mode, centre, information: left })
}

/// Corrected information and the likelihood's slope times C J⁻¹, of all traits.
fn informations(blocks: &[&dyn Block], prior: &Prior, at: &Point, tempo: (f64, f64)) -> (DMatrix<f64>, DVector<f64>) {
    let mut left = DMatrix::zeros(SIZE, SIZE);
    let mut moved = DVector::zeros(SIZE);
    for block in blocks.iter().filter(|block| block.len() > 0) {
        let own = curvature(*block, at, prior);
        let corrected = sandwich(*block, at, &own, prior, tempo);
        let mut slope = DVector::zeros(block.traits().len());
        block.scores(at, &mut |_, scores| slope += DVector::from_column_slice(scores));
        // C J⁻¹ s = (C J⁻¹ C) C⁻¹ s; where C is singular the slope stays.
        let towards = own.clone().cholesky().map_or(slope.clone(), |root| &corrected * root.solve(&slope));
        for (i, id) in block.traits().iter().enumerate() {
            moved[*id as usize] += towards[i];
        }
        spread(&mut left, block.traits(), &corrected);
    }
    (left, moved)
}

/// Maximum likelihood, without the population, for each trait that has one.
fn likeliest(parts: &Parts, prior: &Prior, found: &Posterior) -> Vec<Likeliest> {
    let flat = prior.flat();
    let tempo = parts.intervals.constants.tempo();
    let mut estimates = vec![Likeliest::none("the log says nothing about it"); SIZE];
    estimates[Trait::HoldingHand as usize] = Likeliest::none("a sign has no likeliest size");
    for block in parts.all().into_iter().filter(|block| block.len() > 0) {
        let traits = block.traits();
        if block.expected(&found.mode).is_some() {
            for id in traits {
                estimates[*id as usize] = Likeliest::none("only its product with another trait can be estimated");
            }
            continue;
        }
        let Some(at) = climb(&[block], &flat, &found.mode) else {
            for id in traits {
                estimates[*id as usize] = Likeliest::none("no maximum was found");
            }
            continue;
        };
        let own = curvature(block, &at, prior);
        let left = sandwich(block, &at, &own, prior, tempo);
        // What a tenth of a population spread cannot move is not estimated.
        let kept: Vec<usize> =
            (0..traits.len()).filter(|i| left[(*i, *i)] * prior.sd[traits[*i] as usize].powi(2) > 1e-3).collect();
        let part = DMatrix::from_fn(kept.len(), kept.len(), |i, j| left[(kept[i], kept[j])]);
        let inverse = part.cholesky().map(|root| root.inverse());
        for (place, i) in kept.iter().enumerate() {
            let id = traits[*i];
            let away = (at[id as usize] - prior.mean[id as usize]).abs() / prior.sd[id as usize];
            estimates[id as usize] = match &inverse {
                Some(inverse) if away < 4.0 => {
                    let value = TRAITS[id as usize].scale.to_natural(at[id as usize]);
                    Likeliest { value: Some(value), se: Some(libm::sqrt(inverse[(place, place)])), reason: None }
                }
                Some(_) => Likeliest::none("the likelihood rises towards the end of the range"),
                None => Likeliest::none("the likelihood has no peak"),
            };
        }
    }
    estimates
}

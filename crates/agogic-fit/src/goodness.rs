//! How well the laws describe the log.

use agogic_keys::{Purpose, stream};
use agogic_stats::kolmogorov_smirnov;
use serde::Serialize;

use crate::block::{Block, Point};
use crate::climb::climb;
use crate::parts::Parts;
use crate::plan::FitPlan;
use crate::prior::Prior;

/// Fewer observations than this are not judged.
const LEAST: usize = 30;

/// How far the times of a log are from the law fitted to them.
///
/// # Definition
/// Probability integral transforms of the times under the fitted law are uniform if the law is right. The
/// distance is the largest between their distribution function and the uniform one (Kolmogorov–Smirnov). The law
/// was fitted to the same times and neighbours depend on each other, so tables of that statistic do not hold:
/// the p-value is (1 + draws at least as far) ⁄ (1 + draws) over times drawn anew from the fitted law, with the
/// model's tempo, each fitted again.
///
/// # Source
/// Parametric bootstrap of goodness of fit: Stute, González Manteiga & Presedo Quindimil 1993, Metrika 40:243
/// (from memory).
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Goodness {
    /// Which times.
    pub law: &'static str,
    /// Observations judged.
    pub n: u64,
    /// The largest distance between the distributions, in shares.
    pub distance: Option<f64>,
    /// The distance that one draw in twenty from the fitted law exceeds.
    pub usual_distance: Option<f64>,
    /// The p-value; small speaks against the law.
    pub p_value: Option<f64>,
    /// Draws behind it.
    pub redraws: u32,
    /// Why something is missing.
    pub reason: Option<String>,
}

/// Judges intervals, dwells, leads and releases.
pub(crate) fn judge(parts: &Parts, prior: &Prior, at: &Point, plan: &FitPlan<'_>) -> Vec<Goodness> {
    let laws: [(&'static str, &dyn Block); 4] = [
        ("intervals", &parts.intervals),
        ("dwells", &parts.dwells),
        ("leads", &parts.leads),
        ("releases", &parts.releases),
    ];
    laws.into_iter().zip(0..).map(|((law, block), number)| one(law, block, number, prior, at, plan)).collect()
}

fn distance(block: &dyn Block, at: &Point) -> Option<f64> {
    let integrals = block.integrals(at);
    kolmogorov_smirnov(&integrals, |u| u.clamp(0.0, 1.0)).ok().map(|found| found.statistic)
}

fn one(law: &'static str, block: &dyn Block, number: u64, prior: &Prior, at: &Point, plan: &FitPlan<'_>) -> Goodness {
    let integrals = block.integrals(at);
    let n = integrals.len() as u64;
    let mut found = Goodness { law, n, distance: None, usual_distance: None, p_value: None, redraws: 0, reason: None };
    if integrals.len() < LEAST {
        found.reason = Some(format!("{n} observations are too few to judge a law; {LEAST} are needed"));
        return found;
    }
    let Some(own) = distance(block, at) else { return found };
    found.distance = Some(own);
    if plan.redraws == 0 {
        found.reason = Some("no p-value was asked for".to_owned());
        return found;
    }
    // What the other parts say of these traits stays away: the fit is to these times alone, as is the drawn one.
    let Some(alone) = climb(&[block], prior, at) else { return found };
    let Some(own) = distance(block, &alone) else { return found };
    found.distance = Some(own);
    let drawn: Vec<f64> = (0..u64::from(plan.redraws))
        .filter_map(|replicate| {
            let mut rng = stream(plan.seed, Purpose::Refit, number, replicate);
            let block = block.drawn(&alone, &mut rng)?;
            let again = climb(&[&*block], prior, &alone)?;
            distance(&*block, &again)
        })
        .collect();
    let far = drawn.iter().filter(|other| **other >= own).count();
    found.redraws = drawn.len() as u32;
    found.p_value = Some((1 + far) as f64 / (1 + drawn.len()) as f64);
    found.usual_distance = agogic_stats::quantile(&drawn, 0.95).ok();
    found
}

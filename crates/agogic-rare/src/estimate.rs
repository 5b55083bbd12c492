//! The estimate, and what it would have cost to wait for the errors.

use agogic_policy::Setting;
use agogic_stats::{Clusters, Estimate, Interval, StudentT, ratio};
use serde::Serialize;

use crate::pilot::{Refusal, pilot};
use crate::proposal::Proposal;
use crate::simulator::{Batch, InOrder, Simulator, Visit};
use crate::spec::RareSpec;

/// Unit of replication.
const UNIT: &str = "typist";

/// Ordinary sessions of the first look, which also give the denominator.
const FIRST_LOOK: u64 = 400;

/// Errors in the first look from which they are common enough to be waited for.
const COMMON: u64 = 100;

/// Typists of the run that sizes the estimate.
const SIZING: u64 = 1000;

/// Sizing runs; one that finds a few draws carrying all is used to find a better way instead.
const ATTEMPTS: u64 = 4;

/// How much more than the sizing run says is drawn, since it says so with an error of its own.
const MARGIN: f64 = 2.0;

/// Least and largest number of typists of an estimate.
const TYPISTS: (u64, u64) = (1500, 200_000);

/// Effective typists below which no figure is given.
const EFFECTIVE: f64 = 100.0;

/// The same in the run that sizes the estimate, which need not bear one.
const EFFECTIVE_IN_SIZING: f64 = 20.0;

/// Stages of the streams; the pilot has as many as it needs after its first.
const STAGE_LOOK: u64 = 0;
const STAGE_FINAL: u64 = 1;
const STAGE_SIZING: u64 = 10;
const STAGE_PILOT: u64 = 20;

/// What waiting for the errors would cost.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BruteForce {
    /// Presses for the relative half-width this estimate reached, with sessions of the same length.
    ///
    /// # Definition
    /// With Y errors in a session, R = E Y/E X and relative half-width δ: (t/δ)² Var(Y)/(E Y)² sessions. Var(Y) is
    /// E Y + E(P²) − (E Y)², with P the expected errors of a typist, so it holds the variance between typists.
    /// E(P²) is estimated by 4 W AB, A and B being the sums over even and odd opportunities.
    pub keystrokes: f64,
    /// The same with one opportunity per typist: less cannot do, for then errors are independent.
    ///
    /// # Definition
    /// (t/δ)² (1 − R)/R opportunities, times presses per opportunity.
    pub keystrokes_at_least: f64,
    /// Share of Var(Y) that lies between typists.
    pub share_between: f64,
}

/// How far the estimate can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Diagnostics {
    /// Typists of the estimate.
    pub typists: u64,
    /// Errors seen.
    pub errors: u64,
    /// Effective typists, (Σy)²/Σy² over their contributions y.
    ///
    /// # Source
    /// Owen (2013), Monte Carlo Theory, Methods and Examples, section 9.3, with weights times the integrand
    /// (from memory).
    pub effective: f64,
    /// Share of the estimate that the largest contribution carries.
    pub largest_share: f64,
    /// Effective typists by weight alone, (ΣW)²/ΣW².
    pub effective_by_weight: f64,
    /// Mean weight of typists and its standard error; it estimates 1.
    pub mean_weight: (f64, f64),
    /// Mean weight of branches and its standard error; it estimates 1.
    pub mean_branch_weight: (f64, f64),
    /// Half-width of the interval over the estimate.
    pub relative_half_width: f64,
    /// Whether that is as small as was asked.
    pub precision_reached: bool,
}

/// A rate with what it cost.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RareEstimate {
    /// The rate.
    pub estimate: Estimate,
    /// How it was found.
    pub method: &'static str,
    /// Presses simulated in all: first look, pilot, sizing and estimate, branches included.
    pub keystrokes: u64,
    /// What plain simulation would need for the same interval.
    pub brute_force: BruteForce,
    /// How far it can be trusted.
    pub diagnostics: Diagnostics,
}

/// No rate, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Refused {
    /// Why.
    pub reason: Refusal,
    /// Presses simulated until this was known.
    pub keystrokes: u64,
}

/// A rate, or why there is none.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum RareOutcome {
    /// A rate.
    Estimated(Box<RareEstimate>),
    /// None.
    Refused(Refused),
}

/// Estimates the rate of an error, rare or not. See the crate's page for the definition.
///
/// Errors that an ordinary run of 400 typists shows 100 times are counted; rarer ones are sampled by importance.
/// The number of typists is settled before the estimate is made, so its interval is one of fixed size: should
/// it come out wider than was asked, `precision_reached` says so.
pub fn rare_rate(spec: &RareSpec<'_>) -> RareOutcome {
    rare_rate_on(spec, &InOrder)
}

/// [`rare_rate`] with typists simulated as `batch` does; the result is the same to the last bit.
pub fn rare_rate_on<B: Batch>(spec: &RareSpec<'_>, batch: &B) -> RareOutcome {
    let simulator = Simulator::new(spec);
    let mut keys = 0;
    match run(&simulator, batch, &mut keys) {
        Ok(found) => RareOutcome::Estimated(Box::new(RareEstimate { keystrokes: keys, ..found })),
        Err(reason) => RareOutcome::Refused(Refused { reason, keystrokes: keys }),
    }
}

fn run<B: Batch>(simulator: &Simulator<'_>, batch: &B, keys: &mut u64) -> Result<RareEstimate, Refusal> {
    let spec = simulator.spec;
    let look = plain(simulator, batch, STAGE_LOOK, FIRST_LOOK, keys);
    if look.iter().all(|[opportunities, ..]| *opportunities == 0) {
        return Err(Refusal::NoOpportunity);
    }
    let per_session = look.iter().map(|[.., keys]| keys).sum::<u64>() as f64 / FIRST_LOOK as f64;
    if look.iter().map(|[_, errors, _]| errors).sum::<u64>() >= COMMON {
        let relative = relative_spread(&look);
        let wanted = typists_for(spec, MARGIN * relative * relative);
        let typists = affordable(spec, wanted, per_session, *keys)?;
        let rows = plain(simulator, batch, STAGE_FINAL, typists, keys);
        return Ok(counted(spec, &rows));
    }
    let (pilot, used) = pilot(simulator, batch, STAGE_PILOT);
    *keys += used;
    let mut found = pilot?;
    let mut sized = None;
    for attempt in 0..ATTEMPTS {
        let sizing = visits(simulator, batch, &found.proposal(), STAGE_SIZING + attempt, SIZING, keys);
        let spread = Spread::of(&sizing);
        if spread.check(SIZING, EFFECTIVE).is_ok() || attempt + 1 == ATTEMPTS {
            spread.check(SIZING, EFFECTIVE_IN_SIZING)?;
            sized = Some((sizing, spread));
            break;
        }
        found.learn(&sizing, 1);
    }
    let (sizing, spread) = sized.expect("the last attempt is kept or refused");
    let proposal = found.proposal();
    let wanted = typists_for(spec, MARGIN * spread.relative_variance);
    let per_typist = sizing.iter().map(|visit| visit.keys).sum::<u64>() as f64 / SIZING as f64;
    let typists = affordable(spec, wanted, per_typist, *keys)?;
    let rows = visits(simulator, batch, &proposal, STAGE_FINAL, typists, keys);
    weighted(spec, &look, &rows)
}

/// The rate with a proposal of the caller's own and so many typists: the last stage of [`rare_rate`] alone.
///
/// # Errors
/// As [`rare_rate`] refuses.
pub fn rate_under<B: Batch>(
    spec: &RareSpec<'_>,
    proposal: &Proposal,
    typists: u64,
    batch: &B,
) -> Result<RareEstimate, Refused> {
    let (simulator, mut keys) = (Simulator::new(spec), 0);
    let look = plain(&simulator, batch, STAGE_LOOK, FIRST_LOOK, &mut keys);
    let rows = visits(&simulator, batch, proposal, STAGE_FINAL, typists, &mut keys);
    let found = if look.iter().all(|[opportunities, ..]| *opportunities == 0) {
        Err(Refusal::NoOpportunity)
    } else {
        weighted(spec, &look, &rows)
    };
    match found {
        Ok(found) => Ok(RareEstimate { keystrokes: keys, ..found }),
        Err(reason) => Err(Refused { reason, keystrokes: keys }),
    }
}

/// The rate by waiting for the errors in ordinary sessions of so many typists.
pub fn plain_rate<B: Batch>(spec: &RareSpec<'_>, typists: u64, batch: &B) -> RareEstimate {
    let (simulator, mut keys) = (Simulator::new(spec), 0);
    let rows = plain(&simulator, batch, STAGE_FINAL, typists, &mut keys);
    RareEstimate { keystrokes: keys, ..counted(spec, &rows) }
}

fn plain<B: Batch>(simulator: &Simulator<'_>, batch: &B, stage: u64, typists: u64, keys: &mut u64) -> Vec<[u64; 3]> {
    let rows = batch.each(0..typists, |number| simulator.plain(stage, number));
    *keys += rows.iter().map(|[.., keys]| keys).sum::<u64>();
    rows
}

fn visits<B: Batch>(
    simulator: &Simulator<'_>,
    batch: &B,
    proposal: &Proposal,
    stage: u64,
    typists: u64,
    keys: &mut u64,
) -> Vec<Visit> {
    let settings: [&Setting; 1] = [simulator.spec.setting];
    let keep = stage != STAGE_FINAL;
    let rows = batch.each(0..typists, |number| simulator.visit(proposal, &settings, stage, number, keep));
    *keys += rows.iter().map(|visit| visit.keys).sum::<u64>();
    rows
}

/// Typists for the precision asked, at a relative variance of one typist's contribution.
fn typists_for(spec: &RareSpec<'_>, relative_variance: f64) -> u64 {
    let z = spec.level.z();
    let wanted = z * z * relative_variance / (spec.precision * spec.precision);
    (wanted.min(TYPISTS.1 as f64) as u64).clamp(TYPISTS.0, TYPISTS.1)
}

/// The typists wanted, if the budget allows; fewer, down to a third of them, if it does not.
fn affordable(spec: &RareSpec<'_>, wanted: u64, keys_each: f64, used: u64) -> Result<u64, Refusal> {
    let left = spec.budget_keys.saturating_sub(used) as f64;
    let possible = (left / keys_each) as u64;
    if possible < (wanted / 3).max(TYPISTS.0) {
        let needed = used + (wanted as f64 * keys_each) as u64;
        return Err(Refusal::Budget { needed, budget: spec.budget_keys });
    }
    Ok(wanted.min(possible))
}

/// Spread of errors over typists, over their mean.
fn relative_spread(rows: &[[u64; 3]]) -> f64 {
    let n = rows.len() as f64;
    let mean = rows.iter().map(|row| row[1] as f64).sum::<f64>() / n;
    let squares: f64 = rows.iter().map(|row| (row[1] as f64 - mean) * (row[1] as f64 - mean)).sum();
    libm::sqrt(squares / (n - 1.0)) / mean
}

fn counted(spec: &RareSpec<'_>, rows: &[[u64; 3]]) -> RareEstimate {
    let pairs = rows.iter().map(|[opportunities, errors, _]| (*errors, *opportunities));
    let clusters = Clusters::counts(UNIT, pairs).expect("errors are opportunities");
    let estimate = ratio(&clusters, spec.level);
    let n = rows.len() as f64;
    let sum = |f: &dyn Fn(&[u64; 3]) -> f64| rows.iter().map(f).sum::<f64>();
    let (errors, squares) = (sum(&|row| row[1] as f64), sum(&|row| (row[1] * row[1]) as f64));
    let (opportunities, keys) = (sum(&|row| row[0] as f64), sum(&|row| row[2] as f64));
    let width = relative_half_width(&estimate);
    let mean = errors / n;
    let variance = (squares / n - mean * mean).max(0.0);
    let largest = rows.iter().map(|row| row[1]).max().unwrap_or(0) as f64;
    RareEstimate {
        method: "plain Monte Carlo",
        keystrokes: 0,
        brute_force: BruteForce {
            keystrokes: keys,
            keystrokes_at_least: least(spec, errors / opportunities, width, keys / opportunities),
            share_between: ((variance - mean) / variance).max(0.0),
        },
        diagnostics: Diagnostics {
            typists: rows.len() as u64,
            errors: errors as u64,
            effective: if squares > 0.0 { errors * errors / squares } else { 0.0 },
            largest_share: if errors > 0.0 { largest / errors } else { 1.0 },
            effective_by_weight: n,
            mean_weight: (1.0, 0.0),
            mean_branch_weight: (1.0, 0.0),
            relative_half_width: width,
            precision_reached: width <= spec.precision,
        },
        estimate,
    }
}

fn relative_half_width(estimate: &Estimate) -> f64 {
    match (estimate.interval(), estimate.value) {
        (Some(interval), Some(value)) if value > 0.0 => interval.width() / 2.0 / value,
        _ => f64::INFINITY,
    }
}

/// Presses for a relative half-width with one opportunity per typist.
fn least(spec: &RareSpec<'_>, rate: f64, width: f64, keys_per_opportunity: f64) -> f64 {
    let z = spec.level.z();
    z * z / (width * width) * (1.0 - rate) / rate * keys_per_opportunity
}

/// What the contributions of typists look like together.
struct Spread {
    mean: f64,
    relative_variance: f64,
    effective: f64,
    largest_share: f64,
    effective_by_weight: f64,
    mean_weight: (f64, f64),
    mean_branch_weight: (f64, f64),
}

impl Spread {
    fn of(visits: &[Visit]) -> Self {
        let n = visits.len() as f64;
        let mean_and_error = |f: &dyn Fn(&Visit) -> f64| {
            let mean = visits.iter().map(f).sum::<f64>() / n;
            let squares: f64 = visits.iter().map(|visit| (f(visit) - mean) * (f(visit) - mean)).sum();
            (mean, squares / (n - 1.0))
        };
        let (mean, variance) = mean_and_error(&Visit::value);
        let squares: f64 = visits.iter().map(|visit| visit.value() * visit.value()).sum();
        let weights: f64 = visits.iter().map(|visit| visit.weight).sum();
        let weight_squares: f64 = visits.iter().map(|visit| visit.weight * visit.weight).sum();
        let largest = visits.iter().map(Visit::value).fold(0.0, f64::max);
        let error = |(mean, variance): (f64, f64)| (mean, libm::sqrt(variance / n));
        let branches = |visit: &Visit| {
            if visit.opportunities > 0 { visit.branch_weights / visit.opportunities as f64 } else { 1.0 }
        };
        Self {
            mean,
            relative_variance: if mean > 0.0 { variance / (mean * mean) } else { f64::INFINITY },
            effective: if squares > 0.0 { n * mean * n * mean / squares } else { 0.0 },
            largest_share: if mean > 0.0 { largest / (n * mean) } else { 1.0 },
            effective_by_weight: weights * weights / weight_squares,
            mean_weight: error(mean_and_error(&|visit| visit.weight)),
            mean_branch_weight: error(mean_and_error(&branches)),
        }
    }

    /// Whether the draws bear an estimate.
    fn check(&self, typists: u64, effective: f64) -> Result<(), Refusal> {
        // What is not a number is refused too.
        let enough = self.effective >= effective;
        if !enough {
            let share = 100.0 * self.largest_share;
            return Err(Refusal::Degenerate { effective: self.effective, typists, share });
        }
        for (mean, error) in [self.mean_weight, self.mean_branch_weight] {
            // Bounded weights of many typists are normal enough for six standard errors to mean a fault.
            let near = (mean - 1.0).abs() <= 6.0 * error + 1e-9;
            if !near {
                return Err(Refusal::Weights { mean, error });
            }
        }
        Ok(())
    }
}

/// The rate from weighted visits, with the denominator of ordinary sessions.
///
/// # Definition
/// R = Ȳ/X̄ over n visits and m ordinary sessions, which are independent; its squared relative error is that of Ȳ
/// plus that of X̄, and the interval is R ± t(n−1) times its error.
fn weighted(spec: &RareSpec<'_>, look: &[[u64; 3]], visits: &[Visit]) -> Result<RareEstimate, Refusal> {
    let spread = Spread::of(visits);
    spread.check(visits.len() as u64, EFFECTIVE)?;
    let (n, m) = (visits.len() as f64, look.len() as f64);
    let opportunities = look.iter().map(|row| row[0] as f64).sum::<f64>() / m;
    let squares: f64 = look.iter().map(|row| (row[0] as f64 - opportunities) * (row[0] as f64 - opportunities)).sum();
    let relative_denominator = squares / (m - 1.0) / (opportunities * opportunities);
    let rate = spread.mean / opportunities;
    let relative = libm::sqrt(spread.relative_variance / n + relative_denominator / m);
    let half = StudentT::new(n - 1.0).expect("two typists or more").critical(spec.level) * relative;
    const METHOD: &str = "importance sampling over typists and branches, t";
    let interval = Interval { lo: (rate * (1.0 - half)).max(0.0), hi: (rate * (1.0 + half)).min(1.0) };
    let estimate = Estimate::new(rate, METHOD, spec.level, UNIT, visits.len() as u64)
        .with_mcse(rate * relative)
        .with_interval(interval);
    // Squares of expected errors by halves, which are independent given the session.
    let product = visits.iter().map(|visit| 4.0 * visit.weight * visit.halves[0] * visit.halves[1]).sum::<f64>() / n;
    let between = (product - spread.mean * spread.mean).max(0.0);
    let variance = spread.mean + between;
    let z = spec.level.z();
    let sessions = z * z / (half * half) * variance / (spread.mean * spread.mean);
    let keys = look.iter().map(|row| row[2] as f64).sum::<f64>() / m;
    Ok(RareEstimate {
        estimate,
        method: "importance sampling over typists and branches",
        keystrokes: 0,
        brute_force: BruteForce {
            keystrokes: sessions * keys,
            keystrokes_at_least: least(spec, rate, half, keys / opportunities),
            share_between: between / variance,
        },
        diagnostics: Diagnostics {
            typists: visits.len() as u64,
            errors: visits.iter().map(|visit| visit.hits).sum(),
            effective: spread.effective,
            largest_share: spread.largest_share,
            effective_by_weight: spread.effective_by_weight,
            mean_weight: spread.mean_weight,
            mean_branch_weight: spread.mean_branch_weight,
            relative_half_width: half,
            precision_reached: half <= spec.precision,
        },
    })
}

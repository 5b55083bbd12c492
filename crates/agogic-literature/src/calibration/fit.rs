//! The search for the parameters, and what it came to.

use agogic_typist::{Population, PopulationError};
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::DVector;
use serde::{Deserialize, Serialize};

use super::inference::{Inference, WeakDirection, covariance};
use super::list::volunteers_parameters;
use super::moment::{Moment, moments_hash};
use super::parameter::{Parameter, ParameterScale, four_digits, with_values};
use super::problem::{Problem, Progress, RIDGE};
use crate::simulate::{CheckError, CheckPlan};

/// What to fit to what, and at what cost.
#[derive(Clone, Debug)]
pub struct CalibrationPlan<'a> {
    /// The population; numbers that are no parameter keep the values it has.
    pub population: Population,
    /// The numbers to set.
    pub parameters: Vec<Parameter>,
    /// What to meet; at least as many as there are parameters.
    pub moments: Vec<Moment>,
    /// Typists, presses of each, seed and text of a simulation. Every evaluation uses the same streams (common
    /// random numbers), so that the objective is nearly smooth, and typists whose traits are moved to have the
    /// means, spreads and correlations of the population exactly, so that less noise is fitted.
    pub simulation: CheckPlan<'a>,
    /// Most iterations; each costs one simulation a parameter and one or two more.
    pub iterations: usize,
    /// Independent simulations at the start, for the weights, and again at the estimate, for the errors; at
    /// least 4.
    pub replicates: u64,
}

impl<'a> CalibrationPlan<'a> {
    /// The plan behind the shipped values of `volunteers`.
    ///
    /// Its seed is not that of the check, so that the check does not meet the very people it was fitted with.
    pub fn volunteers(text: &'a str) -> Self {
        Self {
            population: Population::volunteers(),
            parameters: volunteers_parameters(),
            moments: Moment::calibration_rows("volunteers"),
            simulation: CheckPlan { typists: 1000, keys: 800, seed: 20, ..CheckPlan::new(text) },
            iterations: 10,
            replicates: 10,
        }
    }

    /// The population with the estimates of a calibration of this plan, rounded as they are shipped.
    ///
    /// # Errors
    /// As [`Population::new`], should rounding carry the correlations over the edge of what can be.
    pub fn population_of(&self, calibration: &Calibration) -> Result<Population, PopulationError> {
        let values: Vec<f64> = calibration.parameters.iter().map(|p| four_digits(p.estimate)).collect();
        with_values(&self.population, &self.parameters, &values)
    }
}

/// A parameter after the fit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FittedParameter {
    /// Name in the register.
    pub name: String,
    /// Scale it was moved on.
    pub scale: ParameterScale,
    /// Lower bound.
    pub lo: f64,
    /// Upper bound.
    pub hi: f64,
    /// Where the search started.
    pub start: f64,
    /// Where it ended.
    pub estimate: f64,
    /// Standard error, ridge and simulation noise included.
    pub standard_error: f64,
    /// Standard error from the moments alone, without the ridge; `None` where they leave it free.
    pub unaided_error: Option<f64>,
    /// The moments alone say more about it than its bounds do.
    pub pinned: bool,
}

/// A moment before and after the fit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FittedMoment {
    /// Name; for a row, its id.
    pub id: String,
    /// Published value.
    pub published: f64,
    /// Standard deviation allowed to the published value.
    pub tolerance: f64,
    /// Square root of the tolerance squared and the squared Monte Carlo error at the start: what residuals are
    /// divided by.
    pub scale: f64,
    /// Simulated value at the start.
    pub before: f64,
    /// Simulated value at the estimate.
    pub after: f64,
    /// (before − published) / scale.
    pub residual_before: f64,
    /// (after − published) / scale.
    pub residual_after: f64,
    /// Monte Carlo standard error of the simulated value at the estimate, between independent simulations.
    pub mcse: f64,
}

/// The outcome of a calibration.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Calibration {
    /// Name of the population.
    pub population: String,
    /// Typists of a simulation.
    pub typists: u64,
    /// Presses of each.
    pub keys: usize,
    /// Seed.
    pub seed: u64,
    /// SHA-256 of the moments.
    pub moments_hash: String,
    /// The parameters.
    pub parameters: Vec<FittedParameter>,
    /// The moments.
    pub moments: Vec<FittedMoment>,
    /// Sum of squared residuals of the moments at the start.
    pub objective_before: f64,
    /// The same at the estimate: Hansen's J, with the inverse squared scales as weights.
    pub objective: f64,
    /// Sum of squares of the ridge at the estimate.
    pub ridge: f64,
    /// Moments less parameters.
    pub degrees_of_freedom: usize,
    /// Parameters the moments determine, as the trace of the hat matrix: each counts by the share of its ridge
    /// that the moments overrule.
    pub effective_parameters: f64,
    /// Directions in which the moments say less than the bounds, weakest first.
    pub weak_directions: Vec<WeakDirection>,
    /// Simulations made.
    pub evaluations: usize,
    /// Why the search ended.
    pub termination: String,
    /// It ended because nothing more was to be gained, not because the iterations were used up.
    pub converged: bool,
}

impl Calibration {
    /// The estimate of a parameter, by name.
    pub fn parameter(&self, name: &str) -> Option<&FittedParameter> {
        self.parameters.iter().find(|p| p.name == name)
    }
}

/// Why there is no calibration. The texts continue "failed to calibrate: …".
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CalibrationError {
    /// The simulation cannot be run.
    #[error("{0}")]
    Check(#[from] CheckError),
    /// Start and bounds of a parameter are out of order.
    #[error("{name}: the start {start} must lie between the bounds {lo} and {hi}, and all on the {scale:?} scale")]
    Bounds {
        /// The parameter.
        name: String,
        /// Its lower bound.
        lo: f64,
        /// Its start.
        start: f64,
        /// Its upper bound.
        hi: f64,
        /// Its scale.
        scale: ParameterScale,
    },
    /// Not enough moments.
    #[error("{moments} moments cannot set {parameters} parameters: give at least one parameter, and a moment for each")]
    Count {
        /// How many moments.
        moments: usize,
        /// How many parameters.
        parameters: usize,
    },
    /// Not enough replicates or iterations.
    #[error("{name} must be at least {least}, not {value}")]
    TooFew {
        /// Which number.
        name: &'static str,
        /// Smallest accepted.
        least: u64,
        /// What was given.
        value: u64,
    },
    /// A moment cannot be simulated, at the start or at the estimate.
    #[error("{0}: the simulation has no value for it; drop the moment or make the plan larger")]
    Undefined(String),
    /// The starting values make no population.
    #[error("the values make no population; bring correlations closer to zero")]
    Population,
}

/// Sets the parameters so that the simulated moments come close to the published ones.
///
/// # Definition
/// Minimises Σ (simulated − published)²/σ² + Σ ((u − u₀)/1.5)² over the free coordinates u of the
/// [`Parameter`]s by Levenberg and Marquardt's method with finite differences. σ² is the squared tolerance of a
/// moment plus the squared Monte Carlo error of its simulation at the start: what a sample of this size cannot
/// tell is not fitted. The second sum is a weak ridge: some parameters move no moment by much, and without it
/// they would drift to a bound. A normal distribution of SD 1.5 on u is nearly flat between the bounds. The
/// result depends on the plan alone, not on threads.
///
/// Errors: with G the derivatives of the moments over σ in u, Λ = I/1.5² and H = G′G + Λ, the variance of u is
/// H⁻¹(G′(T + M)G + Λ)H⁻¹, where T holds the squared tolerances over σ² and M is the covariance of the simulated
/// moments over σ, estimated between independent simulations at the estimate. In the textbook case of S
/// simulated people for each person of the sample, M is 1/S times the sampling covariance T and T + M shows the
/// known factor 1 + 1/S. Errors on the parameters' own scales follow by the delta method. They hold if the
/// tolerances are right and the moments independent of each other; rows of one study are not quite, so read
/// them as a guide.
///
/// # Errors
/// See [`CalibrationError`].
///
/// # Source
/// McFadden (1989), Econometrica 57:995; Duffie & Singleton (1993), Econometrica 61:929; Gourieroux, Monfort &
/// Renault (1993), Journal of Applied Econometrics 8:S85 (the factor; seen quoted, formulas from memory). Moré
/// (1978), The Levenberg-Marquardt algorithm, as in MINPACK.
pub fn calibrate(plan: &CalibrationPlan<'_>, progress: &dyn Fn(Progress)) -> Result<Calibration, CalibrationError> {
    check(plan)?;
    let CalibrationPlan { population, parameters, moments, simulation, iterations, replicates } = plan;
    let mut problem = Problem::new(population, parameters, moments, *simulation, progress, *iterations);
    let known = |problem: &Problem<'_>, at: &DVector<f64>, seed: u64| -> Result<Vec<f64>, CalibrationError> {
        let simulated = problem.simulated(at, seed).ok_or(CalibrationError::Population)?;
        let pairs = moments.iter().zip(simulated);
        pairs.map(|(m, value)| value.ok_or_else(|| CalibrationError::Undefined(m.id.clone()))).collect()
    };
    let replicated = |problem: &Problem<'_>, at: &DVector<f64>| -> Result<Vec<Vec<f64>>, CalibrationError> {
        (1..=*replicates).map(|r| known(problem, at, simulation.seed + 1000 * r)).collect()
    };
    let start = LeastSquaresProblem::params(&problem);
    let before = known(&problem, &start, simulation.seed)?;
    let noise = covariance(&replicated(&problem, &start)?);
    for (i, scale) in problem.scales.iter_mut().enumerate() {
        *scale = scale.hypot(noise[(i, i)].sqrt());
    }
    let search = LevenbergMarquardt::new().with_ftol(TOLERANCE).with_xtol(1e-2).with_gtol(1e-3).with_stepbound(1.0);
    let (problem, report) = search.minimize(problem);
    let at = LeastSquaresProblem::params(&problem);
    let after = known(&problem, &at, simulation.seed)?;
    let residuals = problem.residuals_at(&at);
    let jacobian = problem.jacobian_at(&at, &residuals);
    let spread = covariance(&replicated(&problem, &at)?);
    let inference = Inference::new(&jacobian, moments, &problem.scales, &spread, parameters);
    let values = problem.values(&at);
    let scales = &problem.scales;
    let fitted_parameters = parameters
        .iter()
        .enumerate()
        .map(|(j, p)| {
            let slope = p.slope(at[j]);
            FittedParameter {
                name: p.name(),
                scale: p.scale,
                lo: p.lo,
                hi: p.hi,
                start: p.start,
                estimate: values[j],
                standard_error: inference.errors[j] * slope,
                unaided_error: inference.unaided[j].map(|e| e * slope),
                pinned: inference.unaided[j].is_some_and(|e| e < RIDGE),
            }
        })
        .collect();
    let squared = |simulated: &[f64]| -> f64 {
        (0..moments.len()).map(|i| ((simulated[i] - moments[i].value) / scales[i]).powi(2)).sum()
    };
    let fitted_moments = moments
        .iter()
        .enumerate()
        .map(|(i, m)| FittedMoment {
            id: m.id.clone(),
            published: m.value,
            tolerance: m.tolerance,
            scale: scales[i],
            before: before[i],
            after: after[i],
            residual_before: (before[i] - m.value) / scales[i],
            residual_after: (after[i] - m.value) / scales[i],
            mcse: spread[(i, i)].sqrt(),
        })
        .collect();
    Ok(Calibration {
        population: population.name().to_owned(),
        typists: simulation.typists,
        keys: simulation.keys,
        seed: simulation.seed,
        moments_hash: moments_hash(moments),
        parameters: fitted_parameters,
        moments: fitted_moments,
        objective_before: squared(&before),
        objective: squared(&after),
        ridge: residuals.rows(moments.len(), parameters.len()).norm_squared(),
        degrees_of_freedom: moments.len() - parameters.len(),
        effective_parameters: inference.effective_parameters,
        weak_directions: inference.weak,
        evaluations: problem.evaluations(),
        termination: format!("{:?}", report.termination),
        converged: report.termination.was_successful(),
    })
}

/// Relative gain in the objective below which the search ends. With an objective of about twenty it is a tenth of
/// a unit, far below what would matter to any parameter.
const TOLERANCE: f64 = 5e-3;

fn check(plan: &CalibrationPlan<'_>) -> Result<(), CalibrationError> {
    let CalibrationPlan { population, parameters, moments, simulation, iterations, replicates } = plan;
    for p in parameters {
        if !p.is_sound() {
            let Parameter { lo, start, hi, scale, .. } = *p;
            return Err(CalibrationError::Bounds { name: p.name(), lo, start, hi, scale });
        }
    }
    if parameters.is_empty() || moments.len() < parameters.len() {
        return Err(CalibrationError::Count { moments: moments.len(), parameters: parameters.len() });
    }
    for (name, least, value) in [("iterations", 1, *iterations as u64), ("replicates", 4, *replicates)] {
        if value < least {
            return Err(CalibrationError::TooFew { name, least, value });
        }
    }
    let starts: Vec<f64> = parameters.iter().map(|p| p.start).collect();
    let start = with_values(population, parameters, &starts).map_err(|_| CalibrationError::Population)?;
    // Says what is wrong with the plan of simulation, if anything is.
    crate::simulate::simulate(&start, &CheckPlan { typists: 20.min(simulation.typists), ..*simulation })?;
    Ok(())
}

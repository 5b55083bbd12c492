//! Setting a population by published values: the simulated method of moments.
//!
//! *In*: a [`CalibrationPlan`]: a population, the [`Parameter`]s to set, the [`Moment`]s to meet, a plan of
//! simulation. *Out*: a [`Calibration`]: estimates with standard errors, the fit of each moment, the objective
//! with its degrees of freedom, and the directions the moments say nothing about.
//!
//! Only rows with the role `calibration` become moments; see [`Moment::calibration_rows`].

mod fit;
mod inference;
mod list;
mod moment;
mod parameter;
mod problem;
mod report;
mod shipped;

pub use fit::{Calibration, CalibrationError, CalibrationPlan, FittedMoment, FittedParameter, calibrate};
pub use inference::WeakDirection;
pub use list::volunteers_parameters;
pub use moment::{Moment, moments_hash};
pub use parameter::{Parameter, ParameterScale, Target, four_digits};
pub use problem::Progress;
pub use report::calibration_markdown;
pub use shipped::{Shipped, probe, shipped};

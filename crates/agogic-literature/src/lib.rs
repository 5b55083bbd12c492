//! Published values on human typing, and whether simulated typists agree with them.
//!
//! *In*: a [`Population`](agogic_typist::Population) and a text. *Out*: for each published [`Row`] the simulated
//! value, its Monte Carlo standard error and a [`Verdict`]. A row says what it measured of whom, where the value
//! stands, how it came to us, whether it served to set the model, and the rule of agreement, fixed beforehand.
//!
//! ```
//! use agogic_literature::{CheckPlan, Verdict, compare, simulate};
//! use agogic_typist::Population;
//!
//! let text = "The tide turns at noon, and the pen is late again.";
//! let plan = CheckPlan { typists: 60, keys: 100, resamples: 20, ..CheckPlan::new(text) };
//! let sample = simulate(&Population::volunteers(), &plan).unwrap();
//! let comparisons = compare(&sample);
//! let dwell = comparisons.iter().find(|c| c.row.id == "dhakal2018-dwell-mean").unwrap();
//! assert_eq!(dwell.row.value, 116.25);
//! assert_eq!(dwell.verdict, Verdict::Agrees);
//! ```

mod bibliography;
mod bibliography_methods;
mod calibration;
mod check;
mod evaluate;
mod moments;
mod observables;
mod outcome;
mod papers;
mod people;
mod recorded;
mod row;
mod simulate;
mod statistic;
mod table;

pub use bibliography::{BIBLIOGRAPHY, Entry, entry};
pub use bibliography_methods::METHODS;
pub use calibration::{
    Calibration, CalibrationError, CalibrationPlan, FittedMoment, FittedParameter, Moment, Parameter, ParameterScale,
    Progress, Shipped, Target, WeakDirection, calibrate, calibration_markdown, four_digits, moments_hash, probe,
    shipped, volunteers_parameters,
};
pub use check::{Comparison, Tally, Verdict, check, compare};
pub use evaluate::{Evaluator, Simulated};
pub use moments::{excess_kurtosis, skewness};
pub use observables::{Person, measure, missing};
pub use outcome::Outcome;
pub use papers::rows;
pub use people::{
    Distance, PROOF_ROWS, PeopleFile, Promises, Proof, ProofPlan, ProofRow, Runs, distances, people_markdown, proof,
    rates_of_people, simulated_figures, simulated_training,
};
pub use recorded::{Recorded, recorded};
pub use row::{Role, Row, Rule, Side, Spread, Status, Width};
pub use simulate::{CheckError, CheckPlan, Sample, simulate};
pub use statistic::{Group, KeyMeasure, Measure, Statistic};
pub use table::markdown;

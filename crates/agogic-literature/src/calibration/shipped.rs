//! The calibration behind the shipped values.

use std::collections::BTreeMap;

use agogic_typist::Population;
use serde::{Deserialize, Serialize};

use super::fit::Calibration;
use super::moment::Moment;
use super::problem::moments_of;
use crate::simulate::CheckPlan;

/// A calibration as it was written, with a mark of the model that made it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Shipped {
    /// The outcome.
    pub calibration: Calibration,
    /// Simulated moments of the shipped population in a small plan, by row id: another model gives others.
    pub probe: BTreeMap<String, f64>,
}

/// The calibration that set the shipped values of `volunteers`.
pub fn shipped() -> Shipped {
    serde_json::from_str(include_str!("../../data/calibration.json")).expect("a test reads the file")
}

/// Simulated moments of a population, in a plan small enough for a test.
pub fn probe(population: &Population, text: &str) -> BTreeMap<String, f64> {
    let moments = Moment::calibration_rows(population.name());
    let plan = CheckPlan { typists: 60, keys: 200, seed: 3, ..CheckPlan::new(text) };
    let simulated = moments_of(population, &moments, &plan).expect("the plan is large enough");
    moments.into_iter().zip(simulated).filter_map(|(m, value)| Some((m.id, value?))).collect()
}

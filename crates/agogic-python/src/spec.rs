//! Specs: read from texts, made from JSON.

use std::path::Path;

use agogic_keys::Code;
use agogic_study::{Arm, DEFAULTS_STUDY, MAIN_STUDY, Study};
use pyo3::prelude::*;

use crate::refused::Refused;

/// A spec as the Python half hands it over: its name in messages, its text (the built-in main study if absent), and the
/// folder from which its files are read.
#[derive(Clone, Debug, FromPyObject)]
pub struct Spec(String, Option<String>, String);

impl Spec {
    /// The study, or every mistake of the spec.
    pub fn study(&self) -> Result<Study, Refused> {
        self.study_or(MAIN_STUDY)
    }

    /// The study, or that of defaults where no spec is given.
    pub fn advice_study(&self) -> Result<Study, Refused> {
        self.study_or(DEFAULTS_STUDY)
    }

    fn study_or(&self, built_in: &str) -> Result<Study, Refused> {
        let Self(name, text, folder) = self;
        let text = text.as_deref().unwrap_or(built_in);
        Study::read(text, Path::new(folder)).map_err(|mistakes| Refused::spec(name, mistakes))
    }
}

/// The arm of that label, or the first.
pub fn arm<'s>(study: &'s Study, label: Option<&str>) -> Result<&'s Arm, Refused> {
    let Some(label) = label else { return Ok(study.arms.first().expect("a study has an arm")) };
    study.arms.iter().find(|arm| arm.label == label).ok_or_else(|| {
        let known: Vec<&str> = study.arms.iter().map(|arm| arm.label.as_str()).collect();
        Refused::new(format!("there is no arm `{label}` (known: {})", known.join(", ")))
    })
}

/// A spec given as JSON, as TOML.
#[pyfunction]
pub fn spec_of_json(json: &str) -> PyResult<String> {
    let value: serde_json::Value = serde_json::from_str(json).map_err(Refused::new)?;
    let toml = toml::Value::try_from(value).map_err(|refused| {
        Refused::new(format!("the spec cannot be written as TOML: {refused}; leave out keys whose value is None"))
    })?;
    Ok(toml::to_string_pretty(&toml).map_err(Refused::new)?)
}

/// Reads a spec: name, arms, policies and typists of the study, and its text.
#[pyfunction]
pub fn read_spec(spec: Spec) -> PyResult<(String, Vec<String>, Vec<String>, u64, String)> {
    let study = spec.study()?;
    let arms = study.arms.iter().map(|arm| arm.label.clone()).collect();
    Ok((study.name, arms, study.policies, study.typists, study.spec))
}

/// The W3C codes of all keys, in the order of their numbers in arrays.
#[pyfunction]
pub fn codes() -> Vec<&'static str> {
    Code::all().map(Code::name).collect()
}

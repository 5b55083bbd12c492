//! What a call refuses, as one Python exception.

use std::fmt::Display;

use agogic_study::Mistakes;
use pyo3::prelude::*;

/// Why a call failed: a message, and the mistakes of a text where it is about one.
#[derive(Debug)]
pub struct Refused {
    message: String,
    mistakes: Option<Mistakes>,
}

impl Refused {
    /// A message alone.
    pub fn new(message: impl Display) -> Self {
        Self { message: message.to_string(), mistakes: None }
    }

    /// A message that says first what failed.
    pub fn to(what: &str) -> impl Fn(&dyn Display) -> Self + '_ {
        move |why| Self::new(format!("failed to {what}: {why}"))
    }

    /// Mistakes in the spec `name`.
    pub fn spec(name: &str, mistakes: Mistakes) -> Self {
        let s = if mistakes.0.len() == 1 { "mistake" } else { "mistakes" };
        let message = format!("the spec {name} has {} {s}; nothing was run\n{mistakes}", mistakes.0.len());
        Self { message, mistakes: Some(mistakes) }
    }
}

impl From<Refused> for PyErr {
    fn from(refused: Refused) -> Self {
        Python::attach(|py| {
            let mistakes: Vec<(Option<usize>, String, String)> = refused
                .mistakes
                .map(|all| all.0.into_iter().map(|own| (own.line, own.key, own.message)).collect())
                .unwrap_or_default();
            let raised = py
                .import("agogic._error")
                .and_then(|module| module.getattr("AgogicError"))
                .and_then(|class| class.call1((refused.message, mistakes)));
            raised.map_or_else(|failed| failed, PyErr::from_value)
        })
    }
}

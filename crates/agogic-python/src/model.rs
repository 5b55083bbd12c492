//! The model itself: its people, its agreement with published values, and studies planned with it.

use agogic_cli::shared::row_json;
use agogic_lab::{PoolError, PoolPlan, pool};
use agogic_literature::{CheckPlan, check as check_all};
use agogic_power::{Aim, Design, Errors, Question, Row, in_words, needed};
use agogic_sim::TrainedArm;
use agogic_study::built_in_text;
use agogic_typist::{Population, TRAITS, register_of};
use pyo3::prelude::*;
use rayon::prelude::*;
use serde_json::json;

use crate::job::{Trouble, job};
use crate::refused::Refused;
use crate::spec::{Spec, arm};

/// The first population of a spec as JSON: name, traits, and every number with its provenance.
#[pyfunction]
pub fn population(spec: Spec) -> PyResult<String> {
    let study = spec.study()?;
    let people: &Population = &arm(&study, None)?.population;
    let draft = people.to_draft();
    let traits: Vec<_> = TRAITS
        .iter()
        .map(|info| {
            let given = draft.traits[info.name];
            json!({ "name": info.name, "unit": info.unit, "median": given.median, "spread": given.spread, "about": info.doc })
        })
        .collect();
    let all = json!({ "name": people.name(), "about": people.about(), "base": people.base(), "traits": traits,
        "constants": draft.constants, "register": register_of(people) });
    Ok(all.to_string())
}

/// The first population of a spec as a population file.
#[pyfunction]
pub fn population_toml(spec: Spec, name: &str) -> PyResult<String> {
    Ok(arm(&spec.study()?, None)?.population.to_toml(name))
}

/// Compares the typist model with published values; gives JSON rows.
#[pyfunction]
pub fn check(py: Python<'_>, typists: u64, seed: u64) -> PyResult<String> {
    job(py, None, 0, &Trouble::default(), move |_| {
        let text = built_in_text("tide-station").expect("the text comes with the program");
        let plan = CheckPlan { typists, seed, ..CheckPlan::new(text) };
        let found = check_all(&plan).map_err(|refused| Refused::to("check the model")(&refused))?;
        Ok(serde_json::Value::from(found.iter().map(row_json).collect::<Vec<_>>()).to_string())
    })
}

/// What a plan of a study with people is asked.
#[derive(Debug, FromPyObject)]
pub struct PlanParts {
    #[pyo3(item)]
    first: Option<String>,
    #[pyo3(item)]
    second: Option<String>,
    #[pyo3(item)]
    arm: Option<String>,
    #[pyo3(item)]
    errors: String,
    #[pyo3(item)]
    design: String,
    #[pyo3(item)]
    difference: Option<f64>,
    #[pyo3(item)]
    margin: Option<f64>,
    #[pyo3(item)]
    minutes: Vec<usize>,
    #[pyo3(item)]
    power: f64,
    #[pyo3(item)]
    alpha: f64,
    #[pyo3(item)]
    pool: u64,
    #[pyo3(item)]
    trials: u64,
}

fn one_of<T>(argument: &str, given: &str, known: impl IntoIterator<Item = (&'static str, T)>) -> Result<T, Refused> {
    let mut names = Vec::new();
    for (name, value) in known {
        if name == given {
            return Ok(value);
        }
        names.push(name);
    }
    Err(Refused::new(format!("`{argument}` must be one of {}, not `{given}`", names.join(", "))))
}

/// Says how many people a study with people needs; gives JSON.
#[pyfunction]
pub fn plan(py: Python<'_>, spec: Spec, asked: PlanParts, progress: Option<Bound<'_, PyAny>>) -> PyResult<String> {
    if asked.minutes.is_empty() || asked.minutes.iter().any(|minutes| !(1..=240).contains(minutes)) {
        return Err(Refused::new("`minutes` must be lengths of 1 to 240 minutes").into());
    }
    for (argument, value, range) in [("pool", asked.pool, 100..=1_000_000), ("trials", asked.trials, 100..=1_000_000)] {
        if !range.contains(&value) {
            return Err(Refused::new(format!("`{argument}` must be 100 to 1000000, not {value}")).into());
        }
    }
    if asked.difference.is_some() && asked.margin.is_some() {
        return Err(Refused::new("give `difference` or `margin`, not both").into());
    }
    let total = asked.pool;
    job(py, progress.as_ref(), total, &Trouble::default(), move |counter| {
        let errors = one_of(
            "errors",
            &asked.errors,
            [("both", Errors::Both), ("false-holds", Errors::FalseHolds), ("missed-holds", Errors::MissedHolds)],
        )?;
        let design = one_of("design", &asked.design, [("crossover", Design::Crossover), ("replay", Design::Replay)])?;
        let study = spec.study()?;
        let find = |label: &Option<String>, default: usize| match label {
            None => Ok(default),
            Some(label) => study.policies.iter().position(|known| known == label).ok_or_else(|| {
                let known = study.policies.join(", ");
                Refused::new(format!("there is no policy in the study `{label}` (known: {known})"))
            }),
        };
        let first = find(&asked.first, 0)?;
        let second = find(&asked.second, (first + 1) % study.policies.len())?;
        let arm = arm(&study, asked.arm.as_deref())?;
        let mut names = [study.policies[first].clone(), study.policies[second].clone()];
        if let Some(difference) = asked.difference {
            names[1] = format!("a policy with {difference} fewer errors per 1000");
        }
        let aim = asked.margin.map_or(Aim::Difference, |margin| Aim::Equivalence { margin: margin / 1000.0 });
        let question =
            Question { aim, alpha: asked.alpha, power: asked.power, replicates: asked.trials, seed: study.seed };
        let plan = PoolPlan {
            policies: [first, second],
            errors,
            design,
            minutes: asked.minutes.clone(),
            most: asked.pool,
            difference: asked.difference.map(|difference| difference / 1000.0),
        };
        let refused = |refused: &dyn std::fmt::Display| Refused::to("plan the study")(refused);
        let trained = TrainedArm::new(&study, arm).map_err(|failed| Refused::to("train the rules")(&failed))?;
        let people = pool(&study, &trained, &plan, &question, &|done| counter.add(done)).map_err(|e| refused(&e))?;
        let rows: Result<Vec<Row>, _> =
            asked.minutes.par_iter().map(|&minutes| needed(&people, &question, minutes)).collect();
        let rows = rows.map_err(|failed| refused(&PoolError::Plan(failed)))?;
        let words = in_words(&question, &rows, [&names[0], &names[1]]);
        let all = json!({ "arm": arm.label, "policies": names, "question": question, "pool": people.len(),
            "rows": rows, "sentence": words });
        Ok(all.to_string())
    })
}

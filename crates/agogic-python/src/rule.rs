//! A rule of the user's, written in Python.

use std::collections::BTreeSet;
use std::sync::Mutex;

use agogic_keys::Span;
use agogic_policy::{self as policy, Decision, Encounters, GUARDS, Guards, Policy, Setting, Sight, conformance};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDict, PyString, PyTuple};

use crate::arrays::EncounterArrays;
use crate::encounter::Encounter;
use crate::job::{Trouble, job};
use crate::refused::Refused;

/// A rule as the Python half hands it over: name, sight, guards, the label of the policy that it is compared with, and two
/// callables, at least one of which is there: for one encounter, and for arrays of them.
#[derive(FromPyObject)]
pub struct RuleParts {
    #[pyo3(item)]
    name: String,
    #[pyo3(item)]
    sight: String,
    #[pyo3(item)]
    guards: Py<PyDict>,
    #[pyo3(item)]
    versus: Option<String>,
    #[pyo3(item)]
    one: Option<Py<PyAny>>,
    #[pyo3(item)]
    many: Option<Py<PyAny>>,
}

impl RuleParts {
    /// The label of the policy that it is compared with; the first of the study if absent.
    pub fn versus(&self) -> Option<&str> {
        self.versus.as_deref()
    }

    /// The rule as a setting. What it raises goes to `trouble`.
    pub fn setting(&self, py: Python<'_>, trouble: &Trouble) -> PyResult<Setting> {
        let sight = Sight::by_name(&self.sight).ok_or_else(|| {
            let known = Sight::ALL.map(Sight::name).join(", ");
            Refused::new(format!("the rule `{}` has the sight `{}` (known: {known})", self.name, self.sight))
        })?;
        let share = |own: &Option<Py<PyAny>>| own.as_ref().map(|own| own.clone_ref(py));
        let own = OwnRule { one: share(&self.one), many: share(&self.many), trouble: trouble.clone() };
        Ok(Setting::own(interned(&self.name), sight, own).with_guards(self.guards(py)?))
    }

    fn guards(&self, py: Python<'_>) -> PyResult<Guards> {
        let mut guards = Guards::default();
        for (name, value) in self.guards.bind(py) {
            let name: String = name.extract()?;
            let of = format!("the guard `{name}` of the rule `{}`", self.name);
            if name == "other_hand" {
                guards.other_hand = value.extract()?;
                continue;
            }
            let Some(param) = GUARDS.iter().filter_map(|guard| guard.param).find(|param| param.name == name) else {
                let known: Vec<&str> = GUARDS.iter().map(|guard| guard.name).collect();
                return Err(Refused::new(format!("{of} is not known (known: {})", known.join(", "))).into());
            };
            let ms: f64 = value.extract()?;
            if !param.accepts(ms) {
                return Err(Refused::new(format!("{of} is {ms}; it must be {} to {} ms", param.min, param.max)).into());
            }
            let span = Some(Span::from_ms(ms));
            match param.name {
                "lull_ms" => guards.lull = span,
                "retap_ms" => guards.retap = span,
                "dwell_floor_ms" => guards.dwell_floor = span,
                _ => guards.bare_hold = span,
            }
        }
        Ok(guards)
    }
}

/// Rules of the registry have names that live as long as the program; so have those of users, each name once.
fn interned(name: &str) -> &'static str {
    static NAMES: Mutex<BTreeSet<&'static str>> = Mutex::new(BTreeSet::new());
    let mut names = NAMES.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
    if let Some(known) = names.get(name) {
        return known;
    }
    let kept: &'static str = Box::leak(name.to_owned().into_boxed_str());
    names.insert(kept);
    kept
}

/// A rule of the user's: it takes hold of the interpreter once a session.
#[derive(Debug)]
struct OwnRule {
    one: Option<Py<PyAny>>,
    many: Option<Py<PyAny>>,
    trouble: Trouble,
}

impl Policy for OwnRule {
    fn decide(&self, encounter: &policy::Encounter<'_>) -> Decision {
        Python::attach(|py| self.alone(py, encounter)).unwrap_or_else(|raised| self.trouble.raise(raised))
    }

    fn decide_all(&self, encounters: &Encounters, guards: &Guards, decisions: &mut Vec<Decision>) {
        let decided = Python::attach(|py| match &self.many {
            Some(many) => decide_arrays(py, many, encounters, guards, decisions),
            None => {
                let mut raised = None;
                for encounter in encounters.iter() {
                    decisions.push(guards.around(&encounter, |seen| {
                        self.alone(py, seen).unwrap_or_else(|failed| {
                            raised.get_or_insert(failed);
                            Decision::tap(Span::ZERO)
                        })
                    }));
                    if raised.is_some() {
                        break;
                    }
                }
                raised.map_or(Ok(()), Err)
            }
        });
        decided.unwrap_or_else(|raised| self.trouble.raise(raised));
    }
}

impl OwnRule {
    fn alone(&self, py: Python<'_>, encounter: &policy::Encounter<'_>) -> PyResult<Decision> {
        match (&self.one, &self.many) {
            (Some(one), _) => decision(&one.bind(py).call1((Encounter::of(encounter),))?),
            (None, Some(many)) => {
                let mut arrays = EncounterArrays::with_capacity(1);
                arrays.push(encounter);
                let mut decided = Vec::with_capacity(1);
                answers(py, many, arrays, &mut decided)?;
                Ok(decided[0])
            }
            (None, None) => Err(Refused::new("a rule needs `decide` or `decide_many`").into()),
        }
    }
}

/// What a rule said: a role and a time in ms after the press.
fn decision(said: &Bound<'_, PyAny>) -> PyResult<Decision> {
    let wrong = || Refused::new(format!("a rule must return a role and a time, such as (\"tap\", 80.0), not {said}"));
    let pair = said.cast::<PyTuple>().map_err(|_| wrong())?;
    if pair.len() != 2 {
        return Err(wrong().into());
    }
    let (role, after) = (pair.get_borrowed_item(0)?, pair.get_borrowed_item(1)?);
    let after = span(after.extract().map_err(|_| wrong())?)?;
    match role.cast::<PyString>().map_err(|_| wrong())?.to_str()? {
        "tap" => Ok(Decision::tap(after)),
        "hold" => Ok(Decision::hold(after)),
        _ => Err(wrong().into()),
    }
}

/// A time that a rule said.
fn span(ms: f64) -> PyResult<Span> {
    // Written so that NaN is refused too.
    if ms >= 0.0 && ms <= LATEST_MS {
        return Ok(Span::from_ms(ms));
    }
    let must = format!("a rule decided {ms} ms after the press; the time must be 0 or more and below {LATEST_MS} ms");
    Err(Refused::new(must).into())
}

/// A day: no press lasts so long.
const LATEST_MS: f64 = 86_400_000.0;

/// Decides all encounters of a session by arrays, within guards.
fn decide_arrays(
    py: Python<'_>,
    many: &Py<PyAny>,
    encounters: &Encounters,
    guards: &Guards,
    decisions: &mut Vec<Decision>,
) -> PyResult<()> {
    // Twice around: once for what the rule gets to see, which does not hang on what it says, and once with what it said.
    let mut arrays = EncounterArrays::with_capacity(encounters.len());
    for encounter in encounters.iter() {
        guards.around(&encounter, |seen| {
            arrays.push(seen);
            Decision::tap(Span::ZERO)
        });
    }
    let mut said = Vec::with_capacity(arrays.len());
    if arrays.len() > 0 {
        answers(py, many, arrays, &mut said)?;
    }
    let mut said = said.into_iter();
    decisions.extend(
        encounters
            .iter()
            .map(|encounter| guards.around(&encounter, |_| said.next().expect("one answer for each that was shown"))),
    );
    Ok(())
}

/// Asks a rule about arrays; pushes one decision for each encounter.
fn answers(py: Python<'_>, many: &Py<PyAny>, arrays: EncounterArrays, said: &mut Vec<Decision>) -> PyResult<()> {
    let wanted = arrays.len();
    let (holds, times): (Bound<'_, PyBytes>, Bound<'_, PyBytes>) = many.bind(py).call1((arrays,))?.extract()?;
    let (holds, times) = (holds.as_bytes(), times.as_bytes());
    if holds.len() != wanted || times.len() != 8 * wanted {
        return Err(
            Refused::new(format!("a rule was shown {wanted} encounters and gave another number of answers")).into()
        );
    }
    for (hold, time) in holds.iter().zip(times.chunks_exact(8)) {
        let after = span(f64::from_ne_bytes(time.try_into().expect("eight bytes")))?;
        said.push(if *hold != 0 { Decision::hold(after) } else { Decision::tap(after) });
    }
    Ok(())
}

/// Holds a rule to what every rule must keep, causality above all, on so many made-up presses.
#[pyfunction]
pub fn check_rule(py: Python<'_>, rule: RuleParts, cases: u32) -> PyResult<()> {
    let trouble = Trouble::default();
    let setting = rule.setting(py, &trouble)?;
    job(py, None, 0, &trouble, move |_| {
        conformance::check(&setting, cases)
            .map_err(|breach| Refused::new(format!("no keyboard could do that: {breach}")))
    })
}

/// The rules as settings with their labels, each held to what every rule must keep, and what it is compared with.
pub fn own_settings(
    py: Python<'_>,
    rules: &[RuleParts],
    trouble: &Trouble,
) -> PyResult<Vec<(String, Setting, Option<String>)>> {
    let of = |rule: &RuleParts| {
        let setting = rule.setting(py, trouble)?;
        Ok((setting.label(), setting, rule.versus().map(str::to_owned)))
    };
    rules.iter().map(of).collect()
}

//! The policy `personal` as a spec names it: which values are fitted, on what, and how a setting comes of it.

use super::costs::ErrorCosts;
use super::fit::{Fitted, PairCurves, ThresholdFit};
use crate::curve::CriticalValues;
use crate::registry::{Monotone, Param};
use crate::{Encounter, Setting, SettingError};

/// What the listing, the docs and a spec need to know of `personal`.
#[derive(Clone, Copy, Debug)]
pub struct PersonalEntry {
    /// Name in the spec.
    pub name: &'static str,
    /// It in a sentence.
    pub summary: &'static str,
    /// What a hold without a target key needs.
    pub bare_hold: &'static str,
    /// Source or reasoning.
    pub source: &'static str,
    /// Its own numbers.
    pub params: &'static [Param],
}

const fn cost(name: &'static str, doc: &'static str) -> Param {
    Param { name, unit: "any unit of cost", default: 1.0, min: 0.0, max: 1e6, monotone: None, doc }
}

const fn presses(name: &'static str, default: f64, min: f64, doc: &'static str) -> Param {
    Param { name, unit: "dual-role presses", default, min, max: 1e6, monotone: None, doc }
}

/// The entry of `personal`. It is no [`RULES`](crate::RULES) line, for it decides nothing itself: it fits
/// one of them.
pub const PERSONAL: PersonalEntry = PersonalEntry {
    name: "personal",
    summary: "any rule, with one or two of its values fitted to each typist's first presses and judged on the rest",
    bare_hold: "as the rule that is fitted",
    source: "empirical Bayes as in Efron & Morris 1975 (from memory); pseudo-counts of costs are our own choice",
    params: &[
        presses("first_presses", 200.0, 1.0, "dual-role presses of each typist that are fitted to and not judged"),
        presses(
            "prior_presses",
            100.0,
            0.0,
            "how many presses of an average typist count beside them; assumed, unless learned from training typists",
        ),
        cost("false_hold_cost", "what a tap taken for a hold costs the typist"),
        cost("missed_hold_cost", "what a hold taken for a tap costs the typist"),
    ],
};

/// Why a personal policy was refused. The texts continue "failed to set up a personal policy: …".
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PersonalError {
    /// No such threshold.
    #[error(transparent)]
    Setting(#[from] SettingError),
    /// Raising the value makes more holds, so it has no critical values.
    #[error("{name} cannot be fitted; choose one of: {}", .known.join(", "))]
    NoThreshold {
        /// The name given.
        name: &'static str,
        /// What can be fitted in this setting.
        known: Vec<&'static str>,
    },
    /// The second value does not compose with the first one.
    #[error(
        "{0} and {1} cannot be fitted together; the first must be a value of the rule, the second retap_ms, lull_ms \
         or dwell_floor_ms"
    )]
    NoPair(&'static str, &'static str),
    /// A guard without values to choose from.
    #[error("a guard that is fitted needs values to choose from, between {min} and {max}; {value:?} is none")]
    Grid {
        /// Smallest accepted.
        min: f64,
        /// Largest accepted.
        max: f64,
        /// The first wrong value; nothing when the list is empty.
        value: Option<f64>,
    },
}

/// One or two values of a setting that are fitted per typist; the rest of the setting is common to all.
///
/// # How to use it
/// 1. For each typist, [`observe`](Self::observe) the first dual-role presses with what they were meant as:
///    someone who sets up a keyboard can be asked to type a known text. [`curves`](Self::curves) sums
///    them up.
/// 2. [`fit`](Self::fit) to them, with the merged curves of *training* typists as the population, or with
///    none.
/// 3. Judge [`setting`](Self::setting) on the presses after the first ones.
///
/// Nothing here is random, and the setting that comes out is as blind to intent as any other: only the fit
/// has seen labels, and only those of presses that are not judged.
#[derive(Debug)]
pub struct Personal {
    base: Setting,
    fit: ThresholdFit,
    guard: Option<Param>,
}

/// Observed presses of one typist.
#[derive(Clone, Debug, Default)]
pub struct PersonalSample {
    values: CriticalValues,
    pairs: Vec<(f64, f64, bool)>,
}

impl PersonalSample {
    /// Dual-role presses observed.
    pub fn presses(&self) -> usize {
        self.values.len() + self.pairs.len()
    }

    /// Forgets all and keeps the memory.
    pub fn clear(&mut self) {
        self.values.clear();
        self.pairs.clear();
    }
}

impl Personal {
    /// A policy that fits `threshold`, a value of the rule or a guard with a number; the default is the value
    /// it has in `base`, or that of the registry for a guard that is not set.
    ///
    /// # Errors
    /// No such threshold, or one that has no critical values.
    pub fn new(base: Setting, threshold: &str, costs: ErrorCosts, prior_presses: f64) -> Result<Self, PersonalError> {
        let param = base.threshold(threshold)?;
        if param.monotone != Some(Monotone::FewerHolds) {
            let known = thresholds(&base).map(|param| param.name).collect();
            return Err(PersonalError::NoThreshold { name: param.name, known });
        }
        let default = base.value(threshold)?.unwrap_or(param.default);
        let fit = ThresholdFit::of_threshold(param, default, costs, prior_presses);
        Ok(Self { base, fit, guard: None })
    }

    /// The same policy, fitting the guard `guard` together with the threshold: one exact pass over the
    /// threshold for each value of `grid`. The guard's default is its value in the setting, or zero, which
    /// bars nothing, when it is not set; it joins the grid.
    ///
    /// # Errors
    /// A guard that does not bar holds by a time known beforehand, a threshold that is no value of the rule,
    /// or a grid that is none.
    pub fn with_guard(mut self, guard: &str, grid: &[f64]) -> Result<Self, PersonalError> {
        let param = self.base.threshold(guard)?;
        let bars = matches!(param.name, "retap_ms" | "lull_ms" | "dwell_floor_ms");
        if !bars || self.base.entry().position(self.fit.param.name).is_none() {
            return Err(PersonalError::NoPair(self.fit.param.name, param.name));
        }
        let wrong = grid.iter().copied().find(|&value| !param.accepts(value));
        if grid.is_empty() || wrong.is_some() {
            return Err(PersonalError::Grid { min: param.min, max: param.max, value: wrong });
        }
        let default = self.base.value(guard)?.unwrap_or(0.0);
        let mut grid: Vec<f64> =
            grid.iter().chain([&default]).map(|&value| param.from_steps(param.to_steps(value))).collect();
        grid.sort_by(f64::total_cmp);
        grid.dedup();
        let default = param.from_steps(param.to_steps(default));
        self.fit.guard_default = grid.iter().position(|&value| value == default).expect("it has just joined");
        self.fit.guard_grid = grid;
        self.guard = Some(param);
        Ok(self)
    }

    /// Adds a press and what it was meant as.
    pub fn observe(&self, sample: &mut PersonalSample, encounter: &Encounter<'_>, is_hold: bool) {
        let name = self.fit.param.name;
        match self.guard {
            None => {
                let value = self.base.critical_value(name, encounter).expect("it has critical values");
                sample.values.add(value, is_hold);
            }
            Some(guard) => {
                let pair = self.base.critical_pair(name, guard.name, encounter);
                let (value, time) = pair.expect("the pair composes");
                sample.pairs.push((value, time, is_hold));
            }
        }
    }

    /// Sums up a sample. Curves of several typists make a population: [`PairCurves::merged`].
    pub fn curves(&self, sample: &PersonalSample) -> PairCurves {
        match self.guard {
            None => PairCurves::one(sample.values.curve()),
            Some(_) => PairCurves::of_pairs(&sample.pairs, &self.fit.guard_grid),
        }
    }

    /// Fits to one typist.
    pub fn fit(&self, sample: &PairCurves, population: Option<&PairCurves>) -> Fitted {
        self.fit.fit(sample, population)
    }

    /// The setting with fitted values.
    pub fn setting(&self, fitted: &Fitted) -> Setting {
        let with = |setting: Setting, param: &Param, value: f64| {
            setting.with_value(param.name, value).expect("fitted values lie in their ranges")
        };
        let setting = self.base.with_value(self.fit.param.name, fitted.value).expect("as fitted");
        match &self.guard {
            None => setting,
            Some(guard) => with(setting, guard, self.fit.guard_grid[fitted.guard]),
        }
    }

    /// The setting that is fitted, at its defaults.
    pub fn base(&self) -> &Setting {
        &self.base
    }

    /// How it is fitted.
    pub fn how(&self) -> &ThresholdFit {
        &self.fit
    }

    /// The value of the fitted guard; `None` when none is fitted.
    pub fn guard_value(&self, fitted: &Fitted) -> Option<f64> {
        self.guard.map(|_| self.fit.guard_grid[fitted.guard])
    }

    /// A label that says all there is to it, such as `personal share of overlap-share 0.8`.
    pub fn label(&self) -> String {
        let guard = self.guard.map_or(String::new(), |guard| format!(" and {}", guard.name));
        format!("{} {}{guard} of {}", PERSONAL.name, self.fit.param.name, self.base.label())
    }
}

/// Thresholds of a setting that can be fitted.
fn thresholds(setting: &Setting) -> impl Iterator<Item = Param> + '_ {
    let guards = crate::GUARDS.iter().filter_map(|guard| guard.param);
    let own = setting.entry().params.iter().copied();
    own.chain(guards).filter(|param| param.monotone == Some(Monotone::FewerHolds))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn personal(rule: &str, threshold: &str) -> Result<Personal, PersonalError> {
        let base = Setting::rule(rule, &[]).unwrap();
        Personal::new(base, threshold, ErrorCosts::new(1.0, 1.0).unwrap(), 0.0)
    }

    #[test]
    fn what_cannot_be_fitted_is_refused() {
        assert!(matches!(personal("enclosed", "share"), Err(PersonalError::Setting(_))));
        assert!(personal("enclosed", "lull_ms").is_ok());
        let share = || personal("overlap-share", "share").unwrap();
        let refused = share().with_guard("bare_hold_ms", &[100.0]).unwrap_err();
        assert_eq!(refused, PersonalError::NoPair("share", "bare_hold_ms"));
        let refused = personal("enclosed", "retap_ms").unwrap().with_guard("lull_ms", &[100.0]).unwrap_err();
        assert_eq!(refused, PersonalError::NoPair("retap_ms", "lull_ms"));
        let refused = share().with_guard("lull_ms", &[]).unwrap_err();
        assert_eq!(refused, PersonalError::Grid { min: 0.0, max: 5000.0, value: None });
        assert!(matches!(share().with_guard("lull_ms", &[1e9]), Err(PersonalError::Grid { value: Some(_), .. })));
    }

    #[test]
    fn more_holds_with_a_larger_value_cannot_be_fitted() {
        let press = || {
            Encounter::new(
                "KeyF".parse().unwrap(),
                agogic_keys::Hand::Left,
                agogic_keys::Instant(0),
                agogic_keys::Span(9),
            )
        };
        let tables = crate::EvidenceTables::train([(press(), true), (press(), false)]).unwrap();
        let base = Setting::trained("sequential-evidence", &[], &std::sync::Arc::new(tables)).unwrap();
        let refused = Personal::new(base, "tap_nats", ErrorCosts::new(1.0, 1.0).unwrap(), 0.0).unwrap_err();
        let PersonalError::NoThreshold { name, known } = refused else { panic!("{refused}") };
        assert_eq!(name, "tap_nats");
        assert_eq!(known, ["hold_nats", "end_nats", "retap_ms", "lull_ms", "dwell_floor_ms", "bare_hold_ms"]);
    }

    #[test]
    fn the_label_tells_what_is_fitted() {
        let personal = personal("overlap-share", "share").unwrap().with_guard("lull_ms", &[100.0, 150.0]).unwrap();
        assert_eq!(personal.label(), "personal share and lull_ms of overlap-share 0.8");
        assert_eq!(personal.how().guard_grid, [0.0, 100.0, 150.0]);
    }
}

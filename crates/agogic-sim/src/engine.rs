//! A study made ready: its rules trained, its arms with their runners.

use std::borrow::Cow;
use std::sync::Arc;

use agogic_policy::{Setting, Sight, TrainingError};
use agogic_study::{Arm, PolicyPlan, RulePlan, Study};
use agogic_typist::Typist;

use crate::decider::{Decider, OwnTables, PersonalDecider};
use crate::runner::ArmRunner;
use crate::training::{prior, train};

/// Why a study cannot be made ready. The texts continue "failed to train the rules: …".
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{source}, in the arm `{arm}`")]
pub struct EngineError {
    /// Label of the arm.
    pub arm: String,
    /// What its training typists lack.
    pub source: TrainingError,
}

/// An arm whose policies can judge.
#[derive(Debug)]
pub struct TrainedArm<'a> {
    /// Lets its typists type and be judged.
    pub runner: ArmRunner<'a>,
    /// The policies, in the order of [`Study::policies`]. What is learned was learned for this arm.
    pub deciders: Vec<Decider>,
    /// The settings whose values are swept, in the order of [`Study::sweeps`].
    pub sweeps: Vec<Setting>,
    /// The setting whose sensitivity is asked for.
    pub probe: Option<Setting>,
}

impl<'a> TrainedArm<'a> {
    /// Trains what learns in one arm of a study, on all cores of the current thread pool.
    ///
    /// # Errors
    /// Its training typists made no hold, or no tap, of a dual-role key.
    pub fn new(study: &Study, arm: &'a Arm) -> Result<Self, EngineError> {
        let runner = ArmRunner::new(arm);
        let learning = study.rules().filter(|rule| rule.entry.needs_training);
        let tables = if let Some(widest) = learning.map(|rule| rule.entry.sight).max() {
            let learned = train(study.seed, &runner, &study.training, widest >= Sight::Keys);
            let refused = |source| EngineError { arm: arm.label.clone(), source };
            Some(Arc::new(learned.map_err(refused)?))
        } else {
            None
        };
        let setting = |rule: &RulePlan| rule.setting(tables.as_ref()).expect("the spec was checked");
        let decider = |plan: &PolicyPlan| {
            if let (Some(own), Some(tables)) = (plan.own_tables, &tables) {
                let (base, rule, tables) = (setting(&plan.rule), plan.rule.clone(), Arc::clone(tables));
                return Decider::OwnTables(Box::new(OwnTables {
                    base,
                    rule,
                    tables,
                    first_presses: own.first_presses,
                }));
            }
            let Some(own) = &plan.personal else { return Decider::Common(setting(&plan.rule)) };
            let personal = |weight| own.personal(setting(&plan.rule), weight).expect("the spec was checked");
            let trial = personal(own.prior_presses.unwrap_or_default());
            let typists = study.training.prior_typists;
            let (population, learned) = prior(study.seed, &runner, &trial, own.first_presses, typists);
            let personal = personal(own.prior_presses.or(learned).unwrap_or_default());
            Decider::Personal(Box::new(PersonalDecider { personal, first_presses: own.first_presses, population }))
        };
        let deciders = study.plans.iter().map(decider).collect();
        let sweeps = study.sweeps.iter().map(|plan| setting(&plan.rule)).collect();
        let probe = study.sensitivity.as_ref().map(|plan| setting(&plan.rule));
        Ok(Self { runner, deciders, sweeps, probe })
    }

    /// The arm as the study has it.
    pub fn arm(&self) -> &'a Arm {
        self.runner.arm
    }

    /// The settings of the policies for a typist: those that are fitted to each person are fitted here.
    pub fn settings(&self, typist: &Typist, seed: u64) -> Vec<Cow<'_, Setting>> {
        self.deciders.iter().map(|decider| decider.setting(&self.runner, typist, seed)).collect()
    }
}

/// A study with all that was trained for it: what every analysis runs on.
#[derive(Debug)]
pub struct Engine<'a> {
    /// The study.
    pub study: &'a Study,
    /// Its arms, in order.
    pub arms: Vec<TrainedArm<'a>>,
}

impl<'a> Engine<'a> {
    /// Every arm made ready; see [`TrainedArm::new`].
    ///
    /// # Errors
    /// The training typists of an arm made no hold, or no tap, of a dual-role key.
    pub fn new(study: &'a Study) -> Result<Self, EngineError> {
        let arms: Result<_, _> = study.arms.iter().map(|arm| TrainedArm::new(study, arm)).collect();
        Ok(Self { study, arms: arms? })
    }
}

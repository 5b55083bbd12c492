//! A study made ready: its rules trained, its arms with their runners.

use std::borrow::Cow;
use std::sync::Arc;

use agogic_policy::{EvidenceTables, Setting, Sight, TrainingError};
use agogic_study::{Arm, PolicyPlan, RulePlan, Study, TrainedOn};
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
        Ok(Self::with_tables(study, arm, learn(study, arm)?))
    }

    /// The arm with what was learned for it already.
    fn with_tables(study: &Study, arm: &'a Arm, tables: Option<Arc<EvidenceTables>>) -> Self {
        let runner = ArmRunner::new(arm);
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
        Self { runner, deciders, sweeps, probe }
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

/// The tables of the rules that learn, for one arm; `None` where none does.
fn learn(study: &Study, arm: &Arm) -> Result<Option<Arc<EvidenceTables>>, EngineError> {
    let learning = study.rules().filter(|rule| rule.entry.needs_training);
    let Some(widest) = learning.map(|rule| rule.entry.sight).max() else { return Ok(None) };
    learned(study, arm, widest >= Sight::Keys).map(Some)
}

/// What rules that learn have learned for an arm, whichever of them the study names; with what they know of keys where
/// `keys` says so.
///
/// # Errors
/// The training typists made no hold, or no tap, of a dual-role key.
pub fn learned(study: &Study, arm: &Arm, keys: bool) -> Result<Arc<EvidenceTables>, EngineError> {
    let learned = train(study.seed, &ArmRunner::new(arm), &study.training, keys);
    let refused = |source| EngineError { arm: arm.label.clone(), source };
    Ok(Arc::new(learned.map_err(refused)?))
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
        let mut tables: Vec<Option<Arc<EvidenceTables>>> = Vec::new();
        for arm in &study.arms {
            // A mixture is the same whoever is judged: arms on one keyboard share what was learned.
            let shared = |other: &Arm| other.assignment_name == arm.assignment_name;
            let known = study.arms[..tables.len()].iter().position(shared);
            let known = known.filter(|_| study.training.on != TrainedOn::Own);
            let own = match known {
                Some(at) => tables[at].clone(),
                None => learn(study, arm)?,
            };
            tables.push(own);
        }
        let arms = study.arms.iter().zip(tables).map(|(arm, tables)| TrainedArm::with_tables(study, arm, tables));
        Ok(Self { study, arms: arms.collect() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The tables of every arm of a study of slow and trained people, with a table `training`.
    fn tables(training: &str) -> Vec<Arc<EvidenceTables>> {
        let spec = format!(
            "name = \"mixed\"\nseed = 5\n[text]\nbuilt_in = \"tide-station\"\n[workload]\nshortcuts_per_1000_keys = 20\n\
             [typists]\npopulations = [\"slow\", \"trained\"]\nnumber = 4\nkeys_each = 300\n[floor]\ntypists = 0\n\
             [[policy]]\nrule = \"evidence\"\n{training}"
        );
        let mut study = Study::read(&spec, std::path::Path::new(".")).unwrap();
        (study.training.typists, study.training.keys) = (20, 1000);
        let engine = Engine::new(&study).unwrap();
        let of = |arm: &TrainedArm<'_>| Arc::clone(arm.deciders[0].base().tables().unwrap());
        engine.arms.iter().map(of).collect()
    }

    #[test]
    fn a_mixture_of_one_is_that_one() {
        let own = tables("");
        let slow = tables("[training]\non = \"mixture\"\nover_ranges = false\nweights = { slow = 3 }\n");
        let trained = tables("[training]\non = \"mixture\"\nover_ranges = false\nweights = { trained = 1 }\n");
        assert!(own[0] != own[1]);
        assert_eq!((&slow[0], &slow[1]), (&own[0], &own[0]));
        assert_eq!((&trained[0], &trained[1]), (&own[1], &own[1]));
    }

    #[test]
    fn a_mixture_is_one_for_all_and_nobody_alone() {
        let own = tables("");
        let mixed = tables("[training]\non = \"mixture\"\nover_ranges = false\nweights = { slow = 1, trained = 1 }\n");
        assert!(mixed[0] == mixed[1] && mixed[0] != own[0] && mixed[0] != own[1]);
        let heavy = tables("[training]\non = \"mixture\"\nover_ranges = false\nweights = { slow = 9, trained = 1 }\n");
        assert!(heavy[0] != mixed[0]);
        let ranges = tables("[training]\non = \"own\"\nover_ranges = true\n");
        assert!(ranges[0] != own[0] && ranges[0] != ranges[1], "other people of the same population");
    }
}

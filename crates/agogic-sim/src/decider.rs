//! How a policy of an arm comes to its setting: the same for all typists, or fitted to each of them.

use std::borrow::Cow;
use std::sync::Arc;

use agogic_keys::Press;
use agogic_policy::{
    Encounter, EncounterScan, EvidenceTables, Fitted, KeySample, PERSONAL_PRIOR_NATS, PairCurves, Personal,
    PersonalSample, Setting,
};
use agogic_study::{OwnTablesPlan, RulePlan};
use agogic_typist::{Session, SessionAddress, Typist};

use crate::runner::ArmRunner;

/// Address of the sessions that personal values are fitted to; judged sessions have 0.
const SAMPLE: u64 = 1;

/// A policy of an arm.
#[derive(Debug)]
pub enum Decider {
    /// One setting for everybody.
    Common(Setting),
    /// A setting with values fitted to each typist.
    Personal(Box<PersonalDecider>),
    /// A setting whose tables of keys are made each typist's own.
    OwnTables(Box<OwnTables>),
}

/// Values fitted to each typist from an initial sample of that typist, with training typists as the prior.
#[derive(Debug)]
pub struct PersonalDecider {
    /// What is fitted.
    pub personal: Personal,
    /// Dual-role presses of the initial sample.
    pub first_presses: usize,
    /// Training typists, summed up.
    pub population: PairCurves,
}

/// Tables of keys, updated by an initial sample of each typist.
#[derive(Debug)]
pub struct OwnTables {
    /// The setting with everybody's tables.
    pub base: Setting,
    /// Its rule.
    pub rule: RulePlan,
    /// Everybody's tables.
    pub tables: Arc<EvidenceTables>,
    /// Dual-role presses of the initial sample.
    pub first_presses: usize,
}

impl Decider {
    /// A label that says all there is to the policy.
    pub fn label(&self) -> String {
        match self {
            Self::Common(setting) => setting.label(),
            Self::Personal(decider) => decider.personal.label(),
            Self::OwnTables(own) => OwnTablesPlan::label(&own.base),
        }
    }

    /// The setting before anything is fitted.
    pub fn base(&self) -> &Setting {
        match self {
            Self::Common(setting) => setting,
            Self::Personal(decider) => decider.personal.base(),
            Self::OwnTables(own) => &own.base,
        }
    }

    /// The setting for a typist: fitted, or the same for everybody.
    pub fn setting(&self, runner: &ArmRunner<'_>, typist: &Typist, seed: u64) -> Cow<'_, Setting> {
        match self {
            Self::Common(setting) => Cow::Borrowed(setting),
            Self::Personal(decider) => {
                let fitted = decider.fit(runner, typist, seed);
                Cow::Owned(decider.personal.setting(&fitted))
            }
            Self::OwnTables(own) => Cow::Owned(own.setting(runner, typist, seed)),
        }
    }
}

impl PersonalDecider {
    /// Fits to the initial sample of a typist: a session of its own, no press of which is ever judged.
    pub fn fit(&self, runner: &ArmRunner<'_>, typist: &Typist, seed: u64) -> Fitted {
        let sample =
            observe(&self.personal, self.first_presses, runner, typist, SessionAddress { seed, replicate: SAMPLE });
        self.personal.fit(&sample, Some(&self.population))
    }
}

impl OwnTables {
    /// The setting with tables that the initial sample of a typist has updated; no press of it is ever judged.
    pub fn setting(&self, runner: &ArmRunner<'_>, typist: &Typist, seed: u64) -> Setting {
        let Some(everybody) = &self.tables.keyed else { return self.base.clone() };
        let mut sample = KeySample::new();
        let address = SessionAddress { seed, replicate: SAMPLE };
        first_presses(self.first_presses, runner, typist, address, |encounter, is_hold| sample.add(encounter, is_hold));
        let own = (*self.tables).clone().with_keys(everybody.personal(&sample, PERSONAL_PRIOR_NATS));
        self.rule.setting(Some(&Arc::new(own))).expect("the rule took everybody's tables")
    }
}

/// Shows the first dual-role presses of a session at an address, each with whether a hold was meant.
///
/// The session is made longer until it holds enough presses, or is far longer than it should have to be.
fn first_presses(
    presses: usize,
    runner: &ArmRunner<'_>,
    typist: &Typist,
    address: SessionAddress,
    mut visit: impl FnMut(&Encounter<'_>, bool),
) {
    let dual = |press: &&Press| runner.arm.assignment.modifier(press.code).is_some();
    let session = |factor: usize| runner.session(typist, address, factor * presses);
    let long_enough = |session: &Session| session.presses.iter().filter(dual).count() >= presses;
    let session = [4, 16].into_iter().map(session).find(long_enough).unwrap_or_else(|| session(64));
    let mut seen = 0;
    runner.encounters(&mut EncounterScan::new(), &session.presses, |press, encounter| {
        seen += 1;
        if seen <= presses {
            visit(encounter, session.truths[press].hold);
        }
    });
}

/// The first dual-role presses of a session at an address, summed up for a fit.
pub(crate) fn observe(
    personal: &Personal,
    presses: usize,
    runner: &ArmRunner<'_>,
    typist: &Typist,
    address: SessionAddress,
) -> PairCurves {
    let mut sample = PersonalSample::default();
    first_presses(presses, runner, typist, address, |encounter, is_hold| {
        personal.observe(&mut sample, encounter, is_hold);
    });
    personal.curves(&sample)
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use agogic_study::Study;

    use super::*;
    use crate::engine::Engine;

    #[test]
    fn tables_of_ones_own_are_of_ones_own_presses_and_nobody_elses() {
        let spec = "name = \"own\"\nseed = 5\n[text]\nbuilt_in = \"tide-station\"\n[workload]\nshortcuts_per_1000_keys = 20\n\
                    [typists]\nnumber = 4\nkeys_each = 300\n[floor]\ntypists = 0\n[[policy]]\nrule = \"key-evidence\"\n\
                    [[policy]]\nrule = \"key-evidence\"\n[policy.personal]\nfits = \"tables\"\nfirst_presses = 200\n";
        let mut study = Study::read(spec, Path::new(".")).unwrap();
        (study.training.typists, study.training.keys) = (20, 1000);
        let engine = Engine::new(&study).unwrap();
        let arm = &engine.arms[0];
        assert_eq!(arm.deciders[1].label(), study.policies[1]);
        let keyed = |number: u64| {
            let typist = Typist::draw(&arm.arm().population, study.seed, number);
            let [common, own] = arm.settings(&typist, study.seed).try_into().unwrap();
            (common.tables().unwrap().keyed.clone().unwrap(), own.tables().unwrap().keyed.clone().unwrap())
        };
        let ((common, first), (_, second)) = (keyed(0), keyed(1));
        assert!(common != first && first != second, "each typist's presses have a say");
        assert_eq!(keyed(0).1, first, "and nothing else has");
    }
}

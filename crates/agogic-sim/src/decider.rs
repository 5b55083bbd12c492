//! How a policy of an arm comes to its setting: the same for all typists, or fitted to each of them.

use std::borrow::Cow;

use agogic_policy::{EncounterScan, Fitted, PairCurves, Personal, PersonalSample, Setting};
use agogic_typist::{SessionAddress, Typist};

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

impl Decider {
    /// A label that says all there is to the policy.
    pub fn label(&self) -> String {
        match self {
            Self::Common(setting) => setting.label(),
            Self::Personal(decider) => decider.personal.label(),
        }
    }

    /// The setting before anything is fitted.
    pub fn base(&self) -> &Setting {
        match self {
            Self::Common(setting) => setting,
            Self::Personal(decider) => decider.personal.base(),
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

/// The first dual-role presses of a session at an address, summed up for a fit.
///
/// The session is made longer until it holds enough presses, or is far longer than it should have to be.
pub(crate) fn observe(
    personal: &Personal,
    presses: usize,
    runner: &ArmRunner<'_>,
    typist: &Typist,
    address: SessionAddress,
) -> PairCurves {
    let mut sample = PersonalSample::default();
    for factor in [4, 16, 64] {
        sample.clear();
        let session = runner.session(typist, address, factor * presses);
        runner.encounters(&mut EncounterScan::new(), &session.presses, |press, encounter| {
            if sample.presses() < presses {
                personal.observe(&mut sample, encounter, session.truths[press].hold);
            }
        });
        if sample.presses() >= presses {
            break;
        }
    }
    personal.curves(&sample)
}

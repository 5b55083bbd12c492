//! A validated study: the only thing the engine accepts.

use std::sync::Arc;

use agogic_keys::{Assignment, Board, Rates, Shortcut, TextPlan, Workload};
use agogic_policy::Setting;
use agogic_score::CostTable;
use agogic_typist::{Clock, Population};

use crate::estimands::EstimandInfo;
use crate::inference::Inference;
use crate::inputs::Input;
use crate::plans::{
    AdvicePlan, FloorPlan, FrontPlan, PolicyPlan, RarePlan, RobustPlan, RulePlan, SensitivityPlan, StopPlan, SweepPlan,
    TrainingPlan,
};

/// One population on one keyboard. Every arm of a study has the same policies, texts and typist numbers.
#[derive(Clone, Debug)]
pub struct Arm {
    /// Unique in the study: the population, and the assignment where the study has several.
    pub label: String,
    /// The people.
    pub population: Population,
    /// Name of the assignment of modifiers to keys.
    pub assignment_name: String,
    /// The keyboard.
    pub board: Board,
    /// The dual-role keys.
    pub assignment: Assignment,
    /// The texts as steps on this keyboard, shared by all arms on it.
    pub plan: Arc<TextPlan>,
    /// The interruptions, resolved to keys.
    pub workload: Workload,
    /// Presses per typist.
    pub keys: usize,
    /// The clock through which policies see the presses.
    pub clock: Clock,
}

/// Texts from which on intervals count them. With fewer the t interval still holds its level where texts differ as draws of
/// a normal law do, but that law is taken on trust, and most of its width tells only that there are few texts.
///
/// # Source
/// `TEXTS.md` of `agogic-stats`: from five texts on the t quantile is at most 1.4 times that of very many.
pub const FEWEST_TEXTS: usize = 5;

/// What a reader of a study of so many texts should beware of.
pub(crate) fn text_caution(texts: usize) -> Option<&'static str> {
    match texts {
        1 => Some("one text: the rates are of this text, and no interval counts how texts differ"),
        n if n < FEWEST_TEXTS => Some(
            "few texts: the intervals are for these texts, and so few do not tell how texts differ; see each by itself",
        ),
        _ => None,
    }
}

/// A study without mistakes.
#[derive(Debug)]
pub struct Study {
    /// Name: letters, digits and hyphens; also the name of the result folder.
    pub name: String,
    /// What the study asks, in a sentence; may be empty.
    pub question: String,
    /// The seed from which all randomness flows.
    pub seed: u64,
    /// Where the text came from.
    pub text_from: String,
    /// Names of the texts, in the order of the plans of the arms.
    pub texts: Vec<String>,
    /// The estimand that the study is about, named before it ran; all others are secondary.
    pub primary: &'static EstimandInfo,
    /// How often the text is interrupted, per 1000 keys.
    pub rates: Rates,
    /// The shortcuts among the interruptions.
    pub shortcuts: Vec<Shortcut>,
    /// What a wrong outcome costs.
    pub costs: CostTable,
    /// How many typists in each arm, at most.
    pub typists: u64,
    /// Populations on keyboards; never empty.
    pub arms: Vec<Arm>,
    /// How many of them are let type at each end of what is assumed of holding.
    pub ends: u64,
    /// Labels of the policies, in the order of the spec.
    pub policies: Vec<String>,
    /// The policies, in the same order.
    pub plans: Vec<PolicyPlan>,
    /// On how many typists rules learn.
    pub training: TrainingPlan,
    /// How results are estimated.
    pub inference: Inference,
    /// How the floor of the ideal observer is taken.
    pub floor: FloorPlan,
    /// When the run may stop before the last typist.
    pub stop: Option<StopPlan>,
    /// Whether and how rates too rare for the run are estimated.
    pub rare: Option<RarePlan>,
    /// What is swept; empty where the study asks for none.
    pub sweeps: Vec<SweepPlan>,
    /// What the front of a sweep is held against.
    pub front: FrontPlan,
    /// What is asked of a setting; `None` where the study asks for no advice.
    pub advice: Option<AdvicePlan>,
    /// How conclusions are held against other assumptions.
    pub robust: RobustPlan,
    /// Whose share in the variance of the outcomes is asked for; `None` where the study does not ask.
    pub sensitivity: Option<SensitivityPlan>,
    /// The spec as it was read.
    pub spec: String,
    /// The files that the spec names, as they were read.
    pub inputs: Vec<Input>,
    /// What a reader should know about the input, such as replaced characters.
    pub notes: Vec<String>,
}

impl Study {
    /// Presses that all typists of all arms make under each policy.
    pub fn presses(&self) -> u64 {
        self.arms.iter().map(|arm| arm.keys as u64 * self.typists).sum()
    }

    /// Adds a policy as it is, of the registry or a rule of one's own, compared with the policy at `versus`.
    ///
    /// The spec does not name it, so what is made of the study can be repeated only by the program that added it: a run
    /// keeps no blocks, since none could be told from those of another rule of that name.
    ///
    /// # Errors
    /// A policy has that label already, or there is none at `versus`; the label comes back.
    pub fn add_policy(&mut self, label: &str, setting: Setting, versus: usize) -> Result<(), String> {
        if versus >= self.policies.len() || self.policies.iter().any(|known| known == label) {
            return Err(label.to_owned());
        }
        self.policies.push(label.to_owned());
        self.plans.push(PolicyPlan { rule: RulePlan::of(setting), own_tables: None, personal: None });
        self.inference.versus.push(versus);
        Ok(())
    }

    /// Whether it has policies that its spec does not name.
    pub fn is_more_than_its_spec(&self) -> bool {
        self.plans.iter().any(|plan| plan.rule.own.is_some())
    }

    /// Every rule that is to be made ready: of the policies, of what is swept, and of the one whose sensitivity is asked
    /// for.
    pub fn rules(&self) -> impl Iterator<Item = &RulePlan> {
        let policies = self.plans.iter().map(|plan| &plan.rule);
        let swept = self.sweeps.iter().map(|plan| &plan.rule);
        policies.chain(swept).chain(self.sensitivity.iter().map(|plan| &plan.rule))
    }

    /// On whom rules that learn were trained for an arm, in a few words.
    pub fn trained_on(&self, arm: &Arm) -> String {
        self.training.words(&arm.population)
    }

    /// Which of [`Study::texts`] a typist is judged on; the same in all arms.
    pub fn text_of(&self, typist: u64) -> usize {
        self.arms.first().map_or(0, |arm| arm.plan.text_of(self.seed, typist, 0))
    }

    /// What a reader should beware of where texts are too few for an interval over texts.
    pub fn text_caution(&self) -> Option<&'static str> {
        text_caution(self.texts.len())
    }
}

//! What is to be done, without mistakes: one struct for each table of a spec.

mod advice;
mod floor;
mod policy;
mod rare;
mod robust;
mod sensitivity;
mod stop;
mod sweep;
mod training;

pub use advice::AdvicePlan;
pub use floor::FloorPlan;
pub use policy::{OwnTablesPlan, PersonalPlan, PolicyPlan, RulePlan};
pub use rare::RarePlan;
pub use robust::RobustPlan;
pub use sensitivity::{SensitivityPlan, TraitRange};
pub use stop::{Guarantee, StopPlan};
pub use sweep::{Axis, FrontPlan, GOALS, SweepDesign, SweepPlan, setting_at};
pub use training::{TrainedOn, TrainingPlan};

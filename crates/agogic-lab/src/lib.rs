//! Analyses of a study: estimates with intervals, the floor, sweeps, advice, robustness, sensitivity.
//!
//! *In*: an [`Engine`](agogic_sim::Engine), the study with all that was trained for it. *Out*: results as structs that
//! say how sure they are; `agogic-files` writes them and `agogic-report` shows them.
//!
//! ```
//! use agogic_lab::{Statistic, run};
//! use agogic_sim::Engine;
//! use agogic_study::Study;
//!
//! let spec = r#"
//! name = "a-first-look"
//! seed = 1
//! [text]
//! words = "The tide turns at noon. Ask Ada for the log."
//! [typists]
//! number = 8
//! [[policy]]
//! rule = "enclosed"
//! [[policy]]
//! rule = "dwell-cutoff"
//! values = { cutoff_ms = 220 }
//! "#;
//! let study = Study::read(spec, std::path::Path::new(".")).unwrap();
//! let engine = Engine::new(&study).unwrap();
//! let result = run(&engine, &|_| ());
//! assert_eq!(result.arms[0].typists.len(), 8);
//! let pooled = result.rows.iter().find(|row| row.estimand == "false_holds" && row.statistic == Statistic::Pooled);
//! assert!(pooled.unwrap().estimate.value.is_some());
//! ```
//!
//! A rule of one's own is compared without a fork: it joins a study as a setting.
//!
//! ```
//! use agogic_lab::{Statistic, run};
//! use agogic_policy::{Decision, Encounter, Policy, Setting, Sight, conformance};
//! use agogic_sim::Engine;
//! use agogic_study::{MAIN_STUDY, Study};
//!
//! /// A hold when a second key joins the first, decided then.
//! #[derive(Debug)]
//! struct TwoKeys;
//!
//! impl Policy for TwoKeys {
//!     fn decide(&self, encounter: &Encounter<'_>) -> Decision {
//!         match encounter.contacts().nth(1) {
//!             Some(second) => Decision::hold(agogic_keys::Span(second.down as u64)),
//!             None => Decision::tap(encounter.dwell),
//!         }
//!     }
//! }
//!
//! let own = Setting::own("two-keys", Sight::Timing, TwoKeys);
//! conformance::check(&own, 1000)?;
//! let mut study = Study::read(MAIN_STUDY, std::path::Path::new("."))?;
//! study.typists = 40;
//! study.arms.truncate(1);
//! (study.floor.typists, study.ends) = (0, 0);
//! study.add_policy("two-keys", own, 0)?;
//! let result = run(&Engine::new(&study)?, &|_| ());
//! let joint = |row: &&agogic_lab::ResultRow| row.policy == "two-keys" && row.statistic == Statistic::Difference;
//! let difference = result.rows.iter().filter(joint).find(|row| row.estimand == "false_holds").unwrap();
//! assert!(difference.estimate.interval().is_some(), "{}", difference.estimate.text(1));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod advice;
mod candidates;
mod elsewhere;
mod ends;
mod estimate;
mod floor;
mod hands;
mod personal_advice;
mod plan;
mod practised;
mod press_example;
mod rare;
mod recommend;
mod robust;
mod run;
mod sensitivity;
mod sweep;
mod transfer;
mod typed;

pub use advice::{Advice, Contender, advise, beside_recommendation};
pub use elsewhere::{ElsewhereRow, elsewhere};
pub use ends::{ENDS, End, EndFigures};
pub use estimate::{
    ALL, CautionNote, ResultRow, Role, Statistic, cautions_of, default_difference, default_rate, estimate,
};
pub use floor::Floor;
pub use hands::{HandRow, hand_rows};
pub use personal_advice::{
    CommonPeople, PersonalOutcome, PersonalPractice, PersonalQuestion, PractisedSetting, Price, common_people,
    personal_advice,
};
pub use plan::{PoolError, PoolPlan, pool};
pub use press_example::{
    Pick, PressExample, PressExampleError, PressSum, Stretch, press_example, simulated_press_example,
};
pub use recommend::{
    EffectRow, LearnedVerdict, Listed, OneDefault, OneSetting, OneWorld, PRACTICE_NOTE, PRACTISED, Practice,
    PractisedRule, PractisedStage, Recommendation, RuleRow, Searched, SubgroupRow, WhatIf, recommend,
};
pub use robust::{Against, Conclusion, Robustness, Verdict, robust, variants_of};
pub use run::{ArmResult, StudyResult, merge, run, run_kept};
pub use sensitivity::{IndexRow, OUTCOMES, PointRow, SENSITIVITY_NOTE, SensitivityResult, sensitivity};
pub use sweep::{ArmSweep, Dominator, Front, FrontPoint, SweepResult, SweepRow, Swept, run_sweep};
pub use transfer::{JudgedOn, Transfer, TransferRow};
pub use typed::{
    Around, Beside, MEASURES, Manner, Moment, MomentDecision, Passed, SettingCounts, ShownPeople, Slider, SliderPlace,
    SliderValue, Sliders, Typed, beside, manners_of_people, moments, shown_people, typed,
};

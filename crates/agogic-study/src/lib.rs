//! What a study asks: the spec, its reader, and the plans that stand in it. Pure data: no threads, no randomness but
//! for the points of a design, and no disk but for the files that a spec names.
//!
//! *In*: a TOML text. *Out*: a [`Study`], or every mistake of the spec at once with line and key. Reading trains nothing
//! and types nothing, so it is done in a moment; the engine (`agogic-sim`) does both.
//!
//! ```
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
//! rule = "evidence"
//! values = { threshold_nats = 2 }
//! "#;
//! let study = Study::read(spec, std::path::Path::new(".")).unwrap();
//! assert_eq!(study.policies, ["enclosed", "evidence 2"]);
//!
//! let mistakes = Study::read(&spec.replace("threshold_nats = 2", "threshold = 2"), std::path::Path::new(".")).unwrap_err();
//! assert!(mistakes.to_string().starts_with("line 12: `policy[2].values.threshold`"), "{mistakes}");
//! ```

mod estimands;
mod inference;
mod inputs;
mod plans;
mod spec;
mod study;

pub use agogic_toml::{Mistake, Mistakes};
pub use estimands::{ESTIMANDS, EstimandInfo};
pub use inference::{Inference, IntervalMethod, Line};
pub use inputs::Input;
pub use plans::{
    AdvicePlan, Axis, FloorPlan, FrontPlan, GOALS, Guarantee, OwnTablesPlan, PersonalPlan, PolicyPlan, RarePlan,
    RobustPlan, RulePlan, SensitivityPlan, StopPlan, SweepDesign, SweepPlan, TrainedOn, TrainingPlan, TraitRange,
    setting_at,
};
pub use spec::{
    BUILT_IN_TEXTS, DEFAULTS_STUDY, MAIN_STUDY, NEW_STUDY, OTHER_TEXTS, TEXTS_IN_OTHER_LANGUAGES, built_in_text,
    population_of,
};
pub use study::{Arm, FEWEST_TEXTS, Study};

//! The laboratory: from a study spec to results in files.
//!
//! *In*: a TOML text. *Out*: a [`StudyResult`] and, through [`files`], a folder with everything needed to
//! repeat it. [`Study::read`] reports every mistake of a spec at once; what it returns is the only thing
//! [`run`] accepts. This crate is the only home of dataframes and of threads.
//!
//! ```
//! use agogic_lab::{Study, run};
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
//! let result = run(&study, &|_| ());
//! assert_eq!(result.arms[0].typists.len(), 8);
//! ```

mod advice;
mod blocks;
mod decider;
mod desk;
mod elsewhere;
mod ends;
mod estimate;
pub mod files;
mod floor;
mod hands;
mod inputs;
mod moment;
mod pack;
mod personal_advice;
mod plan;
mod rare;
mod reader;
mod recommend;
mod robust;
mod run;
mod scores;
mod scratch;
mod sensitivity;
mod shown;
mod spec;
mod stop;
mod study;
mod sweep;
mod training;

pub use advice::{Advice, Contender, advise};
pub use blocks::{
    BlockFault, Fingerprint, MergeError, SHARD_FILE, Shard, ShardFault, ShardInfo, ShardProgress, Store, block_again,
    block_around, merge, read_block, result_of_blocks, run_shard, study_of, with_block_digest,
};
pub use decider::{Decider, PersonalDecider};
pub use elsewhere::{ElsewhereRow, elsewhere};
pub use ends::{ENDS, End, EndFigures};
pub use estimate::{
    ALL, CautionNote, ESTIMANDS, EstimandInfo, Inference, IntervalMethod, Line, ResultRow, Statistic, cautions_of,
    default_difference, default_rate, estimate,
};
pub use floor::{Floor, FloorPlan};
pub use hands::{HandRow, hand_rows};
pub use inputs::Input;
pub use moment::{Moment, MomentError, Pick, Stretch, moment, simulated_moment};
pub use personal_advice::{
    CommonLosses, FAMILIES, Family, FamilyAdvice, OnLog, PersonalAdvice, PersonalQuestion, PersonalVerdict, ValueRange,
    common_losses, personal_advice,
};
pub use plan::{PoolError, PoolPlan, pool};
pub use rare::RarePlan;
pub use reader::{Mistake, Mistakes};
pub use recommend::{AdvicePlan, KnobRow, Listed, Recommendation, RuleRow, Searched, Turn, WhomRow, recommend};
pub use robust::{Against, Conclusion, RobustPlan, Robustness, Verdict, robust, variants_of};
pub use run::{ArmResult, StudyResult, run, run_kept};
pub use scores::{ArmScores, Person, TypistRow};
pub use sensitivity::{
    IndexRow, OUTCOMES, PointRow, SENSITIVITY_NOTE, SensitivityPlan, SensitivityResult, TraitRange, sensitivity,
};
pub use spec::{BUILT_IN_TEXTS, DEFAULTS_STUDY, MAIN_STUDY, built_in_text, population_of};
pub use stop::{Promise, StopPlan};
pub use study::{Arm, Study};
pub use sweep::{
    ArmSweep, Axis, Dominator, Front, FrontPlan, FrontPoint, GOALS, SweepDesign, SweepPlan, SweepResult, SweepRow,
    Swept, run_sweep,
};
pub use training::train;

//! The engine: typists drawn, let type and judged; what rules learn; finished work kept and taken up again.
//!
//! *In*: a [`Study`](agogic_study::Study). *Out*: for each arm a [`Block`] of scores, and the three steps behind it for
//! analyses of their own. [`Engine::new`] trains what learns; [`ArmRunner::perform`] lets a typist type and
//! [`ArmRunner::judge`] judges settings on what was typed. Every stream of randomness is addressed, so results are the
//! same whatever the threads, the shards or the order of the policies.
//!
//! ```
//! use agogic_sim::{Buffers, Engine, run_blocks};
//! use agogic_study::{EstimandInfo, Study};
//!
//! let spec = "name = \"first\"\nseed = 1\n[text]\nwords = \"Ask Ada for the log.\"\n[typists]\nnumber = 8\n\
//!     [floor]\ntypists = 0\n[[policy]]\nrule = \"enclosed\"\n[[policy]]\nrule = \"first-contact\"\n";
//! let study = Study::read(spec, std::path::Path::new(".")).unwrap();
//! let engine = Engine::new(&study).unwrap();
//!
//! // The whole study.
//! let blocks = run_blocks(&engine, None, &|_| ()).unwrap();
//! assert_eq!(blocks[0].typists.len(), 8);
//! let false_holds = blocks[0].typists.clusters(EstimandInfo::by_name("false_holds").unwrap());
//! assert!(false_holds[0].totals().0 <= false_holds[1].totals().0);
//!
//! // Or one typist of it, step by step.
//! let arm = &engine.arms[0];
//! let performed = arm.runner.perform(arm.runner.judged(study.seed, 3));
//! let settings = arm.settings(&performed.typist, study.seed);
//! let mut buffers = Buffers::default();
//! arm.runner.judge(&mut buffers, &arm.runner.transcript(&performed.session), &settings, &study.costs, |_, score, _| {
//!     assert!(score.counts.false_holds <= score.counts.taps);
//! });
//! ```

pub mod blocks;
mod decider;
pub mod disk;
mod engine;
pub mod numbers;
mod pack;
mod runner;
mod scores;
mod scratch;
mod stop;
mod training;
mod watch;

pub use blocks::{Block, Fingerprint, Store, run_blocks};
pub use decider::{Decider, OwnTables, PersonalDecider};
pub use disk::FileError;
pub use engine::{Engine, EngineError, TrainedArm, learned};
pub use runner::{ArmRunner, Buffers, Performed, Trial};
pub use scores::{ArmScores, TypistRow, TypistSummary, clusters};
pub use stop::{look, precise_enough, stop_estimands};
pub use training::{train, within_ranges};
pub use watch::{DEADLINES, TypistOdds, deadlines, perform_watched};

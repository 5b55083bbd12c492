//! Policies on a recorded log: what they would have decided, and how that can be judged.
//!
//! *In*: the [`SessionLog`](agogic_log::SessionLog)s of a log, a dual-role assignment, and any number of
//! settings. *Out*: a [`Replay`]: decisions and delays of every policy, how often two policies differ, and,
//! where the log states what was meant, false and missed holds. What cannot be judged is named with its reason.
//!
//! A policy sees the events alone, as it would at the keyboard; intents meet decisions only here, afterwards.
//!
//! Intervals about one participant resample blocks of that person's presses in time; those about several take
//! the participant as the unit. Either says how far a number would move with more typing of the same kind, not
//! how people type on a keyboard that already has two roles for a key: they adapt, and a log of ordinary typing
//! does not show that.
//!
//! ```
//! use agogic_keys::{Assignment, Board, Modifier};
//! use agogic_log::{LogLayout, read_bytes};
//! use agogic_policy::Setting;
//! use agogic_replay::{Estimand, ReplayPlan, replay};
//! use agogic_stats::Level;
//!
//! // F and I roll; F was meant as a letter.
//! let log = "session,participant,t_us,code,edge,intent\n\
//!            1,ada,0,KeyF,press,tap\n\
//!            1,ada,90000,KeyI,press,tap\n\
//!            1,ada,120000,KeyF,release,\n\
//!            1,ada,190000,KeyI,release,\n";
//! let log = read_bytes(log.as_bytes(), &LogLayout::events())?;
//! let board = Board::row_staggered();
//! let mut assignment = Assignment::none();
//! assignment.assign(&board, "KeyF".parse()?, Modifier::Control)?;
//! let settings = ["first-contact", "enclosed"].map(|name| (name.to_owned(), Setting::rule(name, &[]).unwrap()));
//! let plan = ReplayPlan { board: &board, assignment: &assignment, level: Level::P95, resamples: 200, seed: 1 };
//! let found = replay(&log.sessions, &settings, &plan);
//! assert_eq!(found.row("first-contact", Estimand::FalseHolds).unwrap().estimate.value, Some(1000.0));
//! assert_eq!(found.row("enclosed", Estimand::FalseHolds).unwrap().estimate.value, Some(0.0));
//! assert_eq!(found.row("enclosed", Estimand::MissedHolds).unwrap().estimate.value, None);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod by_key;
mod compare;
mod course;
mod differ;
mod estimand;
mod interval;
mod judged;
mod predictive;
mod replay;

pub use by_key::PartRow;
pub use compare::{ComparePlan, Compared, Comparison, Helped, compare};
pub use course::{Course, Meant};
pub use differ::Differ;
pub use estimand::{ESTIMANDS, Estimand};
pub use judged::Judged;
pub use predictive::{PredictedRow, PredictiveCheck, predictive_check};
pub use replay::{Replay, ReplayPlan, ReplayRow, courses, replay};

//! Decisions against intents: which presses went wrong, how late the rest were, and what the host received.
//!
//! *In*: presses, what they meant, and a policy's decision for each dual-role press. *Out*: [`Counts`] for
//! one typist under one policy, with the causes of what went wrong; the [`HostKey`]s that the computer would
//! see; the [`Kinds`] of shortcuts that went astray or got lost, and their [`Harm`] under a cost table; the
//! error of the [`Produced`] text. This is the only place where decisions meet intents.
//!
//! [`tally`], [`Kinds::of`] and [`Produced::of`] are written to be read; a [`ScorerStream`] gives the same in one
//! pass, decision by decision, for any number of policies that share a [`Transcript`]; a [`SessionJudge`] scans a session
//! once and feeds one to each policy.
//!
//! ```
//! use agogic_keys::{Assignment, Board, Code, Instant, Modifier, Press, Span, Truth};
//! use agogic_policy::Decision;
//! use agogic_score::{Decided, Emulator, tally};
//!
//! let board = Board::row_staggered();
//! let mut assignment = Assignment::none();
//! let f: Code = "KeyF".parse().unwrap();
//! assignment.assign(&board, f, Modifier::Control).unwrap();
//!
//! // F and E roll; both were meant as letters, but F was taken for a hold: the host sees Control+E.
//! let presses = [
//!     Press { code: f, down: Instant(0), up: Instant(120_000) },
//!     Press { code: "KeyE".parse().unwrap(), down: Instant(90_000), up: Instant(190_000) },
//! ];
//! let truths = [Truth::default(); 2];
//! let decided = [Decided { press: 0, decision: Decision::hold(Span(90_000)) }];
//! let counts = tally(&Emulator::new(&assignment), &presses, &truths, &decided, 1);
//! assert_eq!((counts.false_holds, counts.stray_chords), (1, 1));
//! assert_eq!(counts.false_by.by_roll, 1);
//! ```
//!
//! All the way: people of a population type, a rule of one's own decides, and its false holds get an interval over people.
//!
//! ```
//! use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported, Workload};
//! use agogic_policy::{Decision, Encounter, EncounterScan, Policy, Setting, Sight, conformance};
//! use agogic_score::{Decided, Emulator, tally};
//! use agogic_stats::{Clusters, Level, ratio_skewed};
//! use agogic_typist::{Performer, Population, SessionAddress, Typist};
//!
//! /// A hold when the next key comes 100 ms after this one or later, decided then.
//! #[derive(Debug)]
//! struct LatePartner;
//!
//! impl Policy for LatePartner {
//!     fn decide(&self, encounter: &Encounter<'_>) -> Decision {
//!         match encounter.contacts().next() {
//!             Some(next) if next.down >= 100_000 => Decision::hold(agogic_keys::Span(next.down as u64)),
//!             Some(next) => Decision::tap(agogic_keys::Span(next.down as u64)),
//!             None => Decision::tap(encounter.dwell),
//!         }
//!     }
//! }
//!
//! let rule = Setting::own("late-partner", Sight::Timing, LatePartner);
//! conformance::check(&rule, 2000)?;
//!
//! let board = Board::row_staggered();
//! let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
//! let assignment = Assignment::resting(&board, order);
//! let plan = TextPlan::new("Ask Ada: a flask falls, and all is lost.", &board, &assignment, Unsupported::Refuse)?;
//! let (performer, emulator) = (Performer::new(&board, &assignment), Emulator::new(&assignment));
//! let seed = 7;
//! let counts = (0..40).map(|number| {
//!     let typist = Typist::draw(&Population::volunteers(), seed, number);
//!     let session = performer.perform(&typist, &plan, &Workload::none(), SessionAddress { seed, replicate: 0 }, 500);
//!     let mut decided = Vec::new();
//!     let dual = |code| assignment.modifier(code).is_some();
//!     EncounterScan::new().each(&session.presses, dual, |code| performer.movement().hand(code), |press, encounter| {
//!         decided.push(Decided { press, decision: rule.decide(encounter) });
//!     });
//!     let counts = tally(&emulator, &session.presses, &session.truths, &decided, session.words);
//!     (counts.false_holds, counts.taps)
//! });
//! let rate = ratio_skewed(&Clusters::counts("typist", counts)?, Level::P95);
//! let interval = rate.interval().expect("there are taps and people");
//! assert!(interval.lo > 0.0 && interval.hi < 1.0 && rate.n == 40, "{}", rate.text(3));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod assumed_costs;
mod causes;
mod cost_reader;
mod cost_table;
mod counts;
mod distance;
mod emulator;
mod harm;
mod kinds;
mod numbers;
mod quantile;
mod scorer;
mod session_judge;
mod stream;
mod target_class;
mod text_error;
mod transcript;

pub use causes::{FalseHoldCause, FalseHoldCauses, Gesture, Gestures};
pub use cost_table::{Basis, CostLevel, CostMistake, CostMistakes, CostRow, CostSpec, CostTable};
pub use counts::{Counts, tally};
pub use emulator::{Arrival, Decided, Emulator, HostKey};
pub use harm::{Harm, harm};
pub use kinds::{KindRow, Kinds, Outcome};
pub use scorer::Scorer;
pub use session_judge::SessionJudge;
pub use stream::{ScorerStream, TypistScore};
pub use target_class::{ClassRow, TargetClass};
pub use text_error::{Produced, TextError};
pub use transcript::Transcript;

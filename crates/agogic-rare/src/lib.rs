//! Error rates near one in a million, without waiting a million presses for each error.
//!
//! *In*: a population, a text, a [`Setting`](agogic_policy::Setting) and the error to look for. *Out*: the same
//! rate a study would estimate, total errors over total opportunities with typists as the unit, from a small
//! share of the keystrokes; or a [`Refusal`] that says why the figure would not be worth having.
//!
//! # Definition
//! A typist's traits are a function of standard normal coordinates z with density φ. An error at a press
//! depends on the session before it, H, and on the noise x of that press and the next few, with density p.
//! With opportunities i of a session, the rate is R = E Σᵢ 1{error at i} / E (number of opportunities). Here
//!
//! - z is drawn from a mixture g of normals with shifted means, weighted by W = φ/g;
//! - H comes from an ordinary session of that typist;
//! - at each opportunity the session branches: the branch draws x from a mixture q of shifted noise, weighted by
//!   w = p/q, goes on until the outcome is settled, and is thrown away.
//!
//! So E[W Σᵢ wᵢ 1{error at i}] = E Σᵢ E[1{error at i} | z, H] = E Σᵢ 1{error at i}, whatever the mixtures. It is
//! conditional Monte Carlo given (z, H) with importance sampling inside and over people. The denominator is the
//! mean number of opportunities of ordinary sessions of other typists. Both mixtures hold a share of the model's
//! own density, so W and w are bounded; typists drawn are independent, so the error is taken between them.
//!
//! The shifts are found by the cross-entropy method over levels of easier settings, from streams of their own;
//! how many typists the estimate needs is fixed by another run of its own. The estimate then uses fresh
//! streams: nothing is looked at twice.
//!
//! # Source
//! Owen (2013), Monte Carlo Theory, Methods and Examples, chapter 9 (importance sampling, defensive mixtures) and
//! section 8.7 (conditioning); Rubino & Tuffin (2009), Rare Event Simulation using Monte Carlo Methods;
//! Asmussen & Glynn (2007), Stochastic Simulation, chapters V and VI; de Boer, Kroese, Mannor & Rubinstein (2005),
//! A Tutorial on the Cross-Entropy Method, Annals of Operations Research 134:19 (all from memory); on shifts found
//! level by level, Homem-de-Mello (2007), A Study on the Cross-Entropy Method for Rare-Event Probability
//! Estimation, INFORMS Journal on Computing 19:381 (abstract seen).
//!
//! ```
//! use agogic_keys::{Assignment, Board, Modifier, TextPlan, Unsupported, Workload};
//! use agogic_policy::Setting;
//! use agogic_rare::{ErrorKind, RareOutcome, RareSpec, rare_rate};
//! use agogic_stats::Level;
//! use agogic_typist::Population;
//!
//! let board = Board::row_staggered();
//! let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
//! let assignment = Assignment::resting(&board, order);
//! let text = "a lad asks for a glass; all sad lads fall";
//! let spec = RareSpec {
//!     population: &Population::volunteers(),
//!     plan: &TextPlan::new(text, &board, &assignment, Unsupported::Refuse).unwrap(),
//!     workload: &Workload::none(),
//!     board: &board,
//!     assignment: &assignment,
//!     setting: &Setting::rule("dwell-cutoff", &[("cutoff_ms", 700.0)]).unwrap(),
//!     error: ErrorKind::FalseHold,
//!     keys_per_typist: 60,
//!     precision: 0.3,
//!     budget_keys: 2_000_000,
//!     seed: 1,
//!     level: Level::P95,
//! };
//! match rare_rate(&spec) {
//!     RareOutcome::Estimated(found) => assert!(found.estimate.value.unwrap() < 1e-3),
//!     RareOutcome::Refused(refused) => panic!("{}", refused.reason),
//! }
//! ```

mod estimate;
mod levels;
mod pilot;
mod proposal;
mod simulator;
mod spec;
mod ways;

pub use estimate::{
    BruteForce, Diagnostics, RareEstimate, RareOutcome, Refused, plain_rate, rare_rate, rare_rate_on, rate_under,
};
pub use levels::easier;
pub use pilot::Refusal;
pub use proposal::{Proposal, TraitShift};
pub use simulator::{Batch, InOrder};
pub use spec::{ErrorKind, RareSpec};

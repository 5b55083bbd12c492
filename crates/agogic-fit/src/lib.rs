//! Fitting a person to a log: the traits of the typist model, with what the log leaves unknown.
//!
//! *In*: sessions of one person, a population. *Out*: a [`Fit`]: every trait with its posterior, what the log
//! says without the population, where it is too short, what more typing would bring, and how well the model's
//! laws describe the log. A trait whose intervals fell short in trials with synthetic people carries that as a caution
//! ([`recovered`], `RECOVERY.md`). [`Fit::as_population`] makes of it a population whose typists are draws from the
//! posterior, so that whatever takes a population can be asked about this person.
//!
//! ```
//! use agogic_fit::{FitPlan, fit};
//! use agogic_keys::{Assignment, Board};
//! use agogic_log::{LogLayout, read_bytes};
//! use agogic_stats::Level;
//! use agogic_typist::{Population, Trait};
//!
//! let mut csv = "session,participant,t_us,code,edge\n".to_owned();
//! for (i, key) in ["KeyT", "KeyI", "KeyD", "KeyE", "Space"].iter().cycle().take(200).enumerate() {
//!     csv += &format!("1,ada,{},{key},press\n1,ada,{},{key},release\n", 160_000 * i, 160_000 * i + 90_000);
//! }
//! let log = read_bytes(csv.as_bytes(), &LogLayout::events())?;
//! let sessions: Vec<_> = log.sessions.iter().collect();
//! let population = Population::volunteers();
//! let plan = FitPlan {
//!     population: &population,
//!     board: &Board::row_staggered(),
//!     assignment: &Assignment::none(),
//!     level: Level::new(0.95)?,
//!     seed: 1,
//!     redraws: 0,
//! };
//! let fit = fit(&sessions, &plan)?;
//! assert!((fit.of(Trait::Dwell).value - 90.0).abs() < 15.0);
//! // Nothing was held, so that the population stands in.
//! assert!(fit.of(Trait::OneHand).weight < 1e-9);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod block;
mod climb;
mod dwell;
mod fit;
mod gesture;
mod goodness;
mod interval;
mod parts;
mod person;
mod plan;
mod prior;
mod quadrature;
mod recovery;
mod seen;
mod serial;

pub use fit::{Fit, FitError, METHOD, TOO_SHORT, fit};
pub use goodness::Goodness;
pub use person::{Evidence, Likeliest, More, TraitFit};
pub use plan::FitPlan;
pub use recovery::{Recovered, recovered};

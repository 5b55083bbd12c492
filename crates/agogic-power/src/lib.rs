//! How many people, typing for how long, a study needs to tell two policies apart.
//!
//! *In*: a [`Pool`] of simulated people with their errors minute by minute under two policies, and a
//! [`Question`]. *Out*: for each length of session the number of people with an interval, the power found at that
//! number, the false-positive rate of the same analysis, and all of it in words.
//!
//! # Definition
//! A trial study draws n people of the pool without repetition, adds up their first m minutes under each policy,
//! and analyses them as the toolkit analyses any study: [`paired_difference`](agogic_stats::paired_difference)
//! with its t interval, or [`tost_clusters`](agogic_stats::tost_clusters) for equivalence. Power is the share of
//! trial studies that answer yes. The least n follows from a probit line of power over √n, since the power of a
//! t test is nearly Φ(√n δ/σ − z).
//!
//! The interval for n joins two uncertainties: that of the trial studies, from the fitted line, and that of the
//! pool, by leaving out a fiftieth of its people at a time (delete-a-group jackknife). It does not hold what no
//! simulation knows: how real people differ from the pool. A short session is the start of the same person's longer
//! one, and [`grow`] adds people until each number is known to ± 15 %.
//!
//! # Source
//! Cohen (1988), Statistical Power Analysis for the Behavioral Sciences, chapter 2; Kott (2001), The Delete-a-Group
//! Jackknife, Journal of Official Statistics 17:521; Morris, White & Crowther (2019), Statistics in Medicine
//! 38:2074, for the error of simulated power (all from memory).
//!
//! ```
//! use agogic_power::{Aim, Pool, Question, needed};
//!
//! // Fabricated people: 100 decisions a minute, about 4 errors under one policy and 2 under the other.
//! let person = |k: u64| (0..10).map(|m| [(3 + (k * 7 + m * 3) % 3, 100), (1 + (k * 5 + m) % 3, 100)]).collect();
//! let pool = Pool::new((0..400).map(person).collect())?;
//! let question = Question { replicates: 200, ..Question::new(Aim::Difference) };
//! let row = needed(&pool, &question, 5)?;
//! assert!(row.people.is_some_and(|people| people < 20));
//! # Ok::<(), agogic_power::PlanError>(())
//! ```

mod grow;
mod pool;
mod power;
mod words;

pub use grow::{WITHIN, grow};
pub use pool::{Design, Errors, Minute, PlanError, Pool, PoolSpec, simulate_person};
pub use power::{Aim, Power, Question, Row, needed, power};
pub use words::in_words;

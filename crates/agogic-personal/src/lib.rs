//! One person's rule: chosen from what a log shows and from typists who could be this person.
//!
//! *In*: a [`Grid`] of settings, a person's presses of known meaning ([`Known`]), typists drawn from the person's fit and
//! from a population, as [`Tally`]s. *Out*: [`PersonalAdvice`]: a setting for each rule, what it gains on presses that had no
//! part in the choice, whether a change is worth it, where the setting in use errs, and whom the person resembles.
//!
//! Nothing here draws or types: whoever asks brings the typists, so that the same advice can be held against people who
//! never saw a dual-role key.
//!
//! Somebody whose letters last 190 to 239 ms and who holds for 400 uses a cutoff of 200. Nobody is drawn here: the person
//! stands for the people too.
//!
//! ```
//! use agogic_keys::{Board, Code, Hand, Instant, Press};
//! use agogic_personal::{EVEN, Errors, Evidence, Grid, Known, PersonalVerdict, Question, Tally, advise};
//! use agogic_policy::Setting;
//! use agogic_stats::Level;
//!
//! let is_hold = |at: u64| at.is_multiple_of(10);
//! let press = |at: u64| {
//!     let (down, ms) = (1000 * at, if is_hold(at) { 400 } else { 190 + at * 7 % 50 });
//!     Press { code: "KeyF".parse().unwrap(), down: Instant(1000 * down), up: Instant(1000 * (down + ms)) }
//! };
//! let presses: Vec<Press> = (0..800).map(press).collect();
//! let holds: Vec<Option<bool>> = (0..800).map(|at| Some(is_hold(at))).collect();
//! let is_f = |code: Code| code.name() == "KeyF";
//! let mut known = Known::new();
//! known.add(&presses, &holds, is_f, |_| Hand::Left);
//!
//! let grid = Grid::new(None, true);
//! let now = Setting::rule("dwell-cutoff", &[("cutoff_ms", 200.0)]).unwrap();
//! let mut people = Tally::new(&grid, 1);
//! known.each(|_, encounter, hold| people.add(&grid, &[now.clone()], encounter, hold));
//! let (common, drawn): (Errors, Vec<Tally>) = (people.errors(&grid), vec![people.clone(), people]);
//! let question = Question {
//!     grid: &grid,
//!     tables: None,
//!     now: Some(&now),
//!     false_hold: 1.0,
//!     even: EVEN,
//!     level: Level::P95,
//!     seed: 1,
//! };
//! let evidence = Evidence { presses: 800, known: &known, holds: known.presses()[1], drawn: &drawn, fits: &[] };
//! let advice = advise(&question, &common, &evidence, &Board::row_staggered(), ("themselves", 1.0));
//! assert_eq!(advice.simple.verdict, PersonalVerdict::Change);
//! assert_eq!(advice.changes, ["raise the cutoff from 200 to 240 ms"]);
//! # Ok::<(), agogic_policy::SettingError>(())
//! ```

mod advice;
mod choice;
mod errors_by_key;
mod grid;
mod known;
mod parts;
mod portrait;
mod tally;
mod weigh;
mod words;

pub use advice::{Evidence, LEAST_TO_SAY, PersonalAdvice, PersonalVerdict, Row, advise};
pub use choice::{Choice, OWN_TABLES, Question, best_of, default_setting};
pub use errors_by_key::KeyErrors;
pub use grid::{FAMILIES, FLOORS_MS, Family, Grid, LULLS_MS, Place};
pub use known::Known;
pub use portrait::{Portrait, UnusualTrait};
pub use tally::{Errors, Tally};
pub use weigh::{EVEN, Rates};

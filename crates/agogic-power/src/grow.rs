//! A pool that grows until the numbers of people are known well enough.

use std::ops::Range;

use crate::pool::{Minute, PlanError, Pool};
use crate::power::{Question, spread_by_pool};

/// How well a number of people is to be known: its 95 % limits lie within this share of it.
pub const WITHIN: f64 = 0.15;

/// The part of that which the pool may take, on the log scale: the trial studies need the rest.
const BY_POOL: f64 = 0.12;

/// People of a first pool, and how many times more a pool may become at one step, since a small pool tells its own
/// spread badly.
const FIRST: u64 = 1600;
const STEP: f64 = 6.0;

/// People until the number needed is known to ± 15 % for every length of session, or until there are `most`.
///
/// # Definition
/// `simulate` gives the minutes of the people with these numbers; it is asked for each person once, and a shorter
/// session is the start of a longer one of the same person. `shape` makes of them the pool that the question is
/// put to. The spread that a pool of N leaves in the logarithm of the number falls as 1/√N, so a pool too
/// small says how large it should be.
///
/// # Errors
/// What `shape` refuses, a question out of range, or more minutes than were simulated.
pub fn grow(
    question: &Question,
    minutes: &[usize],
    most: u64,
    simulate: impl Fn(Range<u64>) -> Vec<Vec<Minute>>,
    shape: impl Fn(Pool) -> Result<Pool, PlanError>,
) -> Result<Pool, PlanError> {
    let mut people = simulate(0..FIRST.min(most));
    loop {
        let pool = shape(Pool::new(people.clone())?)?;
        let now = people.len() as u64;
        let mut widest: f64 = 0.0;
        for &minutes in minutes {
            // A pool that cannot tell anything yet may once it is larger.
            widest = widest.max(spread_by_pool(&pool, question, minutes)?.unwrap_or(f64::INFINITY));
        }
        if widest <= BY_POOL || now >= most {
            return Ok(pool);
        }
        let factor = (1.1 * (widest / BY_POOL).powi(2)).min(STEP);
        let wanted = ((now as f64 * factor).ceil() as u64).clamp(now + 1, most);
        people.extend(simulate(now..wanted));
    }
}

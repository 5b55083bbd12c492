//! Ordinary typing as a test bed: what rules would have made of people who never had a dual-role key.
//!
//! *In*: presses of many people on ordinary keyboards, recorded or simulated. *Out*: a list of [`Figure`]s about
//! them: how often each of a fixed list of [settings](settings()) would have erred, how holds of Shift are made, how
//! presses overlap, how long keys are down. Recorded and simulated people go through the same code, so that a figure
//! of the one can be held against the same figure of the other.
//!
//! Nobody who is recorded here had keys with two roles. A press of Shift with a target stands for a hold, a press of
//! a resting key for a tap ([`Meant`]). What people do once a letter is a modifier too, such logs do not show.
//!
//! ```
//! use agogic_keys::{Hand, Instant, Press};
//! use agogic_people::{Person, Tester, figures};
//!
//! let press = |name: &str, down: u64, up: u64| Press {
//!     code: name.parse().unwrap(),
//!     down: Instant(down * 1000),
//!     up: Instant(up * 1000),
//! };
//! // Shift holds for T; A is rolled onto S.
//! let run = [
//!     press("ShiftLeft", 0, 260),
//!     press("KeyT", 150, 240),
//!     press("KeyA", 400, 520),
//!     press("KeyS", 500, 600),
//! ];
//! let mut tester = Tester::new();
//! let person: Person = tester.person("ada", [&run[..]], |_| Hand::Either);
//! assert_eq!((person.holds, person.taps), (1, 2));
//! let at = tester.labels().position(|label| label == "first-contact").unwrap();
//! assert_eq!((person.false_holds[at], person.missed_holds[at]), (1, 0));
//! // One gesture is too little to count a person in.
//! assert!(!person.counts() && figures(&[person], tester.labels()).is_empty());
//! ```

mod figure;
mod figures;
mod gesture;
mod half;
mod learned;
mod logs;
mod meant;
mod person;
mod settings;

/// A press by hand: name of the key, and when it goes down and comes up, in ms.
#[cfg(test)]
pub(crate) fn press(name: &str, down_ms: u64, up_ms: u64) -> agogic_keys::Press {
    let at = |ms: u64| agogic_keys::Instant(ms * 1000);
    agogic_keys::Press { code: name.parse().unwrap(), down: at(down_ms), up: at(up_ms) }
}

pub use figure::Figure;
pub use figures::{MISSED, RATE_FLOOR, SPURIOUS, THIRDS, factor, factors, figures, rate_name, split_third};
pub use gesture::Gesture;
pub use half::Half;
pub use learned::{Judged, JudgedPerson, Missed, Training, missed_at};
pub use logs::{Crowd, hand_of};
pub use meant::{Meant, is_dual, meant};
pub use person::{LEAST_HOLDS, LEAST_TAPS, Person, Tester};
pub use settings::settings;

//! Intervals for a proportion, from x events in n independent trials.
//!
//! Every interval holds for one series of independent trials. Events of one
//! person are not independent: for rates over several people use
//! [`ratio`](crate::ratio()).

mod distribution;
mod exact;
mod wilson;
mod zero_events;

use thiserror::Error;

pub use distribution::{binomial_lower, binomial_mass, binomial_upper};
pub use exact::clopper_pearson;
pub(crate) use exact::exact_interval;
pub use wilson::wilson;
pub use zero_events::{ZeroEventError, zero_event_upper, zero_event_upper_clustered};

/// Why a pair of counts is not a number of events in a number of trials.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum TrialsError {
    /// There are no trials, so the proportion is not defined.
    #[error("read 0 trials: a proportion needs at least 1")]
    NoTrials,
    /// There are more events than trials.
    #[error("read {events} events in {trials} trials: there cannot be more events than trials")]
    TooManyEvents {
        /// Events given.
        events: u64,
        /// Trials given.
        trials: u64,
    },
}

/// x events in n trials, with n ≥ 1 and x ≤ n.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Trials {
    events: u64,
    trials: u64,
}

impl Trials {
    /// Checks a pair of counts.
    ///
    /// # Errors
    /// No trials, or more events than trials.
    pub fn new(events: u64, trials: u64) -> Result<Self, TrialsError> {
        if trials == 0 {
            Err(TrialsError::NoTrials)
        } else if events > trials {
            Err(TrialsError::TooManyEvents { events, trials })
        } else {
            Ok(Trials { events, trials })
        }
    }

    /// Number of events, x.
    pub fn events(self) -> u64 {
        self.events
    }

    /// Number of trials, n.
    pub fn trials(self) -> u64 {
        self.trials
    }

    /// Observed proportion, x/n.
    pub fn proportion(self) -> f64 {
        self.x() / self.n()
    }

    fn x(self) -> f64 {
        self.events as f64
    }

    fn n(self) -> f64 {
        self.trials as f64
    }

    /// Trials without the event, n − x.
    fn misses(self) -> f64 {
        (self.trials - self.events) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::Interval;
    use crate::level::Level;

    fn trials(events: u64, n: u64) -> Trials {
        Trials::new(events, n).unwrap()
    }

    #[test]
    fn counts_are_checked() {
        assert_eq!(Trials::new(0, 0), Err(TrialsError::NoTrials));
        assert!(Trials::new(3, 2).is_err());
        assert!(Trials::new(2, 2).is_ok());
    }

    type Method = fn(Trials, Level) -> Interval;

    const METHODS: [(&str, Method); 2] = [("wilson", wilson), ("clopper-pearson", clopper_pearson)];

    #[test]
    fn every_method_encloses_the_proportion_and_heeds_the_level() {
        for (name, method) in METHODS {
            for (x, n) in [(0, 1), (1, 1), (0, 20), (20, 20), (7, 20), (1, 1_000_000)] {
                let t = trials(x, n);
                let [narrow, wide] = [Level::P90, Level::P99].map(|level| method(t, level));
                assert!(narrow.contains(t.proportion()), "{name} {x}/{n} {narrow:?}");
                assert!(wide.width() > narrow.width(), "{name} {x}/{n}");
            }
        }
    }

    #[test]
    fn every_method_is_symmetric_in_events_and_misses() {
        for (name, method) in METHODS {
            for (x, n) in [(0, 12), (3, 12), (6, 12), (2, 5000)] {
                let one = method(trials(x, n), Level::P95);
                let other = method(trials(n - x, n), Level::P95);
                assert!((one.lo - (1.0 - other.hi)).abs() < 1e-13, "{name} {x}/{n}");
                assert!((one.hi - (1.0 - other.lo)).abs() < 1e-13, "{name} {x}/{n}");
            }
        }
    }
}

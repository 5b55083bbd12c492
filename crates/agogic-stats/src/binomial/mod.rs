//! Intervals for a proportion, from x events in n independent trials.
//!
//! Every interval holds for one series of independent trials. Events of one
//! person are not independent: for rates over several people use
//! [`ratio`](crate::ratio()).

mod distribution;
mod exact;
mod jeffreys;
mod likelihood;
mod mid_p;
mod wald;
mod wilson;
mod zero_events;

use serde::{Deserialize, Serialize};
use thiserror::Error;

pub use distribution::{binomial_lower, binomial_mass, binomial_upper};
pub use exact::clopper_pearson;
pub(crate) use exact::exact_interval;
pub use jeffreys::jeffreys;
pub use likelihood::likelihood;
pub use mid_p::mid_p;
pub use wald::wald;
pub use wilson::{wilson, wilson_cc};
pub use zero_events::{ZeroEventError, zero_event_upper, zero_event_upper_clustered};

use crate::estimate::{Estimate, Interval};
use crate::level::Level;

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

/// How an interval for a proportion is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ProportionMethod {
    /// [`wald`], for comparison only.
    Wald,
    /// [`wilson`], the score interval.
    Wilson,
    /// [`wilson_cc`], the score interval with continuity correction.
    WilsonCc,
    /// [`clopper_pearson`], the exact interval.
    ClopperPearson,
    /// [`mid_p`].
    MidP,
    /// [`jeffreys`].
    Jeffreys,
    /// [`likelihood`].
    Likelihood,
}

impl ProportionMethod {
    /// Every method, in the order of their definition.
    pub const ALL: [ProportionMethod; 7] = [
        ProportionMethod::Wald,
        ProportionMethod::Wilson,
        ProportionMethod::WilsonCc,
        ProportionMethod::ClopperPearson,
        ProportionMethod::MidP,
        ProportionMethod::Jeffreys,
        ProportionMethod::Likelihood,
    ];

    /// Name as it stands in results.
    pub fn name(self) -> &'static str {
        match self {
            ProportionMethod::Wald => "wald",
            ProportionMethod::Wilson => "wilson",
            ProportionMethod::WilsonCc => "wilson-cc",
            ProportionMethod::ClopperPearson => "clopper-pearson",
            ProportionMethod::MidP => "mid-p",
            ProportionMethod::Jeffreys => "jeffreys",
            ProportionMethod::Likelihood => "likelihood",
        }
    }

    /// The interval by this method.
    pub fn interval(self, trials: Trials, level: Level) -> Interval {
        match self {
            ProportionMethod::Wald => wald(trials, level),
            ProportionMethod::Wilson => wilson(trials, level),
            ProportionMethod::WilsonCc => wilson_cc(trials, level),
            ProportionMethod::ClopperPearson => clopper_pearson(trials, level),
            ProportionMethod::MidP => mid_p(trials, level),
            ProportionMethod::Jeffreys => jeffreys(trials, level),
            ProportionMethod::Likelihood => likelihood(trials, level),
        }
    }
}

/// A proportion of independent trials, with an interval by the method asked for.
///
/// # Undefined
/// At x = 0 and x = n the formula for the standard error gives 0, which would
/// claim certainty. The standard error is then missing, with a reason; the
/// interval stands.
pub fn proportion(trials: Trials, method: ProportionMethod, level: Level, unit: &str) -> Estimate {
    let p = trials.proportion();
    let estimate =
        Estimate::new(p, method.name(), level, unit, trials.trials).with_interval(method.interval(trials, level));
    if trials.events == 0 || trials.events == trials.trials {
        estimate.because("every trial had the same outcome, so no standard error can be estimated")
    } else {
        estimate.with_mcse((p * (1.0 - p) / trials.n()).sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn trials(events: u64, n: u64) -> Trials {
        Trials::new(events, n).unwrap()
    }

    #[test]
    fn counts_are_checked() {
        assert_eq!(Trials::new(0, 0), Err(TrialsError::NoTrials));
        assert!(Trials::new(3, 2).is_err());
        assert!(Trials::new(2, 2).is_ok());
    }

    #[test]
    fn every_method_encloses_the_proportion_and_heeds_the_level() {
        for method in ProportionMethod::ALL {
            for (x, n) in [(0, 1), (1, 1), (0, 20), (20, 20), (7, 20), (1, 1_000_000)] {
                let t = trials(x, n);
                let [narrow, wide] = [Level::P90, Level::P99].map(|level| method.interval(t, level));
                let unanimous = x == 0 || x == n;
                // The Jeffreys interval leaves 0 and 1 out by definition.
                let open = unanimous && method == ProportionMethod::Jeffreys;
                let encloses = narrow.contains(t.proportion());
                assert!(encloses != open, "{method:?} {x}/{n} {narrow:?}");
                let certain = unanimous && method == ProportionMethod::Wald;
                assert!(certain || wide.width() > narrow.width(), "{method:?} {x}/{n}");
            }
        }
    }

    #[test]
    fn every_method_is_symmetric_in_events_and_misses() {
        for method in ProportionMethod::ALL {
            for (x, n) in [(0, 12), (3, 12), (6, 12), (2, 5000)] {
                let one = method.interval(trials(x, n), Level::P95);
                let other = method.interval(trials(n - x, n), Level::P95);
                assert!((one.lo - (1.0 - other.hi)).abs() < 1e-13, "{method:?} {x}/{n}");
                assert!((one.hi - (1.0 - other.lo)).abs() < 1e-13, "{method:?} {x}/{n}");
            }
        }
    }

    #[test]
    fn no_certainty_from_unanimous_trials() {
        let estimate = proportion(trials(0, 50), ProportionMethod::Wilson, Level::P95, "event");
        assert_eq!(estimate.value, Some(0.0));
        assert!(estimate.mcse.is_none() && estimate.reason.is_some());
        assert!(estimate.hi.unwrap() > 0.0);
    }
}

//! The exact interval for a Poisson count.

use thiserror::Error;

use crate::estimate::Interval;
use crate::level::Level;
use crate::special::{gamma_quantile, gamma_upper_quantile};

/// Why a rate cannot be given.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum PoissonError {
    /// The exposure is not positive and finite.
    #[error("read the exposure {0}: it must be positive and finite")]
    Exposure(f64),
}

/// The exact interval for the mean of a Poisson count.
///
/// # Definition
/// The lower limit is the mean μ with P(X ≥ x) = α/2, the upper limit the one
/// with P(X ≤ x) = α/2; both are gamma quantiles. The lower limit is 0 at x = 0.
///
/// # Source
/// Garwood (1936), Biometrika 28:437.
pub fn poisson_exact(events: u64, level: Level) -> Interval {
    let x = events as f64;
    let tail = level.tail();
    Interval { lo: if events > 0 { gamma_quantile(x, tail) } else { 0.0 }, hi: gamma_upper_quantile(x + 1.0, tail) }
}

/// The exact interval for a rate, events per unit of exposure.
///
/// # Units
/// The limits are per unit of `exposure`, whatever that is.
///
/// # Errors
/// [`PoissonError::Exposure`] unless the exposure is positive and finite.
pub fn poisson_rate(events: u64, exposure: f64, level: Level) -> Result<Interval, PoissonError> {
    if !(exposure > 0.0 && exposure.is_finite()) {
        return Err(PoissonError::Exposure(exposure));
    }
    let mean = poisson_exact(events, level);
    Ok(Interval { lo: mean.lo / exposure, hi: mean.hi / exposure })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_event_has_a_closed_form() {
        let interval = poisson_exact(0, Level::P95);
        assert_eq!(interval.lo, 0.0);
        assert!((interval.hi + Level::P95.tail().ln()).abs() < 1e-12);
    }

    #[test]
    fn a_rate_scales_with_exposure() {
        let (mean, rate) = (poisson_exact(4, Level::P90), poisson_rate(4, 8.0, Level::P90));
        assert_eq!(rate.unwrap().hi, mean.hi / 8.0);
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(poisson_rate(4, bad, Level::P90).is_err());
        }
    }
}

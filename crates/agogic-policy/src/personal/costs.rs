//! What the two wrong roles cost, for fitting.

use serde::{Deserialize, Serialize};

use crate::Errors;

/// Two costs that cannot be fitted with. The text continues "failed to set up a fit: …".
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("costs of a false and a missed hold must be finite and not negative, one of them above zero, not {0} and {1}")]
pub struct CostsError(pub f64, pub f64);

/// Costs of the two wrong roles, in any common unit; only their ratio moves a fitted value.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ErrorCosts {
    /// Of a tap taken for a hold.
    pub false_hold: f64,
    /// Of a hold taken for a tap.
    pub missed_hold: f64,
}

impl ErrorCosts {
    /// Costs without mistakes.
    ///
    /// # Errors
    /// Negative or infinite costs, or nothing that costs.
    pub fn new(false_hold: f64, missed_hold: f64) -> Result<Self, CostsError> {
        let cost = |value: f64| value >= 0.0 && value.is_finite();
        if cost(false_hold) && cost(missed_hold) && false_hold + missed_hold > 0.0 {
            Ok(Self { false_hold, missed_hold })
        } else {
            Err(CostsError(false_hold, missed_hold))
        }
    }

    /// The cost of counted errors.
    pub fn of(&self, errors: &Errors) -> f64 {
        self.false_hold * errors.false_holds as f64 + self.missed_hold * errors.missed_holds as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn costs_that_are_none_are_refused() {
        for (a, b) in [(0.0, 0.0), (-1.0, 2.0), (f64::NAN, 1.0), (1.0, f64::INFINITY)] {
            assert!(ErrorCosts::new(a, b).is_err(), "{a} {b}");
        }
        let costs = ErrorCosts::new(2.0, 0.5).unwrap();
        assert_eq!(costs.of(&Errors { taps: 9, false_holds: 3, holds: 9, missed_holds: 4 }), 8.0);
    }
}

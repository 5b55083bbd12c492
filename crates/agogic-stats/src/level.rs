//! A confidence level that has been checked.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::normal::normal_upper_quantile;

/// Why a number is not a confidence level.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum LevelError {
    /// The number is not strictly between 0 and 1.
    #[error("read the confidence level {0}: it must lie strictly between 0 and 1, as in 0.95")]
    OutOfRange(f64),
}

/// A confidence level strictly between 0 and 1, such as 0.95.
///
/// # Units
/// A probability, never a percentage: 95 is refused.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Level(f64);

impl Level {
    /// 90 %.
    pub const P90: Level = Level(0.90);
    /// 95 %.
    pub const P95: Level = Level(0.95);
    /// 99 %.
    pub const P99: Level = Level(0.99);

    /// Checks a confidence level.
    ///
    /// # Errors
    /// [`LevelError::OutOfRange`] unless 0 < `confidence` < 1.
    pub fn new(confidence: f64) -> Result<Self, LevelError> {
        // 1 − α rounds to 1 for α below 10⁻¹⁶, hence the check on both.
        if confidence > 0.0 && confidence < 1.0 && 1.0 - confidence < 1.0 {
            Ok(Level(confidence))
        } else {
            Err(LevelError::OutOfRange(confidence))
        }
    }

    /// The confidence, 1 − α.
    pub fn confidence(self) -> f64 {
        self.0
    }

    /// The error allowed in total, α.
    pub fn alpha(self) -> f64 {
        1.0 - self.0
    }

    /// The error allowed on each side of a two-sided interval, α/2.
    pub fn tail(self) -> f64 {
        0.5 * self.alpha()
    }

    /// Two-sided standard normal critical value, 1.959964 at 95 %.
    pub fn z(self) -> f64 {
        normal_upper_quantile(self.tail())
    }
}

impl TryFrom<f64> for Level {
    type Error = LevelError;

    fn try_from(confidence: f64) -> Result<Self, LevelError> {
        Level::new(confidence)
    }
}

impl From<Level> for f64 {
    fn from(level: Level) -> f64 {
        level.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_open_unit_interval() {
        for bad in [0.0, 1.0, -0.1, 95.0, f64::NAN, f64::INFINITY, 1e-30] {
            assert!(Level::new(bad).is_err(), "{bad}");
        }
        assert_eq!(Level::new(0.95), Ok(Level::P95));
    }

    #[test]
    fn critical_values() {
        assert!((Level::P95.z() - 1.959_963_984_540_054).abs() < 1e-13);
        assert!((Level::P90.z() - 1.644_853_626_951_472_6).abs() < 1e-13);
    }

    #[test]
    fn serde_checks_the_level() {
        assert_eq!(serde_json::from_str::<Level>("0.9").unwrap(), Level::P90);
        assert!(serde_json::from_str::<Level>("90").is_err());
    }
}

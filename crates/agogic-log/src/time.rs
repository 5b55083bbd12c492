//! Times as logs write them.

use serde::{Deserialize, Serialize};

use crate::{Cell, DefectKind};

/// The latest time a log may hold, in µs: 2⁵³, about 285 years.
///
/// Every whole number up to here is exact as a 64-bit float, and microseconds since 1970 fit. Nanoseconds
/// since 1970 do not, so a unit that was mistaken shows.
pub const LATEST_US: u64 = 1 << 53;

/// The unit of the times of a log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum TimeUnit {
    /// Seconds.
    #[serde(rename = "s")]
    Seconds,
    /// Milliseconds.
    #[serde(rename = "ms")]
    Milliseconds,
    /// Microseconds.
    #[serde(rename = "us")]
    Microseconds,
    /// Nanoseconds.
    #[serde(rename = "ns")]
    Nanoseconds,
}

impl TimeUnit {
    /// Every unit.
    pub const ALL: [Self; 4] = [Self::Seconds, Self::Milliseconds, Self::Microseconds, Self::Nanoseconds];

    /// The name in a layout.
    pub fn name(self) -> &'static str {
        match self {
            Self::Seconds => "s",
            Self::Milliseconds => "ms",
            Self::Microseconds => "us",
            Self::Nanoseconds => "ns",
        }
    }

    /// Microseconds, rounded to the nearest.
    ///
    /// # Errors
    /// The defect of a cell that holds no time, a negative one, or one after [`LATEST_US`].
    pub(crate) fn micros(self, cell: Cell<'_>) -> Result<u64, DefectKind> {
        match cell {
            Cell::Missing => Err(DefectKind::MissingField),
            Cell::Whole(number) => self.whole(number),
            Cell::Real(number) => self.real(number),
            Cell::Text(text) => {
                let text = text.trim();
                if text.is_empty() {
                    return Err(DefectKind::MissingField);
                }
                match text.parse::<i64>() {
                    Ok(number) => self.whole(number),
                    Err(_) => self.real(text.parse().map_err(|_| DefectKind::BadTime)?),
                }
            }
        }
    }

    fn whole(self, number: i64) -> Result<u64, DefectKind> {
        let number = u64::try_from(number).map_err(|_| DefectKind::NegativeTime)?;
        let us = match self {
            Self::Seconds => number.checked_mul(1_000_000),
            Self::Milliseconds => number.checked_mul(1000),
            Self::Microseconds => Some(number),
            Self::Nanoseconds => Some(number.saturating_add(500) / 1000),
        };
        us.filter(|us| *us <= LATEST_US).ok_or(DefectKind::AbsurdTime)
    }

    fn real(self, number: f64) -> Result<u64, DefectKind> {
        if number.is_nan() {
            return Err(DefectKind::BadTime);
        }
        if number < 0.0 {
            return Err(DefectKind::NegativeTime);
        }
        let us = (number
            * match self {
                Self::Seconds => 1e6,
                Self::Milliseconds => 1e3,
                Self::Microseconds => 1.0,
                Self::Nanoseconds => 1e-3,
            })
        .round();
        if us <= LATEST_US as f64 { Ok(us as u64) } else { Err(DefectKind::AbsurdTime) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_meet_in_microseconds() {
        assert_eq!(TimeUnit::Seconds.micros(Cell::Text("1.5")), Ok(1_500_000));
        assert_eq!(TimeUnit::Milliseconds.micros(Cell::Text(" 12.3456 ")), Ok(12_346));
        assert_eq!(TimeUnit::Microseconds.micros(Cell::Whole(7)), Ok(7));
        assert_eq!(TimeUnit::Nanoseconds.micros(Cell::Whole(1_499)), Ok(1));
        assert_eq!(TimeUnit::Milliseconds.micros(Cell::Text("1700000000000")), Ok(1_700_000_000_000_000));
    }

    #[test]
    fn what_is_no_time_says_why() {
        let us = |text| TimeUnit::Microseconds.micros(Cell::Text(text));
        assert_eq!(us("1e18"), Err(DefectKind::AbsurdTime));
        assert_eq!(us("99999999999999999999999"), Err(DefectKind::AbsurdTime));
        assert_eq!(us("inf"), Err(DefectKind::AbsurdTime));
        assert_eq!(us("-1"), Err(DefectKind::NegativeTime));
        assert_eq!(us("-1e300"), Err(DefectKind::NegativeTime));
        assert_eq!(us("NaN"), Err(DefectKind::BadTime));
        assert_eq!(us("12:30"), Err(DefectKind::BadTime));
        assert_eq!(us(""), Err(DefectKind::MissingField));
        assert_eq!(TimeUnit::Seconds.micros(Cell::Whole(i64::MAX)), Err(DefectKind::AbsurdTime));
        assert_eq!(TimeUnit::Microseconds.micros(Cell::Whole(LATEST_US as i64)), Ok(LATEST_US));
        assert_eq!(TimeUnit::Microseconds.micros(Cell::Whole(LATEST_US as i64 + 1)), Err(DefectKind::AbsurdTime));
    }
}

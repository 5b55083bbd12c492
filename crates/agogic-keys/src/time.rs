//! Time in whole microseconds: a point on the session clock, and a length of time.

use std::fmt;
use std::ops::{Add, AddAssign, Sub};

use serde::{Deserialize, Serialize};

/// A point on the session clock.
///
/// # Units
/// Whole microseconds since the start of the session.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Instant(pub u64);

/// A length of time, never negative.
///
/// # Units
/// Whole microseconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Span(pub u64);

impl Instant {
    /// The start of the session.
    pub const ZERO: Self = Self(0);

    /// The time from `earlier` to `self`; zero when `earlier` lies later.
    pub fn since(self, earlier: Self) -> Span {
        Span(self.0.saturating_sub(earlier.0))
    }

    /// Microseconds from `other` to `self`, negative when `other` lies later. Flight times need this.
    pub fn signed_since(self, other: Self) -> i64 {
        self.0 as i64 - other.0 as i64
    }

    /// The instant `span` before this one, or the start of the session if there is no such instant.
    pub fn saturating_sub(self, span: Span) -> Self {
        Self(self.0.saturating_sub(span.0))
    }
}

impl Span {
    /// No time at all.
    pub const ZERO: Self = Self(0);
    /// Longer than any session.
    pub const MAX: Self = Self(u64::MAX);

    /// A span from milliseconds, rounded to the nearest microsecond.
    ///
    /// # Undefined
    /// Negative and NaN input give zero; validation belongs to the reader of the number.
    pub fn from_ms(ms: f64) -> Self {
        Self(libm::round(ms * 1e3) as u64)
    }

    /// This span in milliseconds.
    pub fn ms(self) -> f64 {
        self.0 as f64 / 1e3
    }

    /// The sum, or [`Span::MAX`] when it does not fit.
    pub fn saturating_add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }

    /// The difference, or zero when `other` is longer.
    pub fn saturating_sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl Add<Span> for Instant {
    type Output = Self;
    fn add(self, span: Span) -> Self {
        Self(self.0.saturating_add(span.0))
    }
}

impl AddAssign<Span> for Instant {
    fn add_assign(&mut self, span: Span) {
        *self = *self + span;
    }
}

impl Add for Span {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        self.saturating_add(other)
    }
}

impl Sub for Span {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self.saturating_sub(other)
    }
}

impl fmt::Display for Instant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.3} ms", self.0 as f64 / 1e3)
    }
}

impl fmt::Display for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.3} ms", self.ms())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_is_never_negative() {
        assert_eq!(Instant(5).since(Instant(9)), Span::ZERO);
        assert_eq!(Span(5) - Span(9), Span::ZERO);
        assert_eq!(Span::from_ms(-3.0), Span::ZERO);
        assert_eq!(Span::from_ms(f64::NAN), Span::ZERO);
    }

    #[test]
    fn signed_differences_keep_their_sign() {
        assert_eq!(Instant(5).signed_since(Instant(9)), -4);
    }

    #[test]
    fn milliseconds_round_to_the_nearest_microsecond() {
        assert_eq!(Span::from_ms(0.0006), Span(1));
        assert_eq!(Span::from_ms(200.0), Span(200_000));
    }

    #[test]
    fn the_end_of_time_saturates() {
        assert_eq!(Span::MAX + Span(1), Span::MAX);
        assert_eq!(Instant(u64::MAX) + Span(1), Instant(u64::MAX));
    }
}

//! A value with its interval, or the reason why there is none.

use crate::FigureError;
use crate::words::{decimals, fixed, number, signed};

/// One estimate.
#[derive(Clone, Debug, PartialEq)]
pub enum Reading {
    /// There is a value.
    Known {
        /// The estimate.
        value: f64,
        /// Lower and upper end of its interval, where there is one.
        interval: Option<(f64, f64)>,
    },
    /// There is none.
    Unknown {
        /// Why, in a few words.
        reason: String,
    },
}

impl Reading {
    /// A value with an interval.
    pub fn with_interval(value: f64, low: f64, high: f64) -> Self {
        Self::Known { value, interval: Some((low, high)) }
    }

    /// A value alone.
    pub fn point(value: f64) -> Self {
        Self::Known { value, interval: None }
    }

    /// No value, and why.
    pub fn unknown(reason: impl Into<String>) -> Self {
        Self::Unknown { reason: reason.into() }
    }

    /// The value, where there is one.
    pub fn value(&self) -> Option<f64> {
        if let Self::Known { value, .. } = self { Some(*value) } else { None }
    }

    /// The interval, where there is one.
    pub fn interval(&self) -> Option<(f64, f64)> {
        if let Self::Known { interval, .. } = self { *interval } else { None }
    }

    /// The value to as many places as its interval bears, or why there is none.
    pub(crate) fn words(&self) -> String {
        self.written(fixed)
    }

    /// The same with its sign, for a difference.
    pub(crate) fn signed_words(&self) -> String {
        self.written(signed)
    }

    fn written(&self, write: fn(f64, usize) -> String) -> String {
        match self {
            Self::Known { value, interval } => write(*value, decimals(*value, *interval)),
            Self::Unknown { reason } => format!("unknown, {reason}"),
        }
    }

    /// Value and ends.
    pub(crate) fn numbers(&self) -> impl Iterator<Item = f64> {
        self.value().into_iter().chain(self.interval().into_iter().flat_map(|(low, high)| [low, high]))
    }

    /// Refuses what cannot be drawn.
    pub(crate) fn check(&self, figure: &'static str, what: &'static str, row: &str) -> Result<(), FigureError> {
        for value in self.numbers() {
            finite(figure, what, row, value)?;
        }
        match self.interval() {
            Some((low, high)) if low > high => Err(FigureError::Reversed { figure, row: row.to_owned(), low, high }),
            _ => Ok(()),
        }
    }

    /// Refuses what cannot be drawn, negative values among it.
    pub(crate) fn check_rate(&self, figure: &'static str, what: &'static str, row: &str) -> Result<(), FigureError> {
        self.check(figure, what, row)?;
        self.numbers().try_for_each(|value| rate(figure, what, row, value))
    }
}

/// Refuses NaN and infinities.
pub(crate) fn finite(figure: &'static str, what: &'static str, row: &str, value: f64) -> Result<(), FigureError> {
    if value.is_finite() { Ok(()) } else { Err(FigureError::NotFinite { figure, what, row: row.to_owned(), value }) }
}

/// Refuses NaN, infinities and what is below zero.
pub(crate) fn rate(figure: &'static str, what: &'static str, row: &str, value: f64) -> Result<(), FigureError> {
    finite(figure, what, row, value)?;
    if value >= 0.0 {
        Ok(())
    } else {
        Err(FigureError::OutOfRange { figure, what, row: row.to_owned(), value, must: "zero or more" })
    }
}

/// Refuses an empty list.
pub(crate) fn some<T>(figure: &'static str, what: &'static str, list: &[T]) -> Result<(), FigureError> {
    if list.is_empty() { Err(FigureError::Empty { figure, what }) } else { Ok(()) }
}

/// What an interval is: method, level and unit of resampling.
#[derive(Clone, Debug, PartialEq)]
pub struct IntervalNote {
    /// How it was made.
    pub method: String,
    /// Its level, such as 0.95.
    pub level: f64,
    /// What was resampled, such as `typist`.
    pub unit: String,
}

impl IntervalNote {
    /// A note.
    pub fn new(method: impl Into<String>, level: f64, unit: impl Into<String>) -> Self {
        Self { method: method.into(), level, unit: unit.into() }
    }

    /// For captions, such as `95 % intervals (BCa bootstrap; unit: typist)`.
    pub fn words(&self) -> String {
        format!("{} % intervals ({}; unit: {})", number(self.level * 100.0, 3), self.method, self.unit)
    }

    pub(crate) fn check(&self, figure: &'static str) -> Result<(), FigureError> {
        if self.level > 0.0 && self.level < 1.0 {
            Ok(())
        } else {
            let (what, must) = ("the level", "between 0 and 1");
            Err(FigureError::OutOfRange { figure, what, row: self.method.clone(), value: self.level, must })
        }
    }
}

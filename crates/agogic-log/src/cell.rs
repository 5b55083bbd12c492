//! One value of one row, as its file had it.

use std::borrow::Cow;

/// One value of one row.
///
/// CSV gives text, JSON lines text and numbers, Parquet whatever its column holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cell<'a> {
    /// No value: null, or a column that the row lacks.
    Missing,
    /// Text as it stands in the file, not trimmed.
    Text(&'a str),
    /// A whole number.
    Whole(i64),
    /// Any other number.
    Real(f64),
}

impl<'a> Cell<'a> {
    /// The value as text; `None` when there is none or it is blank.
    pub(crate) fn text(self) -> Option<Cow<'a, str>> {
        match self {
            Self::Missing => None,
            Self::Text(text) => {
                let text = text.trim();
                (!text.is_empty()).then_some(Cow::Borrowed(text))
            }
            Self::Whole(number) => Some(Cow::Owned(number.to_string())),
            Self::Real(number) => Some(Cow::Owned(number.to_string())),
        }
    }

    /// The name of a key. Text is trimmed unless it is one character: a space is the name of a key.
    pub(crate) fn key_name(self) -> Option<Cow<'a, str>> {
        match self {
            Self::Text(text) if text.chars().count() == 1 => Some(Cow::Borrowed(text)),
            other => other.text(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blank_is_missing_but_a_space_is_a_key() {
        assert_eq!(Cell::Text("  ").text(), None);
        assert_eq!(Cell::Text(" ").key_name().as_deref(), Some(" "));
        assert_eq!(Cell::Text(" KeyA ").key_name().as_deref(), Some("KeyA"));
        assert_eq!(Cell::Text("").key_name(), None);
        assert_eq!(Cell::Missing.text(), None);
        assert_eq!(Cell::Whole(-4).text().as_deref(), Some("-4"));
    }
}

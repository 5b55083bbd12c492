//! What can be wrong with the data of a figure.

/// Why a figure could not be drawn or written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FigureError {
    /// There is nothing to draw.
    #[error("draw {figure}: it has no {what}; give at least one")]
    Empty {
        /// The figure.
        figure: &'static str,
        /// What is missing.
        what: &'static str,
    },
    /// A number is not finite.
    #[error("draw {figure}: {what} of {row:?} is {value}, which is no finite number; give Reading::unknown instead")]
    NotFinite {
        /// The figure.
        figure: &'static str,
        /// Which number.
        what: &'static str,
        /// Where it stands.
        row: String,
        /// The number.
        value: f64,
    },
    /// A number lies outside of what its meaning allows.
    #[error("draw {figure}: {what} of {row:?} is {value}; it must be {must}")]
    OutOfRange {
        /// The figure.
        figure: &'static str,
        /// Which number.
        what: &'static str,
        /// Where it stands.
        row: String,
        /// The number.
        value: f64,
        /// What it must be.
        must: &'static str,
    },
    /// The ends of an interval are in the wrong order.
    #[error("draw {figure}: the interval of {row:?} runs from {low} to {high}; the lower end comes first")]
    Reversed {
        /// The figure.
        figure: &'static str,
        /// Where it stands.
        row: String,
        /// The end given first.
        low: f64,
        /// The end given second.
        high: f64,
    },
    /// The font lacks a character.
    #[error("write {text:?}: the font of the figures (DejaVu Sans) has no {character:?}; use another name")]
    NoGlyph {
        /// The words.
        text: String,
        /// The character.
        character: char,
    },
    /// The resolution is of no use.
    #[error("write a PNG at {dpi} dots per inch; give a value from 10 to 1200")]
    Resolution {
        /// As given.
        dpi: f64,
    },
    /// A library refused our picture. A bug of this crate.
    #[error("convert the picture to {format}: {reason} (a bug of the figures; please report it)")]
    Convert {
        /// PDF, PNG or SVG.
        format: &'static str,
        /// What the library said.
        reason: String,
    },
}

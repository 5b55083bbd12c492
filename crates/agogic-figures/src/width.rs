//! How wide a figure is.

/// The width a figure is made for.
///
/// Units: lengths inside a figure are points, 1/72 inch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Width {
    /// One column of a paper, 88 mm.
    OneColumn,
    /// Two columns of a paper, 180 mm.
    TwoColumn,
    /// A page on a desktop screen, 720 CSS pixels.
    Screen,
    /// A page on a phone, 360 CSS pixels.
    Phone,
}

impl Width {
    /// Every width.
    pub const ALL: [Self; 4] = [Self::OneColumn, Self::TwoColumn, Self::Screen, Self::Phone];

    /// The width in points.
    pub fn points(self) -> f64 {
        match self {
            Self::OneColumn => 88.0 / 25.4 * 72.0,
            Self::TwoColumn => 180.0 / 25.4 * 72.0,
            Self::Screen => 540.0,
            Self::Phone => 270.0,
        }
    }

    /// The size of all text, in points. Journals ask for 5 to 7 pt at least; a screen is read from further away.
    pub fn text_pt(self) -> f64 {
        match self {
            Self::OneColumn | Self::TwoColumn => 7.0,
            Self::Screen | Self::Phone => 9.0,
        }
    }

    /// A short name for files.
    pub fn name(self) -> &'static str {
        match self {
            Self::OneColumn => "one-column",
            Self::TwoColumn => "two-column",
            Self::Screen => "screen",
            Self::Phone => "phone",
        }
    }

    pub(crate) fn narrow(self) -> bool {
        matches!(self, Self::OneColumn | Self::Phone)
    }

    pub(crate) fn on_paper(self) -> bool {
        matches!(self, Self::OneColumn | Self::TwoColumn)
    }
}

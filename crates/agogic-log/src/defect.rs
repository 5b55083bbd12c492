//! What can be wrong with a log, and what is done about it.

use std::fmt;

use serde::{Serialize, Serializer};

/// What is done about a defect.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// The row takes no part in the result.
    Refused,
    /// The row is kept; what was done is said beside the kind.
    Repaired,
}

/// One kind of defect. Each has one rule, the same for every log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DefectKind {
    /// A line is longer than [`crate::Limits::line_bytes`].
    OverlongLine,
    /// A line holds bytes that are no UTF-8 text, or NUL.
    NotText,
    /// A line has more or fewer fields than there are columns.
    FieldCount,
    /// A line of a JSON log is no JSON object.
    BadJson,
    /// The last line has no end and does not make a row.
    CutOff,
    /// A value that every row needs is missing.
    MissingField,
    /// The name of a session or participant is longer than [`crate::Limits::name_bytes`].
    OverlongName,
    /// A time is no number.
    BadTime,
    /// A time lies before the zero of its clock.
    NegativeTime,
    /// A time lies after [`crate::LATEST_US`].
    AbsurdTime,
    /// No key of that name is known.
    UnknownCode,
    /// An edge is neither press nor release.
    UnknownEdge,
    /// An intent or its target is unknown, or stands where none can.
    UnknownIntent,
    /// The key is a modifier, but the log does not tell left from right.
    SideUnknown,
    /// The log holds more rows than [`crate::Limits::rows`].
    TooManyRows,
    /// The log holds more sessions than [`crate::Limits::sessions`].
    TooManySessions,
    /// A row stands after a later one of its session.
    OutOfOrder,
    /// The clock of a session was set back.
    ClockBack,
    /// The clock of a session leapt ahead, or nothing was typed for long.
    ClockForward,
    /// The same edge of the same key at the same time, again.
    DuplicateEdge,
    /// A press of a key that is down, as a keyboard repeats it.
    AutoRepeat,
    /// A release of a key that is not down.
    ReleaseWithoutPress,
    /// A press whose release never came.
    MissingRelease,
    /// A press and its release at the same time.
    ZeroDwell,
    /// A key down for longer than [`crate::Rules::longest_dwell_us`].
    OverlongDwell,
    /// A row in which the release lies before the press.
    ReleaseBeforePress,
    /// A row that presses a key which an earlier row still holds down.
    AlreadyDown,
}

impl DefectKind {
    /// Every kind, in the order of a report.
    pub const ALL: [Self; 27] = [
        Self::OverlongLine,
        Self::NotText,
        Self::FieldCount,
        Self::BadJson,
        Self::CutOff,
        Self::MissingField,
        Self::OverlongName,
        Self::BadTime,
        Self::NegativeTime,
        Self::AbsurdTime,
        Self::UnknownCode,
        Self::UnknownEdge,
        Self::UnknownIntent,
        Self::SideUnknown,
        Self::TooManyRows,
        Self::TooManySessions,
        Self::OutOfOrder,
        Self::ClockBack,
        Self::ClockForward,
        Self::DuplicateEdge,
        Self::AutoRepeat,
        Self::ReleaseWithoutPress,
        Self::MissingRelease,
        Self::ZeroDwell,
        Self::OverlongDwell,
        Self::ReleaseBeforePress,
        Self::AlreadyDown,
    ];

    /// The name, as reports and JSON write it.
    pub fn name(self) -> &'static str {
        self.texts().0
    }

    /// What was done, for a report.
    pub fn rule(self) -> &'static str {
        self.texts().1
    }

    /// Whether the row is kept.
    pub fn fate(self) -> Fate {
        match self {
            Self::UnknownIntent | Self::SideUnknown | Self::OutOfOrder | Self::ClockBack | Self::ClockForward => {
                Fate::Repaired
            }
            _ => Fate::Refused,
        }
    }

    fn texts(self) -> (&'static str, &'static str) {
        match self {
            Self::OverlongLine => ("overlong-line", "line skipped without being held in memory"),
            Self::NotText => ("not-text", "line left out: not UTF-8 text, or holds NUL"),
            Self::FieldCount => ("field-count", "line left out: it does not fit the columns"),
            Self::BadJson => ("bad-json", "line left out: not a JSON object"),
            Self::CutOff => ("cut-off", "last line left out: the file ends inside it"),
            Self::MissingField => ("missing-field", "row left out: a needed value is missing"),
            Self::OverlongName => ("overlong-name", "row left out: the name of its session or participant is too long"),
            Self::BadTime => ("bad-time", "row left out: the time is no number"),
            Self::NegativeTime => ("negative-time", "row left out: the time lies before zero"),
            Self::AbsurdTime => ("absurd-time", "row left out: the time lies beyond 2^53 µs; is the unit right?"),
            Self::UnknownCode => ("unknown-code", "row left out: no key of that name is known"),
            Self::UnknownEdge => ("unknown-edge", "row left out: neither press nor release"),
            Self::UnknownIntent => ("unknown-intent", "row kept, the intent counts as not given"),
            Self::SideUnknown => ("side-unknown", "row kept, the left key is assumed"),
            Self::TooManyRows => ("too-many-rows", "row left out: the limit of rows is reached"),
            Self::TooManySessions => ("too-many-sessions", "row left out: the limit of sessions is reached"),
            Self::OutOfOrder => ("out-of-order", "rows of the session sorted by time"),
            Self::ClockBack => ("clock-back", "session split: what follows is a part with a clock of its own"),
            Self::ClockForward => {
                ("clock-forward", "rows kept, no interval is taken across; keys then down are dropped")
            }
            Self::DuplicateEdge => ("duplicate-edge", "repeated row left out"),
            Self::AutoRepeat => ("auto-repeat", "repeats folded into the press they belong to"),
            Self::ReleaseWithoutPress => ("release-without-press", "release left out"),
            Self::MissingRelease => ("missing-release", "press left out: its dwell is unknown"),
            Self::ZeroDwell => ("zero-dwell", "press left out: the clock did not see its dwell"),
            Self::OverlongDwell => ("overlong-dwell", "press left out: edges between must be missing"),
            Self::ReleaseBeforePress => ("release-before-press", "row left out"),
            Self::AlreadyDown => ("already-down", "row left out: an earlier row still holds the key down"),
        }
    }
}

impl fmt::Display for DefectKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl Serialize for DefectKind {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_is_whole_and_names_are_unique() {
        let mut names: Vec<_> = DefectKind::ALL.iter().map(|kind| kind.name()).collect();
        // The list is in the order of declaration, so the last discriminant counts the variants.
        for (place, kind) in DefectKind::ALL.iter().enumerate() {
            assert_eq!(*kind as usize, place, "{kind}");
        }
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), DefectKind::ALL.len());
        assert_eq!(DefectKind::AlreadyDown as usize + 1, DefectKind::ALL.len());
    }
}

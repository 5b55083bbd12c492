//! What a rule asks of those who hold.

/// Spans of a hold gesture that a rule asks to be long: what a person who lives with the rule can learn.
///
/// # Definition
/// A gesture has a *lead*, from the press of the held key to that of the target, and a time from the target's press to
/// the *release* of the held key. A span is asked for where lengthening it can turn a missed hold into a hold, and never the
/// other way round.
///
/// # Source
/// It follows from the definition of a rule; of rules that decide from tables, it is what the tables learn from people. The
/// tests hold it to every rule without tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Asks {
    /// The lead.
    pub lead: bool,
    /// The time from the target's press to the release.
    pub release: bool,
}

impl Asks {
    /// Holds that come out however they are made.
    pub const NOTHING: Self = Self { lead: false, release: false };
    /// The held key is to go last, or late.
    pub const RELEASE: Self = Self { lead: false, release: true };
    /// The held key is to be down long, before the target or after it.
    pub const BOTH: Self = Self { lead: true, release: true };

    /// What is asked, in words that follow "to".
    pub fn words(self) -> &'static str {
        match (self.lead, self.release) {
            (true, true) => "wait for the held key and let it go late",
            (true, false) => "wait for the held key",
            (false, true) => "let the held key go late",
            (false, false) => "hold as they hold any key",
        }
    }
}

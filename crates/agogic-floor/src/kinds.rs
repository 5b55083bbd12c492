//! What each press of a performance was, told from the intents.

use agogic_keys::Truth;
use agogic_typist::Session;

/// What a press was in its gesture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A key of the text, or one that corrects it.
    Plain,
    /// A held key with a target: the only one, or the first of two.
    Holder,
    /// The second of two held keys.
    Second,
    /// A key held for nothing.
    Bare,
    /// The first key pressed under held ones.
    Target,
    /// A further key under the same held one.
    Later,
    /// A key pressed again and held for repeat.
    Again,
}

impl Kind {
    /// Whether the key is held on purpose, for a target or for nothing.
    pub fn is_hold(self) -> bool {
        matches!(self, Self::Holder | Self::Second | Self::Bare)
    }

    /// Whether the press after this one, if not of the same gesture, waited for a held key to come up.
    pub fn ends_gesture(self) -> bool {
        matches!(self, Self::Target | Self::Later | Self::Bare | Self::Again)
    }

    /// Whether the press begins a hold.
    pub fn begins_hold(self) -> bool {
        matches!(self, Self::Holder | Self::Bare)
    }
}

/// The kind of every press.
pub(crate) fn kinds(session: &Session) -> Vec<Kind> {
    let plain = |truth: &Truth| !truth.hold && truth.with.is_empty();
    let mut kinds: Vec<Kind> = Vec::with_capacity(session.truths.len());
    for (i, truth) in session.truths.iter().enumerate() {
        let before = kinds.last().copied();
        let kind = if truth.bare {
            Kind::Bare
        } else if truth.hold {
            if before == Some(Kind::Holder) { Kind::Second } else { Kind::Holder }
        } else if !truth.with.is_empty() {
            if matches!(before, Some(Kind::Target | Kind::Later)) { Kind::Later } else { Kind::Target }
        } else {
            let again = truth.shortcut
                && before == Some(Kind::Plain)
                && plain(&session.truths[i - 1])
                && session.truths[i - 1].shortcut
                && session.presses[i - 1].code == session.presses[i].code;
            if again { Kind::Again } else { Kind::Plain }
        };
        kinds.push(kind);
    }
    kinds
}

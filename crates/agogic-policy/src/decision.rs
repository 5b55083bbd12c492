//! What a policy says: tap or hold, and when it knew.

use agogic_keys::Span;
use serde::{Deserialize, Serialize};

/// The role a press of a dual-role key is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// The key writes its letter.
    Tap,
    /// The key acts as its modifier.
    Hold,
}

/// A role and the time it was taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Decision {
    /// The role.
    pub role: Role,
    /// Time from the press to the decision. It may lie after the key's own release.
    pub after: Span,
}

impl Decision {
    /// A tap decided `after` the press.
    pub const fn tap(after: Span) -> Self {
        Self { role: Role::Tap, after }
    }

    /// A hold decided `after` the press.
    pub const fn hold(after: Span) -> Self {
        Self { role: Role::Hold, after }
    }

    /// Whether the role is [`Role::Hold`].
    pub fn is_hold(self) -> bool {
        self.role == Role::Hold
    }
}

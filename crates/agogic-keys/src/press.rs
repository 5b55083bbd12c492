//! What a keyboard sees of one key press, and, kept apart from it, what the typist meant.

use crate::{Code, Instant, ModifierSet, Span};

/// One key press as the keyboard sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Press {
    /// The key.
    pub code: Code,
    /// When it went down.
    pub down: Instant,
    /// When it came up again; later than `down`.
    pub up: Instant,
}

impl Press {
    /// Dwell: the time the key was down.
    pub fn dwell(&self) -> Span {
        self.up.since(self.down)
    }
}

/// What the typist meant by a press. Lies in an array parallel to the presses, so that whoever is given
/// the presses alone cannot see it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Truth {
    /// The press was meant as a hold.
    pub hold: bool,
    /// A hold meant without a target key, as for a mouse click.
    pub bare: bool,
    /// For a tap: the modifiers it was meant to carry.
    pub with: ModifierSet,
    /// The press does not belong to the prompted text but to an inserted shortcut.
    pub shortcut: bool,
}

//! What was typed, and what was meant.

use agogic_keys::{Press, Truth};

/// The key events of one typist, and what they meant.
#[derive(Clone, Debug, Default)]
pub struct Session {
    /// The presses, in order of `down`.
    pub presses: Vec<Press>,
    /// What each press was meant to be. Policies are never given this.
    pub truths: Vec<Truth>,
    /// Words begun; a word typed again after a correction counts once.
    pub words: u64,
    /// Characters of the text that were got through.
    pub characters: u64,
    /// Backspaces pressed to take characters back.
    pub corrections: u64,
    /// Slips that stayed in the text.
    pub uncorrected: u64,
    /// Slips made, noticed or not: substitutions, omissions, insertions, transpositions.
    pub slips: [u64; 4],
}

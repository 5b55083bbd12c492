//! Pieces: how one decision hangs on one threshold.

use agogic_keys::Span;

use crate::{Decision, Role};

/// When a decision falls, as a function of the threshold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TimeOf {
    /// At this time after the press, whatever the threshold.
    Fixed(Span),
    /// At the threshold, which is a time, and this much later.
    Threshold(Span),
}

/// A stretch of thresholds over which a decision keeps its role and its time is a step or a straight line.
///
/// # Definition
/// A list of pieces in order of `to` covers all thresholds: the first piece whose `to` is no less than the
/// threshold holds.
///
/// # Units
/// `to` counts the whole steps in which a threshold is kept; see [`Param::to_steps`](crate::Param::to_steps).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Piece {
    /// The largest threshold of the piece.
    pub to: i64,
    /// The role.
    pub role: Role,
    /// The time.
    pub after: TimeOf,
}

impl Piece {
    /// Up to the threshold `to` it is this decision.
    pub const fn until(to: i64, decision: Decision) -> Self {
        Self { to, role: decision.role, after: TimeOf::Fixed(decision.after) }
    }

    /// At all larger thresholds it is this decision.
    pub const fn rest(decision: Decision) -> Self {
        Self::until(i64::MAX, decision)
    }

    /// Up to the threshold `to`, a time in µs, it is a hold at the threshold plus `offset`.
    pub const fn hold_after_threshold(to: i64, offset: Span) -> Self {
        Self { to, role: Role::Hold, after: TimeOf::Threshold(offset) }
    }

    /// The decision at a threshold of this piece, given in steps.
    pub fn decision(&self, threshold: i64) -> Decision {
        let after = match self.after {
            TimeOf::Fixed(after) => after,
            TimeOf::Threshold(offset) => Span(threshold.max(0) as u64) + offset,
        };
        Decision { role: self.role, after }
    }

    /// The largest threshold of this piece at which the decision falls no later than `limit`; the smallest
    /// number there is when it always falls later.
    fn last_no_later_than(&self, limit: Span) -> i64 {
        let fits = match self.after {
            TimeOf::Fixed(after) if after <= limit => self.to,
            TimeOf::Fixed(_) => i64::MIN,
            TimeOf::Threshold(offset) => steps(limit).saturating_sub(steps(offset)),
        };
        fits.min(self.to)
    }
}

pub(super) fn steps(span: Span) -> i64 {
    span.0.min(i64::MAX as u64) as i64
}

/// Replaces each piece by what `change` makes of it: itself up to a threshold, and something else from there.
fn split(pieces: &mut Vec<Piece>, limit: Span, change: impl Fn(Piece, bool) -> Piece) {
    let mut at = 0;
    while at < pieces.len() {
        let piece = pieces[at];
        let before = at.checked_sub(1).map_or(i64::MIN, |before| pieces[before].to);
        let early = piece.last_no_later_than(limit);
        if early >= piece.to {
            pieces[at] = change(piece, true);
        } else if early > before {
            pieces[at] = change(Piece { to: early, ..piece }, true);
            pieces.insert(at + 1, change(piece, false));
            at += 1;
        } else {
            pieces[at] = change(piece, false);
        }
        at += 1;
    }
}

/// The guard `bare_hold` around the pieces of a rule.
pub(super) fn bare_hold(late: Option<Span>, dwell: Span, pieces: &mut Vec<Piece>) {
    let Some(late) = late.filter(|late| dwell >= *late) else { return };
    split(pieces, late, |piece, in_time| if in_time { piece } else { Piece::until(piece.to, Decision::hold(late)) });
}

/// The guard `dwell_floor` around pieces.
pub(super) fn dwell_floor(floor: Option<Span>, dwell: Span, pieces: &mut Vec<Piece>) {
    let Some(floor) = floor else { return };
    if dwell < floor {
        // Taps fall at fixed times in every rule that has pieces.
        for piece in pieces {
            let after = match (piece.role, piece.after) {
                (Role::Tap, TimeOf::Fixed(after)) => after.min(dwell),
                _ => dwell,
            };
            *piece = Piece::until(piece.to, Decision::tap(after));
        }
        return;
    }
    split(pieces, floor, |piece, early| {
        if early && piece.role == Role::Hold { Piece::until(piece.to, Decision::hold(floor)) } else { piece }
    });
}

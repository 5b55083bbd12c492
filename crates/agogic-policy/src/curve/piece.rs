//! Pieces: how one decision hangs on one threshold.

use agogic_keys::Span;

use crate::{Decision, Encounter, Guards, Role, Setting};

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
/// `to` counts the whole steps in which a threshold is kept; see [`Param::kept`](crate::Param::kept).
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

fn steps(span: Span) -> i64 {
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
fn bare_hold(late: Option<Span>, dwell: Span, pieces: &mut Vec<Piece>) {
    let Some(late) = late.filter(|late| dwell >= *late) else { return };
    split(pieces, late, |piece, in_time| if in_time { piece } else { Piece::until(piece.to, Decision::hold(late)) });
}

/// The guard `dwell_floor` around pieces.
fn dwell_floor(floor: Option<Span>, dwell: Span, pieces: &mut Vec<Piece>) {
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

impl Setting {
    /// How role and time of the decision hang on a threshold, the rest of the setting unchanged: pieces in
    /// order of the threshold, written over `pieces`.
    ///
    /// # Definition
    /// See [`Piece`]. `name` is any value of the rule, or a guard with a number.
    ///
    /// # Undefined
    /// `false` when there is no such threshold, and for `share` of `overlap-share`: its deadline moves with
    /// 1/share, in whole microseconds, which is neither a step nor a line.
    pub fn pieces(&self, name: &str, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) -> bool {
        pieces.clear();
        let guards = self.guards();
        let dwell = encounter.dwell;
        let seen = if guards.other_hand { &encounter.other_hand_only() } else { encounter };
        match name {
            "retap_ms" => {
                self.pieces_of_bar(Guards { retap: None, ..*guards }, encounter.since_same_key, encounter, pieces);
                return true;
            }
            "lull_ms" => {
                self.pieces_of_bar(Guards { lull: None, ..*guards }, encounter.lull, encounter, pieces);
                return true;
            }
            "bare_hold_ms" => {
                let decision = self.policy.decide(seen);
                // It must come before the decision and no later than the own release.
                let last = steps(decision.after).saturating_sub(1).min(steps(dwell));
                pieces.push(Piece::hold_after_threshold(last, Span::ZERO));
                pieces.push(Piece::rest(decision));
                dwell_floor(guards.dwell_floor, dwell, pieces);
            }
            "dwell_floor_ms" => {
                pieces.push(Piece::rest(self.policy.decide(seen)));
                bare_hold(guards.bare_hold, dwell, pieces);
                self.pieces_of_floor(dwell, pieces);
            }
            _ => {
                let known = self.entry().position(name).is_some_and(|at| self.policy.pieces(at, seen, pieces));
                if !known {
                    return false;
                }
                bare_hold(guards.bare_hold, dwell, pieces);
                dwell_floor(guards.dwell_floor, dwell, pieces);
            }
        }
        if guards.taps_at_once(encounter) {
            pieces.clear();
            pieces.push(Piece::rest(Decision::tap(Span::ZERO)));
        }
        true
    }

    /// A guard that bars a hold at the press, given the others and the time it looks at.
    fn pieces_of_bar(&self, others: Guards, time: Option<Span>, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) {
        let decision = others.around(encounter, |seen| self.policy.decide(seen));
        pieces.push(Piece::until(time.map_or(i64::MAX, steps), decision));
        pieces.push(Piece::rest(Decision::tap(Span::ZERO)));
    }

    /// The floor itself as the threshold, around the one decision in `pieces`.
    fn pieces_of_floor(&self, dwell: Span, pieces: &mut Vec<Piece>) {
        let decision = pieces.pop().expect("one decision").decision(0);
        if decision.is_hold() {
            pieces.push(Piece::until(steps(decision.after.min(dwell)), decision));
            pieces.push(Piece::hold_after_threshold(steps(dwell), Span::ZERO));
            pieces.push(Piece::rest(Decision::tap(dwell)));
        } else {
            pieces.push(Piece::until(steps(dwell), decision));
            pieces.push(Piece::rest(Decision::tap(decision.after.min(dwell))));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Hand, Instant};

    #[test]
    fn a_line_is_cut_where_a_guard_takes_over() {
        let guards = Guards { dwell_floor: Some(Span(80)), bare_hold: Some(Span(150)), ..Guards::default() };
        let setting = Setting::rule("dwell-cutoff", &[]).unwrap().with_guards(guards);
        let encounter = Encounter::new("KeyF".parse().unwrap(), Hand::Left, Instant(0), Span(200));
        let mut pieces = Vec::new();
        assert!(setting.pieces("cutoff_ms", &encounter, &mut pieces));
        let hold = |at| Decision::hold(Span(at));
        let expected = [
            Piece::until(80, hold(80)),
            Piece::hold_after_threshold(150, Span::ZERO),
            Piece::until(200, hold(150)),
            Piece::rest(hold(150)),
        ];
        assert_eq!(pieces, expected);
        assert_eq!(pieces[1].decision(90), hold(90));
    }

    #[test]
    fn a_share_has_no_pieces() {
        let setting = Setting::rule("overlap-share", &[]).unwrap();
        let encounter = Encounter::new("KeyF".parse().unwrap(), Hand::Left, Instant(0), Span(200));
        let mut pieces = vec![Piece::rest(Decision::tap(Span(1)))];
        assert!(!setting.pieces("share", &encounter, &mut pieces) && pieces.is_empty());
        assert!(!setting.pieces("no_such_ms", &encounter, &mut pieces));
        assert!(setting.pieces("lull_ms", &encounter, &mut pieces));
    }
}

//! The pieces of a setting: those of its rule, with its guards around.

use agogic_keys::Span;

use super::piece::{Piece, bare_hold, dwell_floor, steps};
use crate::{Decision, Encounter, Guards, Setting};

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

//! Two bounds and a threshold at the end: what every sequential rule does with its sums.

use std::ops::ControlFlow;

use agogic_keys::Span;

use crate::learned::{UNITS_PER_NAT, units};
use crate::{Decision, Encounter, Piece};

/// Positions of the values.
pub(super) const HOLD: usize = 0;
pub(super) const TAP: usize = 1;
pub(super) const END: usize = 2;

/// Bounds in 1/256 nat: hold from `hold` on, tap from `tap` down; at the end a hold from `end` on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bounds {
    pub hold: i32,
    pub tap: i32,
    pub end: i32,
}

impl Bounds {
    /// Bounds in nats; that of taps is given as what speaks against a hold.
    pub fn new(hold_nats: f64, tap_nats: f64, end_nats: f64) -> Self {
        Self { hold: units(hold_nats), tap: -units(tap_nats), end: units(end_nats) }
    }

    /// What the bounds say to a sum; the bound of holds is looked at first.
    #[inline]
    fn crossed(&self, sum: i32, after: Span) -> ControlFlow<Decision> {
        if sum >= self.hold {
            ControlFlow::Break(Decision::hold(after))
        } else if sum <= self.tap {
            ControlFlow::Break(Decision::tap(after))
        } else {
            ControlFlow::Continue(())
        }
    }

    fn at_the_end(&self, sum: i32, encounter: &Encounter<'_>) -> Decision {
        if sum >= self.end { Decision::hold(encounter.dwell) } else { Decision::tap(encounter.dwell) }
    }
}

/// A rule whose sum changes as events happen and time passes.
pub(super) trait Path {
    /// Visits the sum after each entry, with the time of it, until `visit` breaks; else gives the sum at the
    /// end.
    fn path<B>(&self, encounter: &Encounter<'_>, visit: impl FnMut(i32, Span) -> ControlFlow<B>)
    -> ControlFlow<B, i32>;

    fn bounds(&self) -> &Bounds;

    /// See [`Policy::decide`](crate::Policy::decide).
    #[inline]
    fn decided(&self, encounter: &Encounter<'_>) -> Decision {
        let bounds = self.bounds();
        match self.path(encounter, |sum, after| bounds.crossed(sum, after)) {
            ControlFlow::Break(decision) => decision,
            ControlFlow::Continue(sum) => bounds.at_the_end(sum, encounter),
        }
    }

    /// See [`Policy::critical_value`](crate::Policy::critical_value).
    fn critical(&self, param: usize, encounter: &Encounter<'_>) -> Option<f64> {
        let bounds = self.bounds();
        let nats = |sum: i32| f64::from(sum) / UNITS_PER_NAT;
        match param {
            HOLD => {
                // The highest sum up to where the other bound ends it.
                let mut highest = i32::MIN;
                let end = self.path(encounter, |sum, _| {
                    highest = highest.max(sum);
                    if sum <= bounds.tap { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
                });
                match end {
                    ControlFlow::Continue(sum) if sum >= bounds.end => Some(f64::INFINITY),
                    _ => Some(nats(highest)),
                }
            }
            END => Some(match self.path(encounter, |sum, after| bounds.crossed(sum, after)) {
                ControlFlow::Break(decision) if decision.is_hold() => f64::INFINITY,
                ControlFlow::Break(_) => f64::NEG_INFINITY,
                ControlFlow::Continue(sum) => nats(sum),
            }),
            _ => None,
        }
    }

    /// See [`Policy::undecided_value`](crate::Policy::undecided_value).
    fn undecided(&self, param: usize, encounter: &Encounter<'_>, at: Span) -> f64 {
        let bounds = self.bounds();
        // With either value the press can only be decided before its end if a bound that is not asked about
        // is crossed by then; else it is undecided, or a hold already.
        let crossed = self.path(encounter, |sum, after| {
            let ends = sum <= bounds.tap || (param == END && sum >= bounds.hold);
            if after > at {
                ControlFlow::Break(false)
            } else if ends {
                ControlFlow::Break(true)
            } else {
                ControlFlow::Continue(())
            }
        });
        let settled = matches!(crossed, ControlFlow::Break(true));
        if encounter.dwell > at && !settled { f64::INFINITY } else { f64::NEG_INFINITY }
    }

    /// See [`Policy::pieces`](crate::Policy::pieces).
    fn pieces_of(&self, param: usize, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) {
        match param {
            HOLD => self.hold_pieces(encounter, pieces),
            TAP => self.tap_pieces(encounter, pieces),
            _ => self.end_pieces(encounter, pieces),
        }
    }

    fn hold_pieces(&self, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) {
        let bounds = self.bounds();
        let mut highest = i32::MIN;
        let end = self.path(encounter, |sum, after| {
            if sum > highest {
                highest = sum;
                pieces.push(Piece::until(i64::from(sum), Decision::hold(after)));
            }
            if sum <= bounds.tap { ControlFlow::Break(Decision::tap(after)) } else { ControlFlow::Continue(()) }
        });
        pieces.push(Piece::rest(match end {
            ControlFlow::Break(tap) => tap,
            ControlFlow::Continue(sum) => bounds.at_the_end(sum, encounter),
        }));
    }

    fn tap_pieces(&self, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) {
        let bounds = self.bounds();
        let mut lowest = i32::MAX;
        let end = self.path(encounter, |sum, after| {
            if sum >= bounds.hold {
                return ControlFlow::Break(Decision::hold(after));
            }
            if sum < lowest {
                lowest = sum;
                pieces.push(Piece::until(-i64::from(sum), Decision::tap(after)));
            }
            ControlFlow::Continue(())
        });
        pieces.push(Piece::rest(match end {
            ControlFlow::Break(hold) => hold,
            ControlFlow::Continue(sum) => bounds.at_the_end(sum, encounter),
        }));
    }

    fn end_pieces(&self, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) {
        let bounds = self.bounds();
        match self.path(encounter, |sum, after| bounds.crossed(sum, after)) {
            ControlFlow::Break(decision) => pieces.push(Piece::rest(decision)),
            ControlFlow::Continue(sum) => {
                pieces.push(Piece::until(i64::from(sum), Decision::hold(encounter.dwell)));
                pieces.push(Piece::rest(Decision::tap(encounter.dwell)));
            }
        }
    }
}

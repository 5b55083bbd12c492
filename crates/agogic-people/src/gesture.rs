//! A hold of Shift, as its times tell.

use agogic_keys::{Hand, Press};

use crate::meant::targets;

/// One press of Shift with at least one target.
///
/// # Units
/// Milliseconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gesture {
    /// Press of Shift to press of the first target.
    pub lead_ms: f64,
    /// Press of the last target to release of Shift.
    pub release_ms: f64,
    /// Release of the last target to release of Shift; negative where Shift comes up first.
    pub tail_ms: f64,
    /// Dwell of Shift.
    pub dwell_ms: f64,
    /// The press before to the press of Shift; `None` for the first press of a run.
    pub lull_ms: Option<f64>,
    /// Whether Shift and the first target lie under one hand; `None` where the log does not tell.
    pub near: Option<bool>,
    /// Whether the left hand holds; `None` where the log does not tell.
    pub left: Option<bool>,
}

impl Gesture {
    /// The gesture of the press at `at`; `None` without a target.
    pub(crate) fn of(run: &[Press], at: usize, hand: &impl Fn(agogic_keys::Code) -> Hand) -> Option<Self> {
        let first = targets(run, at).next()?;
        let last = targets(run, at).last()?;
        let (shift, target) = (&run[at], &run[last]);
        let ms = |us: i64| us as f64 / 1e3;
        let own = hand(shift.code);
        let known = matches!(own, Hand::Left | Hand::Right);
        let of_target = hand(run[first].code);
        Some(Self {
            lead_ms: run[first].down.since(shift.down).ms(),
            release_ms: ms(shift.up.signed_since(target.down)),
            tail_ms: ms(shift.up.signed_since(target.up)),
            dwell_ms: shift.dwell().ms(),
            lull_ms: at.checked_sub(1).map(|before| shift.down.since(run[before].down).ms()),
            near: (known && matches!(of_target, Hand::Left | Hand::Right)).then_some(own == of_target),
            left: known.then_some(own == Hand::Left),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::press;
    use agogic_keys::Board;

    #[test]
    fn times_by_hand() {
        let board = Board::row_staggered();
        let run =
            [press("KeyE", 0, 90), press("ShiftLeft", 300, 640), press("KeyU", 450, 540), press("KeyS", 600, 700)];
        let hand = |code| board.place(code).map_or(Hand::Either, |place| place.hand);
        let found = Gesture::of(&run, 1, &hand).unwrap();
        let wanted = Gesture {
            lead_ms: 150.0,
            release_ms: 40.0,
            tail_ms: -60.0,
            dwell_ms: 340.0,
            lull_ms: Some(300.0),
            near: Some(false),
            left: Some(true),
        };
        assert_eq!(found, wanted);
        assert_eq!(Gesture::of(&run, 1, &|_| Hand::Either).map(|g| (g.near, g.left)), Some((None, None)));
    }
}

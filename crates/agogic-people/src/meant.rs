//! What a press of ordinary typing stands for.

use agogic_keys::{Code, Modifier, Press};

/// What a press of ordinary typing stands for.
///
/// # Definition
/// A press of Shift during which a key that writes goes down stands for a hold, and the first such key is its first
/// target. A press of one of the eight resting keys stands for a tap. Other presses stand for nothing: they are
/// seen as neighbours only.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meant {
    /// A tap.
    Tap,
    /// A hold.
    Hold,
}

/// What each press of a run stands for.
pub fn meant(run: &[Press]) -> Vec<Option<Meant>> {
    let of = |(at, press): (usize, &Press)| {
        if is_shift(press.code) {
            targets(run, at).next().map(|_| Meant::Hold)
        } else {
            press.code.is_resting().then_some(Meant::Tap)
        }
    };
    run.iter().enumerate().map(of).collect()
}

/// Whether a key can stand for a dual-role key: Shift, and the eight resting keys.
pub fn is_dual(code: Code) -> bool {
    is_shift(code) || code.is_resting()
}

fn is_shift(code: Code) -> bool {
    code.dedicated_modifier() == Some(Modifier::Shift)
}

/// The places of the keys that write and go down while the press at `at` is down.
pub(crate) fn targets(run: &[Press], at: usize) -> impl Iterator<Item = usize> + '_ {
    let up = run[at].up;
    let inside = (at + 1..run.len()).take_while(move |&later| run[later].down < up);
    inside.filter(|&later| run[later].code.character(false).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::press;

    #[test]
    fn a_shift_without_a_target_stands_for_nothing() {
        let run = [
            press("ShiftLeft", 0, 100),
            press("ControlLeft", 50, 90),
            press("ShiftRight", 200, 300),
            press("KeyQ", 250, 400),
            press("Semicolon", 500, 600),
            // At the very instant of the release the key is no longer under the Shift.
            press("ShiftLeft", 700, 800),
            press("KeyF", 800, 900),
        ];
        let [none, tap, hold] = [None, Some(Meant::Tap), Some(Meant::Hold)];
        assert_eq!(meant(&run), [none, none, hold, none, tap, none, tap]);
    }
}

//! Our own costs of wrong outcomes. Every number is assumed.
//!
//! We found no published times for mending these mistakes, so each row carries a range and the reason for
//! it, and a study can be run at either end. A correction is thought of as: notice it, go back, put it
//! right, find the place again. The commands are those common on today's desktops; they differ between
//! programs, which is why the ranges are wide.

use agogic_keys::Modifier::{self, Alt, Control, Layer, Meta, Shift};

use crate::kinds::Outcome::{self, FalseHold, LostChord, MissedHold, StrayChord};

/// An assumed cost, in seconds of repair.
pub(crate) struct AssumedCost {
    pub(crate) outcome: Outcome,
    pub(crate) modifier: Modifier,
    pub(crate) key: Option<&'static str>,
    pub(crate) seconds: f64,
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) because: &'static str,
}

const fn every(
    outcome: Outcome,
    modifier: Modifier,
    [seconds, low, high]: [f64; 3],
    because: &'static str,
) -> AssumedCost {
    AssumedCost { outcome, modifier, key: None, seconds, low, high, because }
}

const fn one(
    outcome: Outcome,
    modifier: Modifier,
    key: &'static str,
    [seconds, low, high]: [f64; 3],
    because: &'static str,
) -> AssumedCost {
    AssumedCost { outcome, modifier, key: Some(key), seconds, low, high, because }
}

const LETTER_LOST: &str = "a letter is missing: notice it, go back, write it";
const LETTER_WRITTEN: &str = "a letter too many: delete it";
const COMMAND_LOST: &str = "a letter is written where a command was meant: delete it, give the command again";

/// The rows: seconds, low end, high end.
pub(crate) const ASSUMED: &[AssumedCost] = &[
    every(FalseHold, Shift, [1.5, 0.8, 3.0], LETTER_LOST),
    every(FalseHold, Control, [1.5, 0.8, 3.0], LETTER_LOST),
    every(FalseHold, Alt, [2.0, 0.8, 5.0], "a letter is missing, and Alt alone can move the focus to a menu"),
    every(FalseHold, Meta, [2.5, 0.8, 8.0], "a letter is missing, and Meta alone can open a launcher"),
    every(FalseHold, Layer, [1.5, 0.8, 3.0], LETTER_LOST),
    every(MissedHold, Shift, [1.0, 0.4, 2.5], LETTER_WRITTEN),
    every(MissedHold, Control, [1.0, 0.4, 2.5], LETTER_WRITTEN),
    every(MissedHold, Alt, [1.0, 0.4, 2.5], LETTER_WRITTEN),
    every(MissedHold, Meta, [1.0, 0.4, 2.5], LETTER_WRITTEN),
    every(MissedHold, Layer, [1.0, 0.4, 2.5], LETTER_WRITTEN),
    every(StrayChord, Shift, [1.0, 0.3, 2.0], "a capital where none was meant; often left standing"),
    every(StrayChord, Control, [4.0, 1.0, 15.0], "some command ran: find out which and undo it"),
    one(StrayChord, Control, "KeyW", [30.0, 5.0, 300.0], "closes a page or document: open it, find the place again"),
    one(StrayChord, Control, "KeyQ", [60.0, 5.0, 600.0], "ends a program: start it, restore what was open"),
    one(StrayChord, Control, "F4", [30.0, 5.0, 300.0], "closes a page or document: open it, find the place again"),
    one(StrayChord, Control, "KeyA", [10.0, 1.0, 60.0], "selects everything, and the next letter replaces it: undo"),
    one(StrayChord, Control, "KeyX", [3.0, 0.5, 20.0], "cuts, or overwrites what was copied"),
    one(StrayChord, Control, "KeyC", [1.5, 0.0, 20.0], "harmless, unless it overwrites what was copied"),
    one(StrayChord, Control, "KeyV", [3.0, 1.0, 10.0], "pastes something: undo it"),
    one(StrayChord, Control, "KeyZ", [3.0, 1.0, 20.0], "takes back the last words: restore them"),
    one(StrayChord, Control, "KeyS", [1.0, 0.0, 10.0], "saves; mostly harmless, sometimes a dialogue"),
    one(StrayChord, Control, "KeyR", [10.0, 1.0, 120.0], "loads a page anew: what was filled in can be gone"),
    one(StrayChord, Control, "Enter", [15.0, 1.0, 300.0], "sends an unfinished message: send another to explain"),
    one(StrayChord, Control, "Backspace", [3.0, 1.0, 10.0], "deletes a word: write it again"),
    every(StrayChord, Alt, [4.0, 1.0, 15.0], "a menu or command: leave it"),
    one(StrayChord, Alt, "F4", [60.0, 5.0, 600.0], "closes a window: open it, restore what was in it"),
    one(StrayChord, Alt, "Tab", [3.0, 1.0, 10.0], "another window is in front, and may have got the next letters"),
    one(StrayChord, Alt, "ArrowLeft", [8.0, 1.0, 60.0], "goes back a page: what was filled in can be gone"),
    every(StrayChord, Meta, [5.0, 1.0, 20.0], "the system takes over: a launcher, a search, another window"),
    one(StrayChord, Meta, "KeyL", [8.0, 3.0, 20.0], "locks the session: give the password"),
    one(StrayChord, Meta, "KeyQ", [30.0, 3.0, 600.0], "ends a program on some systems"),
    one(StrayChord, Meta, "KeyW", [20.0, 3.0, 300.0], "closes a page or document on some systems"),
    every(StrayChord, Layer, [1.5, 0.5, 5.0], "another character or a caret movement: put it right"),
    every(LostChord, Shift, [1.0, 0.3, 2.0], "a small letter or lower sign: delete it, write it again"),
    every(LostChord, Control, [3.0, 1.0, 8.0], COMMAND_LOST),
    one(LostChord, Control, "KeyC", [6.0, 1.0, 30.0], "the letter replaces the selection that was to be copied: undo"),
    one(LostChord, Control, "KeyX", [6.0, 1.0, 30.0], "the letter replaces the selection that was to be cut: undo"),
    every(LostChord, Alt, [3.0, 1.0, 8.0], COMMAND_LOST),
    every(LostChord, Meta, [3.0, 1.0, 8.0], COMMAND_LOST),
    every(LostChord, Layer, [2.0, 0.5, 5.0], "a plain letter in place of another character: delete it, write it again"),
];

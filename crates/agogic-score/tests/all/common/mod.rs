//! Random sessions: presses, what they meant, and any decisions at all.
//!
//! Times are small whole numbers, so that equal instants, several undecided keys at once and decisions long
//! after the release are common.

use agogic_keys::{Assignment, Board, Code, Instant, Modifier, ModifierSet, Press, Span, Truth};
use agogic_policy::{Decision, Role};
use agogic_score::{Decided, Emulator};
use proptest::collection::vec;
use proptest::prelude::*;

/// A session with a decision on each dual-role press.
#[derive(Clone, Debug)]
pub struct Session {
    pub presses: Vec<Press>,
    pub truths: Vec<Truth>,
    pub decided: Vec<Decided>,
}

const DUAL: [(&str, Modifier); 6] = [
    ("KeyF", Modifier::Shift),
    ("KeyD", Modifier::Control),
    ("KeyS", Modifier::Alt),
    ("KeyA", Modifier::Meta),
    ("Space", Modifier::Layer),
    ("KeyJ", Modifier::Shift),
];

const OTHER: [&str; 8] = ["KeyE", "KeyI", "KeyW", "Enter", "Backspace", "Escape", "ShiftLeft", "ControlRight"];

pub fn emulator() -> Emulator {
    let board = Board::row_staggered();
    let mut assignment = Assignment::none();
    for (name, modifier) in DUAL {
        assignment.assign(&board, name.parse().unwrap(), modifier).unwrap();
    }
    Emulator::new(&assignment)
}

prop_compose! {
    fn modifiers()(bits in vec(proptest::bool::weighted(0.15), 5)) -> ModifierSet {
        let wanted = Modifier::ALL.into_iter().zip(bits).filter(|(_, wanted)| *wanted);
        wanted.fold(ModifierSet::NONE, |set, (modifier, _)| set.with(modifier))
    }
}

prop_compose! {
    /// Up to `longest` presses.
    pub fn session(longest: usize)(
        drawn in vec(
            (0..DUAL.len() + OTHER.len(), 0_u64..30, 1_u64..120, any::<(bool, bool)>(), modifiers(), 0_u64..200),
            0..=longest,
        )
    ) -> Session {
        let emulator = emulator();
        let mut session = Session { presses: Vec::new(), truths: Vec::new(), decided: Vec::new() };
        let mut down = 0;
        for (key, gap, dwell, (meant, hold), with, after) in drawn {
            let name = DUAL.get(key).map_or_else(|| OTHER[key - DUAL.len()], |(name, _)| name);
            let code: Code = name.parse().unwrap();
            down += gap;
            let press = session.presses.len();
            session.presses.push(Press { code, down: Instant(down), up: Instant(down + dwell) });
            let dual = emulator.held_role(code).is_some();
            session.truths.push(Truth { hold: dual && meant, with, ..Truth::default() });
            if dual {
                let role = if hold { Role::Hold } else { Role::Tap };
                session.decided.push(Decided { press, decision: Decision { role, after: Span(after) } });
            }
        }
        session
    }
}

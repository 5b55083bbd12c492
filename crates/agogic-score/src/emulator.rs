//! What the host sees: keys in the order they were pressed, with the modifiers that decisions gave them.

use agogic_keys::{Assignment, Code, Instant, Modifier, ModifierSet, Press, Span};
use agogic_policy::Decision;

/// A decision and the press it belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Decided {
    /// Index of the press in the session.
    pub press: usize,
    /// What the policy said.
    pub decision: Decision,
}

/// One key as it reaches the host.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HostKey {
    /// Index of the press it comes from.
    pub press: usize,
    /// The key.
    pub code: Code,
    /// The modifiers it carries.
    pub with: ModifierSet,
    /// When the host receives it.
    pub at: Instant,
    /// How long after the press that is.
    pub delay: Span,
}

impl HostKey {
    /// The character the host would show: none for a chord or a key that writes nothing.
    pub fn character(&self) -> Option<char> {
        let shift = ModifierSet::NONE.with(Modifier::Shift);
        if self.with.minus(shift).is_empty() { self.code.character(self.with.has(Modifier::Shift)) } else { None }
    }
}

/// Rebuilds the host's view from presses and decisions.
///
/// # Definition
/// Keys reach the host in the order they were pressed. A dual-role press reaches it when it is decided; a
/// press that follows an undecided one waits for it. A press carries the modifiers of every key that acts
/// as a modifier and was down at its instant: dedicated modifier keys, and dual-role keys decided as holds.
/// So no key is lost and none overtakes another, whatever a policy says.
#[derive(Clone, Debug)]
pub struct Emulator {
    dual: [Option<Modifier>; Code::COUNT],
    dedicated: [Option<Modifier>; Code::COUNT],
}

impl Emulator {
    /// An emulator for an assignment.
    pub fn new(assignment: &Assignment) -> Self {
        let table = |of: &dyn Fn(Code) -> Option<Modifier>| std::array::from_fn(|i| Code::from_index(i).and_then(of));
        Self { dual: table(&|code| assignment.modifier(code)), dedicated: table(&Code::dedicated_modifier) }
    }

    /// The held role of `code`, if it is a dual-role key.
    #[inline]
    pub fn held_role(&self, code: Code) -> Option<Modifier> {
        self.dual[code.index()]
    }

    /// Calls `visit` for every key that reaches the host, in order.
    ///
    /// `decided` holds one decision per dual-role press, in order of press.
    ///
    /// # Panics
    /// If a dual-role press has no decision: the caller forgot one.
    pub fn each(&self, presses: &[Press], decided: &[Decided], mut visit: impl FnMut(&HostKey)) {
        let mut decisions = decided.iter();
        let mut acting: Vec<(Instant, Modifier)> = Vec::new();
        let mut latest = Instant::ZERO;
        for (i, press) in presses.iter().enumerate() {
            acting.retain(|(up, _)| *up > press.down);
            let mut own = press.down;
            let mut modifier = self.dedicated[press.code.index()];
            if let Some(held) = self.held_role(press.code) {
                let Decided { press: at, decision } = decisions.next().expect("one decision per dual-role press");
                assert_eq!(*at, i, "decisions follow the order of presses");
                own = press.down + decision.after;
                modifier = decision.is_hold().then_some(held);
            }
            latest = latest.max(own);
            match modifier {
                Some(modifier) => acting.push((press.up, modifier)),
                None => visit(&HostKey {
                    press: i,
                    code: press.code,
                    with: acting.iter().fold(ModifierSet::NONE, |set, (_, m)| set.with(*m)),
                    at: latest,
                    delay: latest.since(press.down),
                }),
            }
        }
    }

    /// The text the host would show. Chords stand in brackets, such as `⟨Control+e⟩`.
    pub fn text(&self, presses: &[Press], decided: &[Decided]) -> String {
        let mut text = String::new();
        self.each(presses, decided, |key| match key.character() {
            Some(c) => text.push(c),
            None if key.with.is_empty() => text.push_str(&format!("⟨{}⟩", key.code)),
            None => {
                let plain = key.code.character(false).map_or(key.code.to_string(), String::from);
                text.push_str(&format!("⟨{}+{plain}⟩", key.with));
            }
        });
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::Board;

    fn press(name: &str, down: u64, up: u64) -> Press {
        Press { code: name.parse().unwrap(), down: Instant(down), up: Instant(up) }
    }

    fn emulator() -> Emulator {
        let board = Board::row_staggered();
        let mut assignment = Assignment::none();
        assignment.assign(&board, "KeyF".parse().unwrap(), Modifier::Shift).unwrap();
        assignment.assign(&board, "KeyD".parse().unwrap(), Modifier::Control).unwrap();
        Emulator::new(&assignment)
    }

    fn decide(press: usize, decision: Decision) -> Decided {
        Decided { press, decision }
    }

    #[test]
    fn order_is_kept_and_later_keys_wait() {
        let presses = [press("KeyF", 0, 120), press("KeyE", 50, 200), press("KeyR", 150, 300)];
        let mut seen = Vec::new();
        emulator().each(&presses, &[decide(0, Decision::tap(Span(120)))], |key| {
            seen.push((key.code.name(), key.at.0, key.delay.0));
        });
        assert_eq!(seen, [("KeyF", 120, 120), ("KeyE", 120, 70), ("KeyR", 150, 0)]);
    }

    #[test]
    fn a_hold_colours_the_keys_pressed_inside_it_and_no_others() {
        let presses = [press("KeyF", 0, 120), press("KeyE", 50, 200), press("KeyR", 120, 300)];
        let text = emulator().text(&presses, &[decide(0, Decision::hold(Span(60)))]);
        assert_eq!(text, "Er");
    }

    #[test]
    fn holds_add_up_and_chords_are_shown() {
        let presses = [press("KeyF", 0, 900), press("KeyD", 100, 800), press("KeyE", 200, 300)];
        let both = [decide(0, Decision::hold(Span(60))), decide(1, Decision::hold(Span(60)))];
        assert_eq!(emulator().text(&presses, &both), "⟨Shift+Control+e⟩");
        let presses = [press("ShiftLeft", 0, 90), press("KeyE", 10, 60), press("Escape", 95, 99)];
        assert_eq!(emulator().text(&presses, &[]), "E⟨Escape⟩");
    }
}

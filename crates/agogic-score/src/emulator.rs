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

/// What one press becomes at the host.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arrival {
    /// A key: a character, a chord or a key that writes nothing.
    Key(HostKey),
    /// A modifier that acts on the keys pressed while it is down.
    Modifier {
        /// Index of the press it comes from.
        press: usize,
        /// The modifier.
        modifier: Modifier,
        /// When the host learns of it.
        at: Instant,
    },
}

/// Rebuilds the host's view from presses and decisions.
///
/// # Definition
/// Keys reach the host in the order they were pressed. A dual-role press reaches it when it is decided; a
/// press that follows an undecided one waits for it. A press carries the modifiers of every key that acts
/// as a modifier and was down at its instant: dedicated modifier keys, and dual-role keys decided as holds.
/// So no key is lost and none overtakes another, whatever a policy says.
///
/// # Ties
/// At equal instants releases come before presses: a key pressed at the instant a modifier comes up does
/// not carry it. Presses of one instant follow one another in the order of the session.
#[derive(Clone, Debug)]
pub struct Emulator {
    dual: [Option<Modifier>; Code::COUNT],
    dedicated: [Option<Modifier>; Code::COUNT],
}

/// The host's side of a session, press by press.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Host {
    /// When the last key that acts as this modifier comes up. Presses come in order, so a modifier acts at
    /// an instant exactly when this lies after it.
    until: [Instant; Modifier::ALL.len()],
    /// The latest of `until`: most keys meet no modifier, and one comparison shows it.
    any_until: Instant,
    latest: Instant,
}

impl Default for Host {
    fn default() -> Self {
        Self::new()
    }
}

impl Host {
    pub(crate) fn new() -> Self {
        Self { until: [Instant::ZERO; Modifier::ALL.len()], any_until: Instant::ZERO, latest: Instant::ZERO }
    }

    /// The next press of the session arrives, with its decision if it has two roles.
    #[inline]
    pub(crate) fn take(
        &mut self,
        emulator: &Emulator,
        index: usize,
        press: &Press,
        decision: Option<Decision>,
    ) -> Arrival {
        let (own, modifier) = match decision {
            None => (press.down, emulator.dedicated[press.code.index()]),
            Some(decision) => {
                let held = emulator.held_role(press.code).filter(|_| decision.is_hold());
                (press.down + decision.after, held)
            }
        };
        self.latest = self.latest.max(own);
        let at = self.latest;
        if let Some(modifier) = modifier {
            let until = &mut self.until[modifier as usize];
            *until = press.up.max(*until);
            self.any_until = press.up.max(self.any_until);
            return Arrival::Modifier { press: index, modifier, at };
        }
        let with = if self.any_until > press.down { self.acting(press.down) } else { ModifierSet::NONE };
        Arrival::Key(HostKey { press: index, code: press.code, with, at, delay: at.since(press.down) })
    }

    /// Whether any modifier acts on a key pressed at this instant.
    #[inline]
    pub(crate) fn acts_at(&self, instant: Instant) -> bool {
        self.any_until > instant
    }

    /// A key that no modifier acts on arrives, decided `after` its press; gives its delay.
    #[inline]
    pub(crate) fn tap(&mut self, down: Instant, after: Span) -> Span {
        self.latest = self.latest.max(down + after);
        self.latest.since(down)
    }

    fn acting(&self, instant: Instant) -> ModifierSet {
        let acting = Modifier::ALL.into_iter().filter(|m| self.until[*m as usize] > instant);
        acting.fold(ModifierSet::NONE, ModifierSet::with)
    }
}

/// Deals out the decisions of a session to its dual-role presses.
pub(crate) struct Decisions<'a> {
    rest: std::slice::Iter<'a, Decided>,
}

impl<'a> Decisions<'a> {
    pub(crate) fn new(decided: &'a [Decided]) -> Self {
        Self { rest: decided.iter() }
    }

    /// The decision on the press at `index`; `None` for a key with one role.
    #[inline]
    pub(crate) fn of(&mut self, emulator: &Emulator, index: usize, press: &Press) -> Option<Decision> {
        emulator.held_role(press.code)?;
        let Decided { press: at, decision } = self.rest.next().expect("one decision per dual-role press");
        assert_eq!(*at, index, "decisions follow the order of presses");
        Some(*decision)
    }

    /// Makes sure that none is left over.
    pub(crate) fn finish(mut self) {
        assert!(self.rest.next().is_none(), "no decision without a dual-role press");
    }
}

impl Emulator {
    /// An emulator for an assignment.
    pub fn new(assignment: &Assignment) -> Self {
        let table = |of: &dyn Fn(Code) -> Option<Modifier>| std::array::from_fn(|i| Code::from_index(i).and_then(of));
        Self { dual: table(&|code| assignment.modifier(code)), dedicated: table(&|code| assignment.dedicated(code)) }
    }

    /// The held role of `code`, if it is a dual-role key.
    #[inline]
    pub fn held_role(&self, code: Code) -> Option<Modifier> {
        self.dual[code.index()]
    }

    /// The modifier that `code` always gives, as [`Assignment::dedicated`], from a table.
    #[inline]
    pub(crate) fn dedicated_role(&self, code: Code) -> Option<Modifier> {
        self.dedicated[code.index()]
    }

    /// Calls `visit` for every press as it reaches the host, in order: once for each.
    ///
    /// `decided` holds one decision per dual-role press, in order of press.
    ///
    /// # Panics
    /// If a dual-role press has no decision, or a decision no such press: the caller mixed up sessions.
    pub fn arrivals(&self, presses: &[Press], decided: &[Decided], mut visit: impl FnMut(&Arrival)) {
        let mut host = Host::new();
        let mut decisions = Decisions::new(decided);
        for (i, press) in presses.iter().enumerate() {
            let decision = decisions.of(self, i, press);
            visit(&host.take(self, i, press, decision));
        }
        decisions.finish();
    }

    /// Calls `visit` for every key that reaches the host, in order; modifiers show in the keys they act on.
    ///
    /// `decided` holds one decision per dual-role press, in order of press.
    ///
    /// # Panics
    /// If a dual-role press has no decision, or a decision no such press: the caller mixed up sessions.
    pub fn each(&self, presses: &[Press], decided: &[Decided], mut visit: impl FnMut(&HostKey)) {
        self.arrivals(presses, decided, |arrival| {
            if let Arrival::Key(key) = arrival {
                visit(key);
            }
        });
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

    #[test]
    fn a_hold_without_targets_writes_nothing() {
        let presses = [press("KeyF", 0, 900), press("KeyE", 950, 1000)];
        let bare = [decide(0, Decision::hold(Span(200)))];
        assert_eq!(emulator().text(&presses, &bare), "e");
        let mut seen = Vec::new();
        emulator().arrivals(&presses, &bare, |arrival| seen.push(*arrival));
        assert_eq!(seen[0], Arrival::Modifier { press: 0, modifier: Modifier::Shift, at: Instant(200) });
        assert_eq!(seen.len(), 2);
    }

    #[test]
    fn a_hold_decided_after_its_release_still_colours_what_fell_inside() {
        let presses = [press("KeyF", 0, 100), press("KeyE", 50, 80), press("KeyR", 150, 190)];
        let late = [decide(0, Decision::hold(Span(300)))];
        let mut seen = Vec::new();
        emulator().each(&presses, &late, |key| seen.push((key.code.name(), !key.with.is_empty(), key.at.0)));
        assert_eq!(seen, [("KeyE", true, 300), ("KeyR", false, 300)]);
    }

    #[test]
    #[should_panic(expected = "one decision per dual-role press")]
    fn a_forgotten_decision_is_our_mistake() {
        emulator().each(&[press("KeyF", 0, 100)], &[], |_| {});
    }

    #[test]
    #[should_panic(expected = "no decision without a dual-role press")]
    fn a_decision_too_many_is_our_mistake() {
        emulator().each(&[press("KeyE", 0, 100)], &[decide(0, Decision::tap(Span(9)))], |_| {});
    }
}

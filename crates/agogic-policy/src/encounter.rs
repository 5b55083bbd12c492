//! One press of a dual-role key with all that can bear on it.

use agogic_keys::{Code, Hand, Instant, Press, Span};

/// Another key's press near a dual-role press.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Contact {
    /// The other key.
    pub code: Code,
    /// Its hand.
    pub hand: Hand,
    /// When it went down, in µs after the dual-role press; negative if it was down already.
    pub down: i64,
    /// When it came up, in µs after the dual-role press.
    pub up: i64,
}

/// One press of a dual-role key: its lull, its dwell, and the other keys that were down with it.
///
/// # Ties
/// Defined once, here. At equal instants releases of other keys come first, then the dual-role key's own
/// release, then presses, those of the opposite hand before the others, and among these in the order of the table
/// of codes; a deadline comes after all events of its instant, so a policy has seen them. A value that equals a
/// threshold has reached it.
///
/// # Causality
/// The encounter carries the whole story, also what happens after the decision. A policy may use an event
/// only for a decision taken at or after it; the conformance tests change the future of every decision and
/// require that the decision stays.
#[derive(Clone, Copy, Debug)]
pub struct Encounter<'a> {
    /// The dual-role key.
    pub code: Code,
    /// Its hand.
    pub hand: Hand,
    /// When it went down.
    pub press: Instant,
    /// How long it was down.
    pub dwell: Span,
    /// Time since the previous press of any key; `None` for the first press of a session.
    pub lull: Option<Span>,
    /// Time since the same key was last released; `None` when the session has not seen it before.
    pub since_same_key: Option<Span>,
    /// The key of the press before; `None` for the first press of a session, or where it is not told.
    pub previous: Option<Code>,
    carried: &'a [Contact],
    contacts: &'a [Contact],
    other_hand_only: bool,
}

impl<'a> Encounter<'a> {
    /// An encounter without other keys and without a press before it.
    pub fn new(code: Code, hand: Hand, press: Instant, dwell: Span) -> Self {
        Self {
            code,
            hand,
            press,
            dwell,
            lull: None,
            since_same_key: None,
            previous: None,
            carried: &[],
            contacts: &[],
            other_hand_only: false,
        }
    }

    /// The same encounter with the presses that fell while the key was down, in order.
    pub fn with_contacts(mut self, contacts: &'a [Contact]) -> Self {
        self.contacts = contacts;
        self
    }

    /// The same encounter with the keys that were still down when it began.
    pub fn with_carried(mut self, carried: &'a [Contact]) -> Self {
        self.carried = carried;
        self
    }

    /// The same encounter with a press before it.
    pub fn with_lull(mut self, lull: Span) -> Self {
        self.lull = Some(lull);
        self
    }

    /// The same encounter with an earlier press of the same key, released `since` before this one.
    pub fn with_since_same_key(mut self, since: Span) -> Self {
        self.since_same_key = Some(since);
        self
    }

    /// The same encounter with the key of the press before it.
    pub fn with_previous(mut self, previous: Code) -> Self {
        self.previous = Some(previous);
        self
    }

    /// The same encounter, showing only keys of the opposite hand; the press before it stays told.
    pub fn other_hand_only(mut self) -> Self {
        self.other_hand_only = true;
        self
    }

    /// The same encounter as if no other key had been near.
    pub fn without_contacts(&self) -> Encounter<'static> {
        Encounter { carried: &[], contacts: &[], ..*self }
    }

    /// The keys pressed while this one was down, in order of press.
    #[inline]
    pub fn contacts(&self) -> impl Iterator<Item = &'a Contact> + use<'a> {
        let (only, hand) = (self.other_hand_only, self.hand);
        self.contacts.iter().filter(move |contact| !only || contact.hand.opposite_to(hand))
    }

    /// The keys that were down already when this one was pressed, in order of press.
    #[inline]
    pub fn carried(&self) -> impl Iterator<Item = &'a Contact> + use<'a> {
        let (only, hand) = (self.other_hand_only, self.hand);
        self.carried.iter().filter(move |contact| !only || contact.hand.opposite_to(hand))
    }

    /// Own release in µs after the press, on the scale of [`Contact::up`].
    #[inline]
    pub fn release(&self) -> i64 {
        self.dwell.0.min(i64::MAX as u64) as i64
    }
}

/// Walks a session's presses and shows each press of a dual-role key as an [`Encounter`].
///
/// Buffers are reused: a scan allocates only while they grow.
#[derive(Debug)]
pub struct EncounterScan {
    released: [Option<Instant>; Code::COUNT],
    down: Vec<usize>,
    carried: Vec<Contact>,
    contacts: Vec<Contact>,
}

impl Default for EncounterScan {
    fn default() -> Self {
        Self { released: [None; Code::COUNT], down: Vec::new(), carried: Vec::new(), contacts: Vec::new() }
    }
}

impl EncounterScan {
    /// A fresh scan.
    pub fn new() -> Self {
        Self::default()
    }

    /// Calls `visit` with the index and the encounter of every press whose key is `dual`.
    ///
    /// `presses` are in order of `down`; `hand` tells the hand of a key.
    pub fn each(
        &mut self,
        presses: &[Press],
        dual: impl Fn(Code) -> bool,
        hand: impl Fn(Code) -> Hand,
        mut visit: impl FnMut(usize, &Encounter<'_>),
    ) {
        self.down.clear();
        self.released.fill(None);
        for (i, press) in presses.iter().enumerate() {
            let start = press.down;
            self.down.retain(|&j| presses[j].up > start);
            if dual(press.code) {
                let contact = |other: &Press| Contact {
                    code: other.code,
                    hand: hand(other.code),
                    down: other.down.signed_since(start),
                    up: other.up.signed_since(start),
                };
                self.carried.clear();
                self.carried.extend(self.down.iter().map(|&j| contact(&presses[j])));
                self.contacts.clear();
                self.contacts.extend(presses[i + 1..].iter().take_while(|other| other.down < press.up).map(contact));
                let encounter = Encounter {
                    code: press.code,
                    hand: hand(press.code),
                    press: start,
                    dwell: press.dwell(),
                    lull: i.checked_sub(1).map(|j| start.since(presses[j].down)),
                    since_same_key: self.released[press.code.index()].map(|up| start.since(up)),
                    previous: i.checked_sub(1).map(|j| presses[j].code),
                    carried: &self.carried,
                    contacts: &self.contacts,
                    other_hand_only: false,
                };
                visit(i, &encounter);
            }
            self.down.push(i);
            self.released[press.code.index()] = Some(press.up);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn press(name: &str, down: u64, up: u64) -> Press {
        Press { code: name.parse().unwrap(), down: Instant(down), up: Instant(up) }
    }

    #[test]
    fn a_scan_finds_lull_carried_and_contacts() {
        // E is still down when F goes down; I falls inside F; O is pressed as F comes up, so after it.
        let presses =
            [press("KeyE", 0, 130), press("KeyF", 100, 200), press("KeyI", 150, 260), press("KeyO", 200, 300)];
        let mut seen = Vec::new();
        EncounterScan::new().each(
            &presses,
            |code| code.name() == "KeyF",
            |_| Hand::Left,
            |i, e| {
                assert_eq!(e.previous.map(Code::name), Some("KeyE"));
                let carried: Vec<_> = e.carried().map(|c| (c.code.name(), c.down, c.up)).collect();
                let contacts: Vec<_> = e.contacts().map(|c| (c.code.name(), c.down, c.up)).collect();
                seen.push((i, e.lull, e.dwell, carried, contacts));
            },
        );
        let expected = (1, Some(Span(100)), Span(100), vec![("KeyE", -100, 30)], vec![("KeyI", 50, 160)]);
        assert_eq!(seen, [expected]);
    }

    #[test]
    fn a_scan_tells_how_long_ago_the_same_key_came_up() {
        let presses = [press("KeyF", 0, 80), press("KeyE", 90, 150), press("KeyF", 120, 200), press("KeyF", 290, 300)];
        let mut since = Vec::new();
        let mut scan = EncounterScan::new();
        let is_f = |code: Code| code.name() == "KeyF";
        scan.each(&presses, is_f, |_| Hand::Left, |_, e| since.push(e.since_same_key));
        // The next session starts afresh.
        scan.each(&presses[2..], is_f, |_| Hand::Left, |_, e| since.push(e.since_same_key));
        assert_eq!(since, [None, Some(Span(40)), Some(Span(90)), None, Some(Span(90))]);
    }

    #[test]
    fn the_first_press_has_no_lull_and_an_empty_session_no_encounter() {
        let mut lulls = Vec::new();
        EncounterScan::new().each(&[press("KeyF", 5, 6)], |_| true, |_| Hand::Left, |_, e| lulls.push(e.lull));
        assert_eq!(lulls, [None]);
        EncounterScan::new().each(&[], |_| true, |_| Hand::Left, |_, _| panic!("nothing to see"));
    }

    #[test]
    fn the_other_hand_view_hides_own_hand_and_thumbs() {
        let code: Code = "KeyF".parse().unwrap();
        let contacts = [Hand::Left, Hand::Either, Hand::Right].map(|hand| Contact { code, hand, down: 1, up: 2 });
        let encounter = Encounter::new(code, Hand::Left, Instant(0), Span(9)).with_contacts(&contacts);
        assert_eq!(encounter.contacts().count(), 3);
        assert_eq!(encounter.other_hand_only().contacts().count(), 1);
    }
}

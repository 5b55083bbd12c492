//! `first-contact`: a hold is a key that is down when the next one is pressed.

use agogic_keys::Span;

use crate::cost::RuleCost;
use crate::registry::{Policy, RuleEntry};
use crate::{Asks, Decision, Encounter, Sight};

/// Hold as soon as another key goes down while this one is down.
///
/// # Definition
/// Hold, decided at the first contact's press; tap, decided at the release, when there is none. Every roll
/// is a hold under this rule.
///
/// # Ties
/// A press at the instant of the release comes after it: a tap.
///
/// # Source
/// Common practice, no source: how a dedicated modifier key behaves.
///
/// # Pictures
#[doc = include_str!("../../pictures/first-contact.svg")]
#[derive(Clone, Copy, Debug)]
pub struct FirstContact;

pub(crate) const ENTRY: RuleEntry = RuleEntry {
    name: "first-contact",
    summary: "hold as soon as another key goes down while the key is down",
    bare_hold: "never a hold by itself; add the guard bare_hold_ms",
    source: "common practice, no source; what a dedicated modifier key does",
    params: &[],
    // The kind of the event says all.
    cost: RuleCost::NONE,
    needs_training: false,
    asks: Asks::NOTHING,
    sight: Sight::Timing,
    build: |_, _| Ok(Box::new(FirstContact)),
};

impl Policy for FirstContact {
    #[inline]
    fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        match encounter.contacts().next() {
            Some(contact) => Decision::hold(Span(contact.down.max(0) as u64)),
            None => Decision::tap(encounter.dwell),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Contact;
    use agogic_keys::{Hand, Instant};

    #[test]
    fn a_roll_is_a_hold_and_a_lone_press_a_tap() {
        let code = "KeyF".parse().unwrap();
        let alone = Encounter::new(code, Hand::Left, Instant(0), Span(90));
        assert_eq!(FirstContact.decide(&alone), Decision::tap(Span(90)));
        let roll = [Contact { code: "KeyE".parse().unwrap(), hand: Hand::Left, down: 80, up: 170 }];
        assert_eq!(FirstContact.decide(&alone.with_contacts(&roll)), Decision::hold(Span(80)));
    }
}

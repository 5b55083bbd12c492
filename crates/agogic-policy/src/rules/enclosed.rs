//! `enclosed`: a hold is a key that another key is pressed and released inside.

use agogic_keys::Span;

use crate::cost::{RuleCost, Work};
use crate::registry::{Policy, RuleEntry};
use crate::{Asks, Decision, Encounter, Sight};

/// Hold if and only if another key is pressed and released while this one is down.
///
/// # Definition
/// Hold, decided at the first release of a contact that falls no later than the own release; else tap,
/// decided at the own release. A roll (the other key let go last) is a tap, and so is a hold whose
/// modifier is let go first.
///
/// # Ties
/// Both keys released at one instant: enclosed.
///
/// # Source
/// Common practice, no source.
///
/// # Pictures
#[doc = include_str!("../../pictures/enclosed.svg")]
#[derive(Clone, Copy, Debug)]
pub struct Enclosed;

pub(crate) const ENTRY: RuleEntry = RuleEntry {
    name: "enclosed",
    summary: "hold if and only if another key is pressed and released inside",
    bare_hold: "never a hold by itself; add the guard bare_hold_ms",
    source: "common practice, no source",
    params: &[],
    cost: RuleCost {
        // Which other keys were pressed inside.
        state_bytes_per_key: 1,
        once_per_key: Work { comparisons: 1, ..Work::NONE },
        ..RuleCost::NONE
    },
    needs_training: false,
    asks: Asks::RELEASE,
    sight: Sight::Timing,
    build: |_, _| Ok(Box::new(Enclosed)),
};

impl Policy for Enclosed {
    #[inline]
    fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        let release = encounter.release();
        match encounter.contacts().map(|contact| contact.up).filter(|&up| up <= release).min() {
            Some(up) => Decision::hold(Span(up.max(0) as u64)),
            None => Decision::tap(encounter.dwell),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Contact;
    use agogic_keys::{Hand, Instant};

    fn decide(contacts: &[(i64, i64)]) -> Decision {
        let code = "KeyF".parse().unwrap();
        let contacts: Vec<_> =
            contacts.iter().map(|&(down, up)| Contact { code, hand: Hand::Right, down, up }).collect();
        Enclosed.decide(&Encounter::new(code, Hand::Left, Instant(0), Span(200)).with_contacts(&contacts))
    }

    #[test]
    fn only_a_key_inside_makes_a_hold() {
        assert_eq!(decide(&[]), Decision::tap(Span(200)));
        assert_eq!(decide(&[(100, 201)]), Decision::tap(Span(200)));
        assert_eq!(decide(&[(100, 200)]), Decision::hold(Span(200)));
        assert_eq!(decide(&[(50, 260), (90, 150)]), Decision::hold(Span(150)));
    }
}

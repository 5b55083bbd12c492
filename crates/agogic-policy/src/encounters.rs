//! The encounters of a session in one place, for whoever shows them to several settings.

use agogic_keys::{Code, Hand, Press};

use crate::encounter::{Contact, Encounter, EncounterScan};

/// Every encounter of a session, in order: scanned once, then shown to one setting after the other.
///
/// Contacts lie in one array, so filling it again allocates only while it grows.
#[derive(Debug, Default)]
pub struct Encounters {
    scan: EncounterScan,
    heads: Vec<Head>,
    contacts: Vec<Contact>,
}

/// An encounter without its contacts.
#[derive(Debug)]
struct Head {
    press: usize,
    alone: Encounter<'static>,
    /// Where its contacts begin: first those that were down already, then those that came.
    carried: usize,
    came: usize,
    end: usize,
}

impl Encounters {
    /// No encounter yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes the encounters of a session as [`EncounterScan::each`] shows them, from press `first` on.
    pub fn fill(&mut self, presses: &[Press], first: usize, dual: impl Fn(Code) -> bool, hand: impl Fn(Code) -> Hand) {
        let Self { scan, heads, contacts } = self;
        heads.clear();
        contacts.clear();
        scan.each(presses, dual, hand, |press, encounter| {
            // What comes before is seen, for lulls and keys still down, but not decided.
            if press < first {
                return;
            }
            let carried = contacts.len();
            contacts.extend(encounter.carried());
            let came = contacts.len();
            contacts.extend(encounter.contacts());
            heads.push(Head { press, alone: encounter.without_contacts(), carried, came, end: contacts.len() });
        });
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.heads.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.heads.is_empty()
    }

    /// The places of their presses in the session, in order.
    pub fn presses(&self) -> impl Iterator<Item = usize> + '_ {
        self.heads.iter().map(|head| head.press)
    }

    /// The encounters, in order.
    #[inline]
    pub fn iter(&self) -> impl Iterator<Item = Encounter<'_>> {
        self.heads.iter().map(|head| {
            let (carried, came) = (&self.contacts[head.carried..head.came], &self.contacts[head.came..head.end]);
            head.alone.with_carried(carried).with_contacts(came)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::Instant;

    #[test]
    fn they_are_those_of_the_scan() {
        let press = |name: &str, down, up| Press { code: name.parse().unwrap(), down: Instant(down), up: Instant(up) };
        let presses = [
            press("KeyF", 0, 90),
            press("KeyE", 80, 150),
            press("KeyF", 140, 300),
            press("KeyI", 150, 260),
            press("KeyF", 310, 330),
        ];
        let is_f = |code: Code| code.name() == "KeyF";
        let hand = |code: Code| if is_f(code) { Hand::Left } else { Hand::Right };
        let mut wanted = Vec::new();
        EncounterScan::new().each(&presses, is_f, hand, |at, e| wanted.push((at, format!("{e:?}"))));
        let mut all = Encounters::new();
        for first in [0, 1, 3] {
            all.fill(&presses, first, is_f, hand);
            let found: Vec<_> = all.presses().zip(all.iter().map(|e| format!("{e:?}"))).collect();
            let wanted: Vec<_> = wanted.iter().filter(|(at, _)| *at >= first).cloned().collect();
            assert_eq!((found, all.len()), (wanted.clone(), wanted.len()));
        }
    }
}

//! What keys say besides times: a language model of the third order, as it comes out under the fingers of one typist.

use std::collections::BTreeMap;

use agogic_keys::{Code, Span};
use agogic_policy::{BINS, Encounter, EncounterScan, bin_of};
use agogic_typist::{Performer, Session};

use crate::seen::Side;

/// How many presses the more general law stands for where a special one is counted. Our choice: with two the observer
/// was surer than it was right, which `tests/all/reliability.rs` finds.
const GENERAL: f64 = 5.0;

/// Kinds of another key beside the own one, on which intervals hang: a key between words, the same key, the same
/// finger, the same hand, the other hand, a key that does not write, none.
const GROUPS: usize = 7;

/// Numbers of keys: a code each, and one for none.
const KEYS: usize = Code::COUNT + 1;

/// How often keys were counted in one context, and each of them.
type Counts = (f64, BTreeMap<u16, f64>);

/// Counts of a law and of the more general ones that it is drawn to, by order and context.
#[derive(Clone, Debug, Default)]
struct Chain(BTreeMap<(u8, [u16; 3]), Counts>);

impl Chain {
    /// Counts a key in each of its contexts, the most general first.
    fn add(&mut self, contexts: &[[u16; 3]], key: u16) {
        for (order, context) in contexts.iter().enumerate() {
            let law = self.0.entry((order as u8, *context)).or_default();
            law.0 += 1.0;
            *law.1.entry(key).or_insert(0.0) += 1.0;
        }
    }

    /// The probability of a key: each law drawn to the more general one before it, the first to all keys alike.
    fn probability(&self, contexts: &[[u16; 3]], key: u16) -> f64 {
        let mut p = 1.0 / KEYS as f64;
        for (order, context) in contexts.iter().enumerate() {
            if let Some((all, counts)) = self.0.get(&(order as u8, *context)) {
                p = (counts.get(&key).copied().unwrap_or(0.0) + GENERAL * p) / (all + GENERAL);
            }
        }
        p
    }
}

/// How the times of a group of keys differ from those of all keys, by class.
#[derive(Clone, Debug)]
struct Times([[[f64; BINS + 1]; GROUPS]; 2]);

impl Default for Times {
    fn default() -> Self {
        Self([[[0.0; BINS + 1]; GROUPS]; 2])
    }
}

impl Times {
    fn add(&mut self, class: usize, group: usize, bin: usize) {
        self.0[class][group][bin] += 1.0;
    }

    /// Probability of the bin in the group over that among all keys of the class.
    fn ratio(&self, class: usize, group: usize, bin: usize) -> f64 {
        let own = &self.0[class][group];
        let all: [f64; BINS + 1] = std::array::from_fn(|bin| self.0[class].iter().map(|group| group[bin]).sum());
        let (of_own, of_all): (f64, f64) = (own.iter().sum(), all.iter().sum());
        if of_all == 0.0 {
            return 1.0;
        }
        let share = (all[bin] + 0.5) / (of_all + 0.5 * (BINS + 1) as f64);
        (own[bin] + STEADY * share) / (of_own + STEADY) / share
    }
}

/// How many presses of all keys stand in where the times of a group are counted. Our choice.
const STEADY: f64 = 50.0;

/// What keys say of taps and of holds.
///
/// # Definition
/// The key before hangs on the class (tap or hold) and the own key; the first contact on class and side, the own key,
/// and the key before. Each law is counted in a rehearsal and drawn to the more general one. Times hang on keys through the
/// group of the key: between words, the same, the same finger, the same hand, the other hand, no writing key.
#[derive(Clone, Debug, Default)]
pub(crate) struct Language {
    before: Chain,
    contact: Chain,
    lulls: Times,
    leads: Times,
}

impl Language {
    /// Of a rehearsal.
    pub fn of(performer: &Performer, session: &Session) -> Self {
        let mut language = Self::default();
        let movement = performer.movement();
        EncounterScan::new().each(
            &session.presses,
            |code| performer.assignment().modifier(code).is_some(),
            |code| movement.hand(code),
            |press, encounter| {
                let class = usize::from(session.truths[press].hold);
                let keys = Keys::of(performer, encounter, None);
                language.before.add(&keys.before_contexts(class), keys.before);
                language.lulls.add(class, keys.before_group, keys.lull);
                if let Some(contact) = &keys.contact {
                    language.contact.add(&keys.contact_contexts(class, contact), contact.key);
                    language.leads.add(class, contact.group, contact.lead);
                }
            },
        );
        language
    }

    /// Probabilities of the keys seen until a deadline, with a tap and with a hold, given own key, sides and times.
    pub fn joint(&self, performer: &Performer, encounter: &Encounter<'_>, deadline: Option<Span>) -> [f64; 2] {
        let keys = Keys::of(performer, encounter, deadline);
        std::array::from_fn(|class| {
            let before = self.before.probability(&keys.before_contexts(class), keys.before)
                * self.lulls.ratio(class, keys.before_group, keys.lull);
            let contact = keys.contact.as_ref().map_or(1.0, |contact| {
                self.contact.probability(&keys.contact_contexts(class, contact), contact.key)
                    * self.leads.ratio(class, contact.group, contact.lead)
            });
            before * contact
        })
    }
}

/// The first contact.
struct Met {
    key: u16,
    side: u16,
    group: usize,
    lead: usize,
}

/// The keys of an encounter.
struct Keys {
    own: u16,
    before: u16,
    before_group: usize,
    lull: usize,
    contact: Option<Met>,
}

fn number(code: Option<Code>) -> u16 {
    code.map_or(Code::COUNT, Code::index) as u16
}

impl Keys {
    fn of(performer: &Performer, encounter: &Encounter<'_>, deadline: Option<Span>) -> Self {
        let movement = performer.movement();
        let group = |code: Option<Code>| match code {
            None => 6,
            Some(code) if matches!(code.character(false), Some(' ' | '\n' | '\t')) => 0,
            Some(code) if code == encounter.code => 1,
            Some(code) if code.character(false).is_none() => 5,
            Some(code) if movement.digit(code) == movement.digit(encounter.code) => 2,
            Some(code) if movement.hand(code).opposite_to(encounter.hand) => 4,
            Some(_) => 3,
        };
        let until = deadline.map_or(i64::MAX, |span| span.0.min(i64::MAX as u64) as i64);
        let down = encounter.contacts().next().map(|contact| contact.down).filter(|down| *down <= until);
        // As rules see it: of several at one instant one of the other hand, then the first in the table of codes.
        let first = down.and_then(|down| {
            let at_once = encounter.contacts().take_while(|contact| contact.down == down);
            at_once.min_by_key(|contact| (!contact.hand.opposite_to(encounter.hand), contact.code))
        });
        Self {
            own: number(Some(encounter.code)),
            before: number(encounter.previous),
            before_group: group(encounter.previous),
            lull: encounter.lull.map_or(BINS, |lull| bin_of(lull.0.min(i64::MAX as u64) as i64)),
            contact: first.map(|contact| Met {
                key: number(Some(contact.code)),
                side: Side::of(encounter.hand, contact.hand) as u16,
                group: group(Some(contact.code)),
                lead: bin_of(contact.down),
            }),
        }
    }

    fn before_contexts(&self, class: usize) -> [[u16; 3]; 2] {
        [[class as u16, 0, 0], [class as u16, self.own, 0]]
    }

    fn contact_contexts(&self, class: usize, contact: &Met) -> [[u16; 3]; 3] {
        let head = class as u16 * 3 + contact.side;
        [[head, 0, 0], [head, self.own, 0], [head, self.own, self.before]]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: two of three keys of a context, drawn to the general law with a weight of five.
    #[test]
    fn special_laws_are_drawn_to_general_ones() {
        let mut chain = Chain::default();
        let contexts = |own: u16| [[0, 0, 0], [0, own, 0]];
        chain.add(&contexts(1), 7);
        chain.add(&contexts(1), 7);
        chain.add(&contexts(1), 8);
        chain.add(&contexts(2), 8);
        let flat = 1.0 / KEYS as f64;
        let general = (2.0 + 5.0 * flat) / 9.0;
        assert!((chain.probability(&contexts(1), 7) - (2.0 + 5.0 * general) / 8.0).abs() < 1e-12);
        // A context never met is the general law; all keys together have probability one.
        assert!((chain.probability(&contexts(9), 7) - general).abs() < 1e-12);
        let all: f64 = (0..KEYS as u16).map(|key| chain.probability(&contexts(2), key)).sum();
        assert!((all - 1.0).abs() < 1e-9);
    }

    #[test]
    fn times_of_a_group_without_counts_are_those_of_all() {
        let mut times = Times::default();
        (0..300).for_each(|at| times.add(0, usize::from(at % 3 == 0), if at % 3 == 0 { 20 } else { 10 }));
        assert!((times.ratio(0, 5, 10) - 1.0).abs() < 1e-12 && (times.ratio(1, 0, 3) - 1.0).abs() < 1e-12);
        assert!(times.ratio(0, 1, 20) > 2.0 && times.ratio(0, 1, 10) < 0.4);
    }
}

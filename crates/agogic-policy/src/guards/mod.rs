//! Guards: conditions that compose on any rule, always in the same order.

use agogic_keys::Span;

use crate::cost::{HAND_BYTES, RuleCost, Work};
use crate::registry::{Monotone, Param};
use crate::{Decision, Encounter};

/// Guards around a rule.
///
/// # Definition
/// From the inside out: `other_hand` (the rule sees only keys of the opposite hand; time alone may still
/// make a hold), the rule itself, `bare_hold`, `dwell_floor`, `lull`, `retap`. The order is fixed, so a
/// set of guards means one thing.
///
/// # When the decision falls
/// `retap` and `lull` decide at the press. `bare_hold` decides once the key has been down that long, if nothing
/// did before. `dwell_floor` moves decisions: a hold that the rule calls sooner falls when the key has been down
/// for the floor, and not before, so a held key answers no sooner than that; a hold called later and every tap
/// fall when the rule calls them; a key released before the floor is a tap at its release, or when the rule called
/// a tap, whichever comes first. `other_hand` changes what the rule sees and no time.
///
/// # Ties
/// A lull, a dwell or a time since the last release that equals its guard's value has reached it. At the
/// instant of `bare_hold` the rule speaks first; a key released at that very instant has been down long
/// enough.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Guards {
    /// No hold when the previous press is closer than this: decided as a tap at once.
    pub lull: Option<Span>,
    /// No hold when the same key was released less than this before: decided as a tap at once.
    pub retap: Option<Span>,
    /// No hold unless the key is down for at least this long: a hold falls at this time or later, and a key released
    /// sooner is a tap at its release at the latest.
    pub dwell_floor: Option<Span>,
    /// Only keys of the opposite hand can make it a hold.
    pub other_hand: bool,
    /// A key still undecided and still down after this long is a hold.
    pub bare_hold: Option<Span>,
}

/// A guard as the registry knows it.
#[derive(Clone, Copy, Debug)]
pub struct GuardEntry {
    /// Its number; `None` for a guard that is on or off.
    pub param: Option<Param>,
    /// Name in the spec.
    pub name: &'static str,
    /// What it needs of a microcontroller, beside its number.
    pub cost: RuleCost,
    /// The guard in a sentence.
    pub summary: &'static str,
    /// At which instant the decision falls.
    pub decides: &'static str,
    /// Source or reasoning.
    pub source: &'static str,
}

const fn ms(name: &'static str, default: f64, doc: &'static str) -> Option<Param> {
    Some(Param { name, unit: "ms", default, min: 0.0, max: 5000.0, monotone: Some(Monotone::FewerHolds), doc })
}

/// A comparison at the press: the time since then with the guard's number.
const BAR: RuleCost = RuleCost { once: Work { additions: 1, comparisons: 1, ..Work::NONE }, ..RuleCost::NONE };

/// A deadline set at the press.
const DEADLINE: RuleCost =
    RuleCost { state_bytes: 4, once: Work { additions: 1, comparisons: 1, ..Work::NONE }, ..RuleCost::NONE };

/// Every guard, from the outside in.
pub const GUARDS: &[GuardEntry] = &[
    GuardEntry {
        name: "retap_ms",
        // When each dual-role key last came up; ten of them.
        cost: RuleCost { shared_bytes: 40, ..BAR },
        summary: "a quick second press of the same key is a tap held down for repeat; decided at once",
        decides: "at the press",
        param: ms("retap_ms", 150.0, "shortest time since the last release of the same key that allows a hold"),
        source: "common practice, no source: people press a key again and keep it down to repeat its letter",
    },
    GuardEntry {
        name: "lull_ms",
        // When the latest key went down.
        cost: RuleCost { shared_bytes: 4, ..BAR },
        summary: "no hold when the previous press is closer than this; decided as a tap at once",
        decides: "at the press",
        param: ms("lull_ms", 120.0, "shortest time since the previous press that allows a hold"),
        source: "common practice, no source: people pause before an intended modifier",
    },
    GuardEntry {
        name: "dwell_floor_ms",
        cost: DEADLINE,
        summary: "no hold unless the key is down for at least this long",
        decides: "a hold that the rule calls sooner falls when the key has been down this long; a later hold and every tap fall when the rule calls them; a key released sooner is a tap at its release at the latest",
        param: ms("dwell_floor_ms", 80.0, "shortest dwell that allows a hold"),
        source: "common practice, no source: quoted floors lie between 50 and 100 ms",
    },
    GuardEntry {
        name: "bare_hold_ms",
        cost: DEADLINE,
        summary: "a key still undecided and still down after this long is a hold, whatever other keys do",
        decides: "when the key has been down this long, if nothing decided it before",
        param: ms("bare_hold_ms", 500.0, "dwell from which an undecided press is a hold"),
        source: "common practice, no source: what a hold without a target key needs",
    },
    GuardEntry {
        name: "other_hand",
        cost: RuleCost {
            shared_bytes: HAND_BYTES,
            once: Work { lookups: 1, comparisons: 1, ..Work::NONE },
            ..RuleCost::NONE
        },
        summary: "only a key of the opposite hand can make it a hold; thumbs on a wide space bar do not count",
        decides: "when the rule does, which does not see keys of its own hand",
        param: None,
        source: "common practice, no source: shortcuts are made with two hands, many rolls with one",
    },
];

impl Guards {
    /// The number of the guard of that name.
    pub(crate) fn slot(&mut self, name: &str) -> Option<&mut Option<Span>> {
        match name {
            "retap_ms" => Some(&mut self.retap),
            "lull_ms" => Some(&mut self.lull),
            "dwell_floor_ms" => Some(&mut self.dwell_floor),
            "bare_hold_ms" => Some(&mut self.bare_hold),
            _ => None,
        }
    }

    /// Whether `retap` or `lull` settles the press before anything else is known.
    #[inline]
    pub(crate) fn taps_at_once(&self, encounter: &Encounter<'_>) -> bool {
        let closer =
            |least: Option<Span>, time: Option<Span>| least.zip(time).is_some_and(|(least, time)| time < least);
        closer(self.retap, encounter.since_same_key) || closer(self.lull, encounter.lull)
    }

    /// Wraps one decision of a rule.
    #[inline]
    pub fn around(&self, encounter: &Encounter<'_>, rule: impl FnOnce(&Encounter<'_>) -> Decision) -> Decision {
        if self.taps_at_once(encounter) {
            return Decision::tap(Span::ZERO);
        }
        let mut decision = if self.other_hand { rule(&encounter.other_hand_only()) } else { rule(encounter) };
        if let Some(late) = self.bare_hold
            && decision.after > late
            && encounter.dwell >= late
        {
            decision = Decision::hold(late);
        }
        if let Some(floor) = self.dwell_floor {
            if encounter.dwell < floor {
                // The release settles it, if the rule has not called a tap before.
                decision = match decision.role {
                    crate::Role::Tap => Decision::tap(decision.after.min(encounter.dwell)),
                    crate::Role::Hold => Decision::tap(encounter.dwell),
                };
            } else if decision.is_hold() {
                decision.after = decision.after.max(floor);
            }
        }
        decision
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Hand, Instant};

    fn encounter(dwell: u64) -> Encounter<'static> {
        Encounter::new("KeyF".parse().unwrap(), Hand::Left, Instant(0), Span(dwell))
    }

    #[test]
    fn lull_taps_at_once_and_spares_the_first_press() {
        let guards = Guards { lull: Some(Span(100)), ..Guards::default() };
        let hold = |_: &Encounter<'_>| Decision::hold(Span(50));
        assert_eq!(guards.around(&encounter(300).with_lull(Span(99)), hold), Decision::tap(Span::ZERO));
        assert_eq!(guards.around(&encounter(300).with_lull(Span(100)), hold), Decision::hold(Span(50)));
        assert_eq!(guards.around(&encounter(300), hold), Decision::hold(Span(50)));
    }

    #[test]
    fn a_quick_second_press_of_the_same_key_is_a_tap_at_once() {
        let guards = Guards { retap: Some(Span(150)), ..Guards::default() };
        let hold = |_: &Encounter<'_>| Decision::hold(Span(50));
        let pressed_again = |since| encounter(900).with_since_same_key(Span(since));
        assert_eq!(guards.around(&pressed_again(149), hold), Decision::tap(Span::ZERO));
        assert_eq!(guards.around(&pressed_again(150), hold), Decision::hold(Span(50)));
        // Another key pressed just before is no second press of this one.
        assert_eq!(guards.around(&encounter(900).with_lull(Span(10)), hold), Decision::hold(Span(50)));
    }

    #[test]
    fn the_floor_defers_a_hold_and_turns_short_ones_into_taps() {
        let guards = Guards { dwell_floor: Some(Span(80)), ..Guards::default() };
        let hold = |_: &Encounter<'_>| Decision::hold(Span(50));
        assert_eq!(guards.around(&encounter(79), hold), Decision::tap(Span(79)));
        assert_eq!(guards.around(&encounter(80), hold), Decision::hold(Span(80)));
        // A hold called after the floor and a tap called before the release keep their time.
        assert_eq!(guards.around(&encounter(200), |_| Decision::hold(Span(120))), Decision::hold(Span(120)));
        assert_eq!(guards.around(&encounter(200), |_| Decision::tap(Span(30))), Decision::tap(Span(30)));
        assert_eq!(guards.around(&encounter(60), |_| Decision::tap(Span(30))), Decision::tap(Span(30)));
        // A rule that would wait past the release need not: the floor was missed.
        assert_eq!(guards.around(&encounter(60), |_| Decision::tap(Span(75))), Decision::tap(Span(60)));
        assert_eq!(guards.around(&encounter(90), |_| Decision::tap(Span(95))), Decision::tap(Span(95)));
    }

    #[test]
    fn bare_holds_are_caught_by_time() {
        let guards = Guards { bare_hold: Some(Span(500)), ..Guards::default() };
        let lone = |e: &Encounter<'_>| Decision::tap(e.dwell);
        assert_eq!(guards.around(&encounter(499), lone), Decision::tap(Span(499)));
        assert_eq!(guards.around(&encounter(501), lone), Decision::hold(Span(500)));
    }
}

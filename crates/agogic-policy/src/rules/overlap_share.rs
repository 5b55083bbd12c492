//! `overlap-share`: a hold is a key that covers enough of another key's dwell.

use agogic_keys::Span;

use crate::cost::{RuleCost, Work};
use crate::registry::{Monotone, Param, Policy, RuleEntry};
use crate::{Asks, Contact, Decision, Encounter, Sight};

/// Hold if and only if the overlap is at least `share` of another key's dwell.
///
/// # Definition
/// For a contact pressed at c and released at u, with the own release at r, the overlap is
/// min(r, u) − c and the contact qualifies when overlap ≥ share · (u − c). Hold at the first release of a
/// contact that qualifies. A contact that is still down after r can qualify only until
/// c + (r − c) / share; when that deadline has passed for all contacts, it is a tap. With share 1 this is
/// [`Enclosed`](crate::Enclosed).
///
/// # Units
/// The share is kept in whole millionths and compared in whole numbers, so a decision and its critical
/// value agree exactly. A deadline between two microseconds is the earlier one.
///
/// # Ties
/// A release at the deadline still qualifies.
///
/// # Source
/// Common practice, no source: quoted shares lie between 0.8 and 1.
///
/// # Pictures
#[doc = include_str!("../../pictures/overlap-share.svg")]
#[derive(Clone, Copy, Debug)]
pub struct OverlapShare {
    millionths: i64,
}

const WHOLE: i64 = 1_000_000;

impl OverlapShare {
    /// The rule at a share of the other key's dwell, in (0, 1], rounded to the nearest millionth.
    ///
    /// # Undefined
    /// Shares outside the range count as its nearest end; validation belongs to the reader of the number.
    pub fn new(share: f64) -> Self {
        Self { millionths: (libm::round(share * WHOLE as f64) as i64).clamp(1, WHOLE) }
    }

    /// The share.
    pub fn share(&self) -> f64 {
        self.millionths as f64 / WHOLE as f64
    }
}

pub(crate) const ENTRY: RuleEntry = RuleEntry {
    name: "overlap-share",
    summary: "hold if and only if the overlap is at least the given share of the other key's dwell",
    bare_hold: "never a hold by itself; add the guard bare_hold_ms",
    source: "common practice, no source; quoted shares lie between 0.8 and 1",
    params: &[Param {
        name: "share",
        unit: "share of the other key's dwell",
        default: 0.8,
        min: 0.05,
        max: 1.0,
        monotone: Some(Monotone::FewerHolds),
        doc: "least overlap that makes a hold",
    }],
    cost: RuleCost {
        // The own release, and the last deadline.
        state_bytes: 8,
        // Name and press time of each contact.
        state_bytes_per_key: 5,
        // At the own release each contact gets a deadline: its overlap times 1/share, kept beforehand.
        once: Work { comparisons: 1, ..Work::NONE },
        once_per_key: Work { additions: 2, comparisons: 1, multiplications: 1, ..Work::NONE },
        ..RuleCost::NONE
    },
    needs_training: false,
    asks: Asks::RELEASE,
    sight: Sight::Timing,
    build: |values, _| Ok(Box::new(OverlapShare::new(values[0]))),
};

impl Policy for OverlapShare {
    #[inline]
    fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        let release = encounter.release();
        let mut hold: Option<i64> = None;
        let mut resolved = release;
        for contact in encounter.contacts() {
            // A contact released inside always qualifies; only one still down afterwards has a deadline.
            if contact.up > release {
                let covered = release - contact.down;
                let deadline = contact.down.saturating_add(covered.saturating_mul(WHOLE) / self.millionths);
                if contact.up > deadline {
                    resolved = resolved.max(deadline);
                    continue;
                }
            }
            hold = Some(hold.map_or(contact.up, |at| at.min(contact.up)));
        }
        match hold {
            Some(at) => Decision::hold(Span(at.max(0) as u64)),
            None => Decision::tap(Span(resolved.max(0) as u64)),
        }
    }

    fn critical_value(&self, _: usize, encounter: &Encounter<'_>) -> Option<f64> {
        let release = encounter.release();
        let share = |contact: &Contact| {
            if contact.up <= release {
                return WHOLE;
            }
            (release - contact.down).saturating_mul(WHOLE) / (contact.up - contact.down)
        };
        Some(encounter.contacts().map(share).max().map_or(f64::NEG_INFINITY, |share| share as f64 / WHOLE as f64))
    }

    fn undecided_value(&self, _: usize, encounter: &Encounter<'_>, at: Span) -> f64 {
        let release = encounter.release();
        if encounter.dwell > at {
            // With no other key released before, `at` lies before the own release, so before any tap.
            return f64::INFINITY;
        }
        // The key comes up at that very instant. Only a contact whose deadline is later can wait, and the
        // share must be small enough to move the deadline by a whole microsecond.
        let waits = |contact: &Contact| {
            let covered = release - contact.down;
            covered.saturating_mul(WHOLE) / (covered + 1)
        };
        let waiting = encounter.contacts().filter(|contact| contact.up > release).map(waits).max();
        waiting.map_or(f64::NEG_INFINITY, |share| share as f64 / WHOLE as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Hand, Instant};

    fn decide(share: f64, contacts: &[(i64, i64)]) -> Decision {
        let code = "KeyF".parse().unwrap();
        let contacts: Vec<_> =
            contacts.iter().map(|&(down, up)| Contact { code, hand: Hand::Right, down, up }).collect();
        let encounter = Encounter::new(code, Hand::Left, Instant(0), Span(200)).with_contacts(&contacts);
        OverlapShare::new(share).decide(&encounter)
    }

    #[test]
    fn the_share_is_compared_with_the_other_keys_dwell() {
        // Pressed at 120, own release at 200: 80 of overlap. A dwell of 100 is covered to 80 %.
        assert_eq!(decide(0.8, &[(120, 220)]), Decision::hold(Span(220)));
        assert_eq!(decide(0.8, &[(120, 221)]), Decision::tap(Span(220)));
        assert_eq!(decide(0.5, &[(120, 280)]), Decision::hold(Span(280)));
    }

    #[test]
    fn a_contact_inside_always_qualifies() {
        assert_eq!(decide(1.0, &[(120, 200)]), Decision::hold(Span(200)));
        assert_eq!(decide(1.0, &[(120, 201)]), Decision::tap(Span(200)));
        assert_eq!(decide(0.8, &[]), Decision::tap(Span(200)));
    }

    #[test]
    fn the_critical_value_is_the_largest_share_that_still_holds() {
        // 80 of 240 are covered: a third, cut to millionths.
        let code = "KeyF".parse().unwrap();
        let contacts = [Contact { code, hand: Hand::Right, down: 120, up: 360 }];
        let encounter = Encounter::new(code, Hand::Left, Instant(0), Span(200)).with_contacts(&contacts);
        assert_eq!(OverlapShare::new(0.8).critical_value(0, &encounter), Some(0.333_333));
        assert!(OverlapShare::new(0.333_333).decide(&encounter).is_hold());
        assert!(!OverlapShare::new(0.333_334).decide(&encounter).is_hold());
    }

    #[test]
    fn a_contact_still_down_at_the_own_release_waits_only_if_its_deadline_is_later() {
        let code = "KeyF".parse().unwrap();
        let contacts = [Contact { code, hand: Hand::Right, down: 120, up: 900 }];
        let encounter = Encounter::new(code, Hand::Left, Instant(0), Span(200)).with_contacts(&contacts);
        // 80 are covered: the deadline moves from 200 to 201 at a share of 80/81.
        let waits = OverlapShare::new(1.0).undecided_value(0, &encounter, Span(200));
        assert_eq!(waits, 0.987_654);
        assert_eq!(OverlapShare::new(waits).decide(&encounter), Decision::tap(Span(201)));
        assert_eq!(OverlapShare::new(waits + 1e-6).decide(&encounter), Decision::tap(Span(200)));
        assert_eq!(OverlapShare::new(1.0).undecided_value(0, &encounter, Span(199)), f64::INFINITY);
    }

    #[test]
    fn several_contacts_wait_for_the_last_deadline() {
        assert_eq!(decide(0.5, &[(100, 900), (180, 900)]), Decision::tap(Span(300)));
        assert_eq!(decide(0.5, &[(100, 900), (180, 215)]), Decision::hold(Span(215)));
    }
}

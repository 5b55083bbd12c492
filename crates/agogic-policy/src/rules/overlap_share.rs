//! `overlap-share`: a hold is a key that covers enough of another key's dwell.

use agogic_keys::Span;

use crate::registry::{Param, Policy, RuleEntry};
use crate::{Decision, Encounter};

/// Hold if and only if the overlap is at least `share` of another key's dwell.
///
/// # Definition
/// For a contact pressed at c and released at u, with the own release at r, the overlap is
/// min(r, u) − c and the contact qualifies when overlap ≥ share · (u − c). Hold at the first release of a
/// contact that qualifies. A contact that is still down after r can qualify only until
/// c + (r − c) / share; when that deadline has passed for all contacts, it is a tap. With share 1 this is
/// [`Enclosed`](crate::Enclosed).
///
/// # Ties
/// A release at the deadline still qualifies.
///
/// # Source
/// Common practice, no source: quoted shares are 80 % in general and 100 % under the resting fingers.
#[derive(Clone, Copy, Debug)]
pub struct OverlapShare {
    /// Least overlap as a share of the other key's dwell, in (0, 1].
    pub share: f64,
}

pub(crate) const ENTRY: RuleEntry = RuleEntry {
    name: "overlap-share",
    summary: "hold if and only if the overlap is at least the given share of the other key's dwell",
    bare_hold: "never a hold by itself; add the guard bare_hold_ms",
    source: "common practice, no source; quoted shares are 0.8 in general, 1.0 under the resting fingers",
    params: &[Param {
        name: "share",
        unit: "share of the other key's dwell",
        default: 0.8,
        min: 0.05,
        max: 1.0,
        doc: "least overlap that makes a hold",
    }],
    build: |values| Box::new(OverlapShare { share: values[0] }),
};

impl Policy for OverlapShare {
    #[inline]
    fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        let release = encounter.release();
        let mut hold: Option<i64> = None;
        let mut resolved = release;
        for contact in encounter.contacts() {
            // Last instant at which a release would still qualify. For a contact released inside it is
            // later than that release, so one comparison serves both cases.
            let covered = release - contact.down;
            let deadline = contact.down.saturating_add((covered as f64 / self.share) as i64);
            if contact.up <= deadline {
                hold = Some(hold.map_or(contact.up, |at| at.min(contact.up)));
            } else {
                resolved = resolved.max(deadline);
            }
        }
        match hold {
            Some(at) => Decision::hold(Span(at.max(0) as u64)),
            None => Decision::tap(Span(resolved.max(0) as u64)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Contact;
    use agogic_keys::{Hand, Instant};

    fn decide(share: f64, contacts: &[(i64, i64)]) -> Decision {
        let code = "KeyF".parse().unwrap();
        let contacts: Vec<_> =
            contacts.iter().map(|&(down, up)| Contact { code, hand: Hand::Right, down, up }).collect();
        let encounter = Encounter::new(code, Hand::Left, Instant(0), Span(200)).with_contacts(&contacts);
        OverlapShare { share }.decide(&encounter)
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
    fn several_contacts_wait_for_the_last_deadline() {
        assert_eq!(decide(0.5, &[(100, 900), (180, 900)]), Decision::tap(Span(300)));
        assert_eq!(decide(0.5, &[(100, 900), (180, 215)]), Decision::hold(Span(215)));
    }
}

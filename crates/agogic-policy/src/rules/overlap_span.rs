//! `overlap-span`: a hold is a key that is down together with another one for long enough.

use agogic_keys::Span;

use crate::cost::{RuleCost, Work};
use crate::registry::{Monotone, Param, Policy, RuleEntry};
use crate::{Asks, Decision, Encounter, Piece, Sight};

/// Hold if and only if the key is down together with another one for at least `span`.
///
/// # Definition
/// For a contact pressed at c and released at u, with the own release at r, the overlap is
/// min(r, u) − c and the contact qualifies when overlap ≥ span. Hold, decided at c + span, for the first
/// contact that qualifies; else tap, decided at the own release. Each contact counts for itself; overlaps
/// with different keys are not added up. With span 0 this is [`FirstContact`](crate::FirstContact).
///
/// # Ties
/// c + span is a deadline, so both releases of that instant have been seen when it comes, and an overlap
/// that ends there equals the span and has reached it: a hold.
///
/// # Source
/// Common practice, no source. The default is assumed: longer than the overlap of most rolls.
///
/// # Pictures
#[doc = include_str!("../../pictures/overlap-span.svg")]
#[derive(Clone, Copy, Debug)]
pub struct OverlapSpan {
    /// Least overlap that makes a hold.
    pub span: Span,
}

pub(crate) const ENTRY: RuleEntry = RuleEntry {
    name: "overlap-span",
    summary: "hold if and only if the key is down together with another key for at least the given time",
    bare_hold: "never a hold by itself; add the guard bare_hold_ms",
    source: "common practice, no source; the default is assumed to exceed the overlap of most rolls",
    params: &[Param {
        name: "span_ms",
        unit: "ms",
        default: 80.0,
        min: 0.0,
        max: 5000.0,
        monotone: Some(Monotone::FewerHolds),
        doc: "least overlap that makes a hold",
    }],
    cost: RuleCost {
        // Name and deadline of each contact; the next deadline is the least of them.
        state_bytes: 4,
        state_bytes_per_key: 5,
        once: Work { additions: 1, comparisons: 1, ..Work::NONE },
        once_per_key: Work { comparisons: 1, ..Work::NONE },
        ..RuleCost::NONE
    },
    needs_training: false,
    asks: Asks::RELEASE,
    sight: Sight::Timing,
    build: |values, _| Ok(Box::new(OverlapSpan { span: Span::from_ms(values[0]) })),
};

impl OverlapSpan {
    /// The time of common contact, in µs.
    #[inline]
    fn overlap(release: i64, down: i64, up: i64) -> i64 {
        release.min(up) - down
    }
}

impl Policy for OverlapSpan {
    #[inline]
    fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        let release = encounter.release();
        let span = self.span.0.min(i64::MAX as u64) as i64;
        // Contacts come in order of press, so the first that qualifies has the earliest deadline.
        match encounter.contacts().find(|contact| Self::overlap(release, contact.down, contact.up) >= span) {
            Some(contact) => Decision::hold(Span(contact.down.max(0) as u64) + self.span),
            None => Decision::tap(encounter.dwell),
        }
    }

    fn critical_value(&self, _: usize, encounter: &Encounter<'_>) -> Option<f64> {
        let release = encounter.release();
        let longest = encounter.contacts().map(|contact| Self::overlap(release, contact.down, contact.up)).max();
        Some(longest.map_or(f64::NEG_INFINITY, |overlap| Span(overlap.max(0) as u64).ms()))
    }

    fn pieces(&self, _: usize, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) -> bool {
        let release = encounter.release();
        let mut longest = -1;
        for contact in encounter.contacts() {
            let overlap = Self::overlap(release, contact.down, contact.up);
            // The first contact that qualifies counts: a later one only for spans that no earlier one reaches.
            if overlap > longest {
                pieces.push(Piece::hold_after_threshold(overlap, Span(contact.down.max(0) as u64)));
                longest = overlap;
            }
        }
        pieces.push(Piece::rest(Decision::tap(encounter.dwell)));
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Contact;
    use agogic_keys::{Hand, Instant};

    fn decide(span: u64, contacts: &[(i64, i64)]) -> Decision {
        let code = "KeyF".parse().unwrap();
        let contacts: Vec<_> =
            contacts.iter().map(|&(down, up)| Contact { code, hand: Hand::Right, down, up }).collect();
        let encounter = Encounter::new(code, Hand::Left, Instant(0), Span(200)).with_contacts(&contacts);
        OverlapSpan { span: Span(span) }.decide(&encounter)
    }

    #[test]
    fn the_overlap_ends_with_the_first_release() {
        // Own release at 200. Released after it: 80 of overlap; released inside: up to that release.
        assert_eq!(decide(80, &[(120, 300)]), Decision::hold(Span(200)));
        assert_eq!(decide(81, &[(120, 300)]), Decision::tap(Span(200)));
        assert_eq!(decide(80, &[(50, 130)]), Decision::hold(Span(130)));
        assert_eq!(decide(81, &[(50, 130)]), Decision::tap(Span(200)));
        assert_eq!(decide(60, &[(50, 900)]), Decision::hold(Span(110)));
    }

    #[test]
    fn overlaps_with_different_keys_are_not_added_up() {
        assert_eq!(decide(80, &[(10, 60), (70, 120)]), Decision::tap(Span(200)));
        assert_eq!(decide(80, &[(10, 60), (70, 150)]), Decision::hold(Span(150)));
        assert_eq!(decide(80, &[]), Decision::tap(Span(200)));
    }
}

//! `dwell-cutoff`: a hold is a key that stays down long enough.

use agogic_keys::Span;

use crate::cost::{RuleCost, Work};
use crate::registry::{Monotone, Param, Policy, RuleEntry};
use crate::{Asks, Decision, Encounter, Piece, Sight};

/// Hold if and only if the key is down for at least `cutoff`.
///
/// # Definition
/// Hold, decided at `cutoff`, when dwell ≥ cutoff; else tap, decided at the release. No other key matters.
///
/// # Ties
/// A dwell equal to the cutoff is a hold.
///
/// # Source
/// Common practice, no source: the oldest way to give a key two roles. The trade quotes 200–250 ms.
///
/// # Pictures
#[doc = include_str!("../../pictures/dwell-cutoff.svg")]
#[derive(Clone, Copy, Debug)]
pub struct DwellCutoff {
    /// Dwell from which a press is a hold.
    pub cutoff: Span,
}

pub(crate) const ENTRY: RuleEntry = RuleEntry {
    name: "dwell-cutoff",
    summary: "hold if and only if the key is down for at least the cutoff",
    bare_hold: "the cutoff alone: a bare hold is recognised like any other",
    source: "common practice, no source; quoted values lie around 200-250 ms",
    params: &[Param {
        name: "cutoff_ms",
        unit: "ms",
        default: 200.0,
        min: 1.0,
        max: 5000.0,
        monotone: Some(Monotone::FewerHolds),
        doc: "dwell from which a press is a hold",
    }],
    cost: RuleCost {
        // The deadline.
        state_bytes: 4,
        once: Work { additions: 1, comparisons: 1, ..Work::NONE },
        ..RuleCost::NONE
    },
    needs_training: false,
    asks: Asks::BOTH,
    sight: Sight::Timing,
    build: |values, _| Ok(Box::new(DwellCutoff { cutoff: Span::from_ms(values[0]) })),
};

impl Policy for DwellCutoff {
    #[inline]
    fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        if encounter.dwell >= self.cutoff { Decision::hold(self.cutoff) } else { Decision::tap(encounter.dwell) }
    }

    fn critical_value(&self, _: usize, encounter: &Encounter<'_>) -> Option<f64> {
        Some(encounter.dwell.ms())
    }

    fn pieces(&self, _: usize, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) -> bool {
        pieces.push(Piece::hold_after_threshold(encounter.release(), Span::ZERO));
        pieces.push(Piece::rest(Decision::tap(encounter.dwell)));
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Hand, Instant};

    fn decide(dwell: u64) -> Decision {
        let code = "KeyF".parse().unwrap();
        DwellCutoff { cutoff: Span(200) }.decide(&Encounter::new(code, Hand::Left, Instant(0), Span(dwell)))
    }

    #[test]
    fn the_cutoff_itself_is_a_hold() {
        assert_eq!(decide(199), Decision::tap(Span(199)));
        assert_eq!(decide(200), Decision::hold(Span(200)));
        assert_eq!(decide(900), Decision::hold(Span(200)));
    }
}

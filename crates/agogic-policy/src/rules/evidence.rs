//! `evidence`: a hold is what looks more like a hold when the first key comes up.

use std::sync::Arc;

use agogic_keys::Span;

use crate::cost::{HAND_BYTES, RuleCost, Work};
use crate::learned::units;
use crate::registry::{Monotone, Param, Policy, RuleEntry};
use crate::{Asks, Decision, Encounter, EvidenceTables, Piece, SettingError, Sight, TableCost};

/// Hold if and only if what is known at the first release speaks for a hold strongly enough.
///
/// # Definition
/// The decision falls at the first release of the encounter: the own one, or that of a contact if it comes
/// no later. By then are known: the lull, whether another key was still down at the press, which kind of
/// encounter it is (alone, rolled, enclosed; first contact by the opposite hand or not), and its times
/// (the dwell; or press to first contact, and first contact to first release). The sum of their entries in
/// [`EvidenceTables`] is a log-likelihood ratio; hold when sum ≥ threshold. The first contact is the one
/// pressed first; of several at one instant, one of the opposite hand.
///
/// The threshold is on the likelihood ratio, so prior odds are the user's: to decide for what is likelier
/// when one press in k + 1 is a hold, use ln k. Costs of the two errors enter the same way.
///
/// # Ties
/// Both keys released at one instant: enclosed. A sum equal to the threshold is a hold. The threshold is
/// rounded to 1/256 nat.
///
/// # Source
/// Neyman & Pearson 1933 for the likelihood ratio; the features are our own choice.
///
/// # Pictures
/// The tables of this picture were trained on a few made-up encounters, not on people.
#[doc = include_str!("../../pictures/evidence.svg")]
#[derive(Clone, Debug)]
pub struct Evidence {
    tables: Arc<EvidenceTables>,
    threshold: i32,
}

pub(crate) const ENTRY: RuleEntry = RuleEntry {
    name: "evidence",
    summary: "hold if and only if what is known at the first release speaks for it strongly enough; learned",
    bare_hold: "recognised by its dwell, at its own release; add the guard bare_hold_ms for an earlier decision",
    source: "Neyman & Pearson 1933 for the likelihood ratio; the features are our own choice",
    params: &[Param {
        name: "threshold_nats",
        unit: "nat",
        default: 0.0,
        min: -30.0,
        max: 30.0,
        monotone: Some(Monotone::FewerHolds),
        doc: "least log-likelihood ratio that makes a hold; ln k suits one hold among k taps",
    }],
    cost: RuleCost {
        // Hands of keys; for the lull, the latest press and how many keys are down.
        shared_bytes: HAND_BYTES + 5,
        // Press time, first contact, sum; hand of the first contact.
        state_bytes: 13,
        // Which other keys belong to the encounter.
        state_bytes_per_key: 1,
        // Lead and overlap are both known at the first release.
        once: Work { lookups: 2, additions: 4, comparisons: 1, multiplications: 0 },
        once_per_key: Work { comparisons: 1, ..Work::NONE },
        tables: Some(Evidence::COST),
    },
    needs_training: true,
    asks: Asks::BOTH,
    sight: Sight::Timing,
    build: |values, tables| match tables {
        Some(tables) => Ok(Box::new(Evidence::new(Arc::clone(tables), values[0]))),
        None => Err(SettingError::Untrained { rule: "evidence" }),
    },
};

impl Evidence {
    /// What deciding costs: at most one entry each for the lull, the lead and the overlap.
    pub const COST: TableCost = TableCost {
        bytes: 2 * (2 * (crate::BINS + 1) + crate::SummaryRow::ALL.len() * crate::BINS),
        lookups: 3,
        additions: 2,
        comparisons: 1,
        lookups_at_once: 1,
    };

    /// The rule with these tables and a threshold in nats.
    pub fn new(tables: Arc<EvidenceTables>, threshold_nats: f64) -> Self {
        Self { tables, threshold: units(threshold_nats) }
    }
}

impl Policy for Evidence {
    #[inline]
    fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        let (sum, at) = self.tables.at_first_release(encounter);
        let after = Span(at.max(0) as u64);
        if sum >= self.threshold { Decision::hold(after) } else { Decision::tap(after) }
    }

    fn critical_value(&self, _: usize, encounter: &Encounter<'_>) -> Option<f64> {
        Some(f64::from(self.tables.at_first_release(encounter).0) / crate::learned::UNITS_PER_NAT)
    }

    fn undecided_value(&self, _: usize, encounter: &Encounter<'_>, at: Span) -> f64 {
        // The time of the decision does not depend on the threshold.
        let decided = self.tables.at_first_release(encounter).1;
        if decided.max(0) as u64 > at.0 { f64::INFINITY } else { f64::NEG_INFINITY }
    }

    fn pieces(&self, _: usize, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) -> bool {
        let (sum, at) = self.tables.at_first_release(encounter);
        let after = Span(at.max(0) as u64);
        pieces.push(Piece::until(i64::from(sum), Decision::hold(after)));
        pieces.push(Piece::rest(Decision::tap(after)));
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Contact, SummaryRow, bin_of};
    use agogic_keys::{Hand, Instant};

    #[test]
    fn the_entries_of_the_visited_cells_are_added() {
        let mut tables = EvidenceTables::blank();
        tables.lull[0][bin_of(300_000)] = 100;
        tables.summary[SummaryRow::EnclosedOppositeLead as usize][bin_of(50_000)] = 20;
        tables.summary[SummaryRow::EnclosedOppositeOverlap as usize][bin_of(70_000)] = 8;
        let code = "KeyF".parse().unwrap();
        let contacts = [Contact { code, hand: Hand::Right, down: 50_000, up: 120_000 }];
        let encounter = Encounter::new(code, Hand::Left, Instant(0), Span(200_000))
            .with_contacts(&contacts)
            .with_lull(Span(300_000));
        let rule = |threshold| Evidence::new(Arc::new(tables.clone()), threshold);
        assert_eq!(rule(0.5).decide(&encounter), Decision::hold(Span(120_000)));
        assert_eq!(rule(0.5 + 1.0 / 256.0).decide(&encounter), Decision::tap(Span(120_000)));
        assert_eq!(rule(0.0).critical_value(0, &encounter), Some(0.5));
        // A key carried over has a row of its own, here empty.
        assert_eq!(rule(0.0).critical_value(0, &encounter.with_carried(&contacts)), Some(28.0 / 256.0));
    }
}

//! `sequential-evidence`: decides as soon as what happened, and what did not, is convincing.

use std::ops::ControlFlow;
use std::sync::Arc;

use agogic_keys::Span;

use super::bounds::{Bounds, Path};
use crate::cost::{HAND_BYTES, RuleCost, Work};
use crate::learned::course;
use crate::registry::{Monotone, Param, Policy, RuleEntry};
use crate::{Asks, BINS, Decision, Encounter, EvidenceTables, Piece, SettingError, Sight, TableCost};

/// Decide as soon as the accumulated log-likelihood ratio crosses either bound.
///
/// # Definition
/// The sum starts at the press with the entry of the lull. From then on each event adds its entry in
/// [`EvidenceTables::course`], and so does each bin of time that passes without one: the first contact (its
/// time, and whether by the opposite hand), the first release of any contact, the own release. See
/// [`CourseRow`](crate::CourseRow) for the states and their clocks. Hold as soon as sum ≥ `hold_nats`, tap
/// as soon as sum ≤ −`tap_nats`; at the own release, if neither happened, hold when sum ≥ `end_nats`, else
/// tap.
///
/// An entry of an event compares how likely it is for holds and taps that have come that far; an entry of
/// passed time compares how likely it is to get through that bin. Later contacts add nothing.
///
/// The bounds are on the likelihood ratio, as in Wald's test: with equal priors, ln((1 − β)/α) and
/// ln((1 − α)/β) aim at error rates α (false hold) and β (missed hold). At the end no more evidence can
/// come, so the third value is a plain threshold, as that of [`Evidence`](crate::Evidence): for what is
/// likelier, when one press in k + 1 is a hold, it is ln k. To take such odds into account from the start,
/// raise `hold_nats` by ln k and lower `tap_nats` by it. An `end_nats` of `hold_nats` or more calls every
/// press that is undecided at its end a tap; one of −`tap_nats` or less calls it a hold.
///
/// # Ties
/// A sum equal to a bound has reached it; the bound of holds is looked at first. An event at the upper edge
/// of a bin happens in that bin, which then does not pass. Bounds are rounded to 1/256 nat.
///
/// # Source
/// Wald 1945 for the sequential probability ratio test; states and bins are our own choice.
///
/// # Pictures
/// The tables of this picture were trained on a few made-up encounters, not on people.
#[doc = include_str!("../../pictures/sequential-evidence.svg")]
#[derive(Clone, Debug)]
pub struct SequentialEvidence {
    tables: Arc<EvidenceTables>,
    bounds: Bounds,
}

/// Assumed: seven taps for each hold, as prose with its capitals and a few shortcuts has under the resting
/// fingers. The same odds as those the threshold of `evidence` would be set for.
const END_NATS: f64 = 2.0;

pub(crate) const ENTRY: RuleEntry = RuleEntry {
    name: "sequential-evidence",
    summary: "hold or tap as soon as the evidence so far, passing time included, crosses either bound; learned",
    bare_hold: "recognised as time passes with the key still down, once taps of that length are rare enough",
    source: "Wald 1945 for the sequential probability ratio test; states and bins are our own choice",
    params: &[
        Param {
            name: "hold_nats",
            unit: "nat",
            default: 3.0,
            min: 0.0,
            max: 30.0,
            monotone: Some(Monotone::FewerHolds),
            doc: "log-likelihood ratio from which it is a hold at once",
        },
        Param {
            name: "tap_nats",
            unit: "nat",
            default: 3.0,
            min: 0.0,
            max: 30.0,
            monotone: Some(Monotone::MoreHolds),
            doc: "log-likelihood ratio against a hold from which it is a tap at once",
        },
        Param {
            name: "end_nats",
            unit: "nat",
            default: END_NATS,
            min: -30.0,
            max: 30.0,
            monotone: Some(Monotone::FewerHolds),
            doc: "least log-likelihood ratio that makes a hold of a press undecided at its end; ln k suits one \
                  hold among k taps",
        },
    ],
    cost: RuleCost {
        // Hands of keys; for the lull, the latest press and how many keys are down.
        shared_bytes: HAND_BYTES + 5,
        // Press time, start of the state's clock, sum; state and bin.
        state_bytes: 14,
        // Which other keys belong to the encounter.
        state_bytes_per_key: 1,
        once: Work { lookups: 1, additions: 1, comparisons: 3, multiplications: 0 },
        once_per_key: Work { comparisons: 1, ..Work::NONE },
        tables: Some(SequentialEvidence::COST),
    },
    needs_training: true,
    asks: Asks::BOTH,
    sight: Sight::Timing,
    build: |values, tables| match tables {
        Some(tables) => Ok(Box::new(SequentialEvidence::new(Arc::clone(tables), values[0], values[1], values[2]))),
        None => Err(SettingError::Untrained { rule: "sequential-evidence" }),
    },
};

impl SequentialEvidence {
    /// What deciding costs at worst: the lull, then three states in each of which every bin but the last
    /// passes and an event follows; two comparisons after each entry, and one at the end.
    pub const COST: TableCost = TableCost {
        bytes: 2 * (2 * (BINS + 1) + crate::CourseRow::ALL.len() * BINS),
        lookups: 1 + 3 * BINS,
        additions: 3 * BINS,
        comparisons: 2 * (1 + 3 * BINS) + 1,
        lookups_at_once: 1,
    };

    /// The rule with these tables, bounds and threshold at the end, in nats.
    pub fn new(tables: Arc<EvidenceTables>, hold_nats: f64, tap_nats: f64, end_nats: f64) -> Self {
        Self { tables, bounds: Bounds::new(hold_nats, tap_nats, end_nats) }
    }
}

impl Path for SequentialEvidence {
    #[inline]
    fn path<B>(
        &self,
        encounter: &Encounter<'_>,
        mut visit: impl FnMut(i32, Span) -> ControlFlow<B>,
    ) -> ControlFlow<B, i32> {
        let mut sum = self.tables.at_press(encounter);
        visit(sum, Span::ZERO)?;
        course(encounter, |at, row, bin| {
            sum += i32::from(self.tables.course[row as usize][bin]);
            visit(sum, Span(at.max(0) as u64))
        })?;
        ControlFlow::Continue(sum)
    }

    fn bounds(&self) -> &Bounds {
        &self.bounds
    }
}

impl Policy for SequentialEvidence {
    #[inline]
    fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        self.decided(encounter)
    }

    fn critical_value(&self, param: usize, encounter: &Encounter<'_>) -> Option<f64> {
        self.critical(param, encounter)
    }

    fn undecided_value(&self, param: usize, encounter: &Encounter<'_>, at: Span) -> f64 {
        self.undecided(param, encounter, at)
    }

    fn pieces(&self, param: usize, encounter: &Encounter<'_>, pieces: &mut Vec<Piece>) -> bool {
        self.pieces_of(param, encounter, pieces);
        true
    }
}

#[cfg(test)]
mod tests {
    use super::super::bounds::{END, HOLD, TAP};
    use super::*;
    use crate::{Contact, CourseRow, bin_of};
    use agogic_keys::{Hand, Instant};

    fn lone(dwell_us: u64) -> Encounter<'static> {
        Encounter::new("KeyF".parse().unwrap(), Hand::Left, Instant(0), Span(dwell_us))
    }

    #[test]
    fn passing_time_alone_can_make_a_hold() {
        let mut tables = EvidenceTables::blank();
        tables.course[CourseRow::AlonePassed as usize][bin_of(229_376)] = 512;
        let rule = SequentialEvidence::new(Arc::new(tables), 2.0, 2.0, 0.0);
        assert_eq!(rule.decide(&lone(229_377)), Decision::hold(Span(229_376)));
        // Released at the edge: the bin has not passed, and without evidence the end decides.
        assert_eq!(rule.decide(&lone(229_376)), Decision::hold(Span(229_376)));
        let rule = SequentialEvidence { bounds: Bounds { hold: 513, ..rule.bounds }, ..rule };
        assert_eq!(rule.decide(&lone(900_000)), Decision::hold(Span(900_000)));
    }

    #[test]
    fn the_end_has_a_threshold_of_its_own() {
        let mut tables = EvidenceTables::blank();
        tables.lull[0][bin_of(60_000)] = 300;
        let tables = Arc::new(tables);
        let lone = lone(90_000).with_lull(Span(60_000));
        let decide = |end| SequentialEvidence::new(Arc::clone(&tables), 3.0, 3.0, end).decide(&lone);
        assert_eq!(decide(300.0 / 256.0), Decision::hold(Span(90_000)));
        assert_eq!(decide(301.0 / 256.0), Decision::tap(Span(90_000)));
        let rule = SequentialEvidence::new(tables, 3.0, 3.0, 0.0);
        assert_eq!(rule.critical_value(END, &lone), Some(300.0 / 256.0));
        assert_eq!((rule.critical_value(HOLD, &lone), rule.critical_value(TAP, &lone)), (Some(f64::INFINITY), None));
    }

    #[test]
    fn the_lull_alone_can_settle_it_at_the_press() {
        let mut tables = EvidenceTables::blank();
        tables.lull[0][bin_of(60_000)] = -800;
        let rule = SequentialEvidence::new(Arc::new(tables), 3.0, 3.0, 0.0);
        assert_eq!(rule.decide(&lone(900_000).with_lull(Span(60_000))), Decision::tap(Span::ZERO));
    }

    #[test]
    fn the_worst_case_is_the_stated_one() {
        let code = "KeyF".parse().unwrap();
        let contacts = [Contact { code, hand: Hand::Right, down: 2_000_000, up: 4_000_000 }];
        let slow = lone(6_000_000).with_contacts(&contacts);
        let mut entries = 1;
        let _ = course(&slow, |_, _, _| {
            entries += 1;
            ControlFlow::<()>::Continue(())
        });
        assert_eq!(entries, SequentialEvidence::COST.lookups);
    }
}

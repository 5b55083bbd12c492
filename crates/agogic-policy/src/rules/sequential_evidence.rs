//! `sequential-evidence`: decides as soon as what happened, and what did not, is convincing.

use std::ops::ControlFlow;
use std::sync::Arc;

use agogic_keys::Span;

use crate::learned::{course, units};
use crate::registry::{Monotone, Param, Policy, RuleEntry};
use crate::{BINS, Decision, Encounter, EvidenceTables, SettingError, TableCost};

/// Decide as soon as the accumulated log-likelihood ratio crosses either bound.
///
/// # Definition
/// The sum starts at the press with the entry of the lull. From then on each event adds its entry in
/// [`EvidenceTables::course`], and so does each bin of time that passes without one: the first contact (its
/// time, and whether by the opposite hand), the first release of any contact, the own release. See
/// [`CourseRow`](crate::CourseRow) for the states and their clocks. Hold as soon as sum ≥ `hold_nats`, tap
/// as soon as sum ≤ −`tap_nats`; at the own release, if neither happened, hold when sum ≥ 0, else tap.
///
/// An entry of an event compares how likely it is for holds and taps that have come that far; an entry of
/// passed time compares how likely it is to get through that bin. Later contacts add nothing.
///
/// The bounds are on the likelihood ratio, as in Wald's test: with equal priors, ln((1 − β)/α) and
/// ln((1 − α)/β) aim at error rates α (false hold) and β (missed hold). For one hold among k taps raise
/// `hold_nats` by ln k and lower `tap_nats` by it; the sign at the end knows nothing of prior odds.
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
    hold: i32,
    tap: i32,
}

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
    ],
    needs_training: true,
    build: |values, tables| match tables {
        Some(tables) => Ok(Box::new(SequentialEvidence::new(Arc::clone(tables), values[0], values[1]))),
        None => Err(SettingError::Untrained { rule: "sequential-evidence" }),
    },
};

impl SequentialEvidence {
    /// What deciding costs at worst: the lull, then three states in each of which every bin but the last
    /// passes and an event follows; two comparisons after each entry, and the sign at the end.
    pub const COST: TableCost = TableCost {
        bytes: 2 * (2 * (BINS + 1) + crate::CourseRow::ALL.len() * BINS),
        lookups: 1 + 3 * BINS,
        additions: 3 * BINS,
        comparisons: 2 * (1 + 3 * BINS) + 1,
        lookups_at_once: 1,
    };

    /// The rule with these tables and bounds in nats.
    pub fn new(tables: Arc<EvidenceTables>, hold_nats: f64, tap_nats: f64) -> Self {
        Self { tables, hold: units(hold_nats), tap: -units(tap_nats) }
    }
}

impl Policy for SequentialEvidence {
    fn decide(&self, encounter: &Encounter<'_>) -> Decision {
        let mut sum = self.tables.at_press(encounter);
        let verdict = |sum: i32, at: i64| {
            let after = Span(at.max(0) as u64);
            if sum >= self.hold {
                ControlFlow::Break(Decision::hold(after))
            } else if sum <= self.tap {
                ControlFlow::Break(Decision::tap(after))
            } else {
                ControlFlow::Continue(())
            }
        };
        if let ControlFlow::Break(decision) = verdict(sum, 0) {
            return decision;
        }
        let crossed = course(encounter, |at, row, bin| {
            sum += i32::from(self.tables.course[row as usize][bin]);
            verdict(sum, at)
        });
        match crossed {
            ControlFlow::Break(decision) => decision,
            ControlFlow::Continue(()) if sum >= 0 => Decision::hold(encounter.dwell),
            ControlFlow::Continue(()) => Decision::tap(encounter.dwell),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Contact, CourseRow, bin_of};
    use agogic_keys::{Hand, Instant};

    fn tables() -> EvidenceTables {
        EvidenceTables { taps: 1, holds: 1, lull: [[0; BINS + 1]; 2], summary: [[0; BINS]; 9], course: [[0; BINS]; 12] }
    }

    fn lone(dwell_us: u64) -> Encounter<'static> {
        Encounter::new("KeyF".parse().unwrap(), Hand::Left, Instant(0), Span(dwell_us))
    }

    #[test]
    fn passing_time_alone_can_make_a_hold() {
        let mut tables = tables();
        tables.course[CourseRow::AlonePassed as usize][bin_of(229_376)] = 512;
        let rule = SequentialEvidence::new(Arc::new(tables), 2.0, 2.0);
        assert_eq!(rule.decide(&lone(229_377)), Decision::hold(Span(229_376)));
        // Released at the edge: the bin has not passed, and without evidence the sign decides.
        assert_eq!(rule.decide(&lone(229_376)), Decision::hold(Span(229_376)));
        let rule = SequentialEvidence { hold: 513, ..rule };
        assert_eq!(rule.decide(&lone(900_000)), Decision::hold(Span(900_000)));
    }

    #[test]
    fn the_lull_alone_can_settle_it_at_the_press() {
        let mut tables = tables();
        tables.lull[0][bin_of(60_000)] = -800;
        let rule = SequentialEvidence::new(Arc::new(tables), 3.0, 3.0);
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

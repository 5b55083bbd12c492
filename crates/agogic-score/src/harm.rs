//! Harm: what the wrong outcomes of a session cost under a stated table.

use std::ops::AddAssign;

use serde::{Deserialize, Serialize};

use crate::cost_table::CostTable;
use crate::kinds::{Kinds, Outcome};

/// The harm of one or more sessions, split by cause.
///
/// # Units
/// Whole microseconds of repair, so that sums are the same in any order. [`Harm::seconds`] gives seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Harm {
    /// From letters lost to false holds.
    pub false_holds_us: u64,
    /// From letters written by missed holds.
    pub missed_holds_us: u64,
    /// From keys that arrived with a modifier nobody meant.
    pub stray_chords_us: u64,
    /// From keys that arrived without a modifier that was meant.
    pub lost_chords_us: u64,
}

impl Harm {
    /// The whole harm in µs of repair.
    pub fn total_us(&self) -> u64 {
        self.false_holds_us + self.missed_holds_us + self.stray_chords_us + self.lost_chords_us
    }

    /// The whole harm in seconds of repair.
    pub fn seconds(&self) -> f64 {
        self.total_us() as f64 / 1e6
    }
}

impl AddAssign for Harm {
    fn add_assign(&mut self, other: Self) {
        let Self { false_holds_us, missed_holds_us, stray_chords_us, lost_chords_us } = other;
        self.false_holds_us += false_holds_us;
        self.missed_holds_us += missed_holds_us;
        self.stray_chords_us += stray_chords_us;
        self.lost_chords_us += lost_chords_us;
    }
}

/// The harm of what was counted.
///
/// # Definition
/// Σ count(outcome, modifier, key) · cost(outcome, modifier, key). The sum is linear in the counts: harm
/// under another table needs no new run, and the harm of sessions together is the sum of their harms. The
/// price of that is small and known: a chord with two unmeant modifiers costs as much as both, and a false
/// hold is charged beside the stray chords it makes, as a missed hold is beside its lost ones.
///
/// # Units
/// Seconds of repair under the table. Those of [`CostTable::default`] are assumed, not measured: compare
/// policies by them, and look at both ends of their ranges, but do not read them as times of real people.
pub fn harm(costs: &CostTable, kinds: &Kinds) -> Harm {
    let mut harm = Harm::default();
    for row in kinds.rows() {
        let cost = row.count * costs.cost_us(row.outcome, row.modifier, row.key);
        match row.outcome {
            Outcome::FalseHold => harm.false_holds_us += cost,
            Outcome::MissedHold => harm.missed_holds_us += cost,
            Outcome::StrayChord => harm.stray_chords_us += cost,
            Outcome::LostChord => harm.lost_chords_us += cost,
        }
    }
    harm
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cost_table::{CostLevel, CostSpec};
    use crate::kinds::KindRow;
    use agogic_keys::Modifier;

    fn row(outcome: Outcome, modifier: Modifier, key: &str, count: u64) -> KindRow {
        KindRow { outcome, modifier, key: key.parse().unwrap(), count }
    }

    fn session() -> Kinds {
        Kinds::try_from(vec![
            row(Outcome::FalseHold, Modifier::Control, "KeyD", 2),
            row(Outcome::StrayChord, Modifier::Control, "KeyW", 1),
            row(Outcome::StrayChord, Modifier::Control, "KeyE", 1),
            row(Outcome::MissedHold, Modifier::Shift, "KeyF", 3),
            row(Outcome::LostChord, Modifier::Shift, "KeyI", 3),
        ])
        .unwrap()
    }

    #[test]
    fn harm_is_the_sum_of_its_causes() {
        let harm = harm(&CostTable::default(), &session());
        let expected = Harm {
            false_holds_us: 2 * 1_500_000,
            missed_holds_us: 3 * 1_000_000,
            stray_chords_us: 30_000_000 + 4_000_000,
            lost_chords_us: 3 * 1_000_000,
        };
        assert_eq!(harm, expected);
        assert_eq!(harm.seconds(), 43.0);
    }

    #[test]
    fn harms_add_up_as_their_counts_do() {
        let costs = CostTable::default();
        let other = Kinds::try_from(vec![row(Outcome::StrayChord, Modifier::Alt, "F4", 1)]).unwrap();
        let mut sum = harm(&costs, &session());
        sum += harm(&costs, &other);
        let mut together = session();
        together += &other;
        assert_eq!(sum, harm(&costs, &together));
        assert_eq!(harm(&costs, &Kinds::new()), Harm::default());
    }

    #[test]
    fn the_ends_of_the_ranges_enclose_the_stated_harm() {
        let [low, stated, high] = [CostLevel::Low, CostLevel::Stated, CostLevel::High]
            .map(|level| harm(&CostSpec::assumed().table(level).unwrap(), &session()).total_us());
        assert!(low < stated && stated < high, "{low} {stated} {high}");
    }
}

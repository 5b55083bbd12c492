//! The wrong decisions of every setting of a grid, counted in one pass over the presses.

use agogic_keys::Span;
use agogic_policy::{Encounter, Setting};

use crate::grid::{FLOORS_MS, Grid, LULLS_MS};

/// Presses of known meaning, sorted by what it would take to make each a hold.
///
/// # Definition
/// Whether a press is a hold under a setting of the [`Grid`] hangs on three comparisons: the threshold of the rule with
/// the press's critical value ([`Setting::critical_value`]), the lull with the time since the press before, and the
/// floor with the dwell. So a press falls into one cell of a table by how many thresholds, lulls and floors it passes,
/// and sums over the table give the decisions of every setting at once.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Presses meant as taps, and as holds.
    pub presses: [u64; 2],
    /// By meaning: family by family, sight by sight, the cells in the order thresholds, lulls, floors passed.
    cells: [Vec<u32>; 2],
    /// Wrong decisions of settings beside the grid, by meaning.
    beside: Vec<[u64; 2]>,
}

/// Wrong decisions of every setting of a grid, and of those beside it.
#[derive(Clone, Debug, Default)]
pub struct Errors {
    /// Presses meant as taps, and as holds.
    pub presses: [f64; 2],
    /// False holds and missed holds of each setting of the grid.
    pub grid: Vec<[f64; 2]>,
    /// The same of each setting beside it.
    pub beside: Vec<[f64; 2]>,
}

impl Tally {
    /// Nothing yet.
    pub fn new(grid: &Grid, beside: usize) -> Self {
        let cells: usize =
            grid.ready.iter().map(|own| own.sights.len() * (own.thresholds.len() + 1) * own.guard_cells()).sum();
        Self { presses: [0; 2], cells: [vec![0; cells], vec![0; cells]], beside: vec![[0; 2]; beside] }
    }

    /// Takes in a press.
    ///
    /// # Panics
    /// There are more settings beside the grid than the tally was made for.
    pub fn add(&mut self, grid: &Grid, beside: &[Setting], encounter: &Encounter<'_>, hold: bool) {
        let meant = usize::from(hold);
        self.presses[meant] += 1;
        let passed = |times: &[f64], span: Span| times.iter().rposition(|ms| span >= Span::from_ms(*ms)).unwrap_or(0);
        let lull = encounter.lull.map_or(LULLS_MS.len() - 1, |lull| passed(&LULLS_MS, lull));
        let floor = passed(&FLOORS_MS, encounter.dwell);
        let mut first = 0;
        for own in &grid.ready {
            let (lulls, floors) = own.guards();
            for setting in &own.sights {
                let thresholds = match own.family.threshold {
                    Some((name, ..)) => {
                        let value = setting.critical_value(name, encounter).expect("a threshold of the rule");
                        own.thresholds.partition_point(|threshold| *threshold <= value)
                    }
                    None => usize::from(setting.decide(encounter).is_hold()),
                };
                let at = (thresholds * lulls + lull.min(lulls - 1)) * floors + floor.min(floors - 1);
                self.cells[meant][first + at] += 1;
                first += (own.thresholds.len() + 1) * own.guard_cells();
            }
        }
        for (setting, wrong) in beside.iter().zip(&mut self.beside) {
            wrong[meant] += u64::from(setting.decide(encounter).is_hold() != hold);
        }
    }

    /// Takes in another tally of the same grid.
    pub fn merge(&mut self, other: &Self) {
        for meant in 0..2 {
            self.presses[meant] += other.presses[meant];
            self.cells[meant].iter_mut().zip(&other.cells[meant]).for_each(|(sum, more)| *sum += more);
        }
        for (sum, more) in self.beside.iter_mut().zip(&other.beside) {
            (0..2).for_each(|meant| sum[meant] += more[meant]);
        }
    }

    /// The wrong decisions of every setting.
    pub fn errors(&self, grid: &Grid) -> Errors {
        let mut wrong = vec![[0.0; 2]; grid.len()];
        let (mut first, mut at) = (0, 0);
        for own in &grid.ready {
            let (lulls, floors) = own.guards();
            for _ in &own.sights {
                let cells = (own.thresholds.len() + 1) * own.guard_cells();
                let held = [0, 1].map(|meant: usize| {
                    let own_cells = &self.cells[meant][first..first + cells];
                    suffix_sums(own_cells, own.thresholds.len() + 1, lulls, floors)
                });
                for threshold in 0..own.thresholds.len() {
                    for guard in 0..own.guard_cells() {
                        // A hold passes this threshold, this lull and this floor.
                        let cell = (threshold + 1) * own.guard_cells() + guard;
                        let held = [held[0][cell], held[1][cell]];
                        wrong[at] = [held[0] as f64, (self.presses[1] - held[1]) as f64];
                        at += 1;
                    }
                }
                first += cells;
            }
        }
        Errors {
            presses: self.presses.map(|count| count as f64),
            grid: wrong,
            beside: self.beside.iter().map(|own| own.map(|count| count as f64)).collect(),
        }
    }
}

impl crate::grid::Ready {
    fn guard_cells(&self) -> usize {
        let (lulls, floors) = self.guards();
        lulls * floors
    }
}

/// Sums over all cells at or above each, along three axes.
fn suffix_sums(cells: &[u32], thresholds: usize, lulls: usize, floors: usize) -> Vec<u64> {
    let mut sums: Vec<u64> = cells.iter().map(|count| u64::from(*count)).collect();
    for (length, stride) in [(thresholds, lulls * floors), (lulls, floors), (floors, 1)] {
        for at in (0..sums.len()).rev() {
            if (at / stride) % length + 1 < length {
                sums[at] += sums[at + stride];
            }
        }
    }
    sums
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Hand, Instant};
    use agogic_policy::Contact;

    /// Encounters of all kinds: dwells, lulls, one contact of either hand or none, enclosed or not.
    fn encounters(mut visit: impl FnMut(&Encounter<'_>, bool)) {
        let ms = |ms: u64| Span(1000 * ms);
        let mut number = 0_u64;
        for dwell in [40, 60, 99, 140, 200, 320, 500] {
            for lull in [None, Some(30), Some(50), Some(149), Some(150), Some(1000)] {
                for lead in [0, 20, 90, 190] {
                    for tail in [-80_i64, -20, 0, 30, 120] {
                        number += 1;
                        let up = dwell as i64 + tail;
                        let hand = if number.is_multiple_of(3) { Hand::Left } else { Hand::Right };
                        let contact = Contact {
                            code: "KeyI".parse().unwrap(),
                            hand,
                            down: 1000 * lead,
                            up: 1000 * up.max(lead + 1),
                        };
                        let contacts = [contact];
                        let own = "KeyF".parse().unwrap();
                        let alone = Encounter::new(own, Hand::Left, Instant(10_000_000), ms(dwell));
                        let alone = lull.map_or(alone, |lull| alone.with_lull(ms(lull)));
                        let inside = (lead as u64) < dwell;
                        let seen = if inside { alone.with_contacts(&contacts) } else { alone };
                        visit(&seen, number.is_multiple_of(4));
                    }
                }
            }
        }
    }

    #[test]
    fn the_counts_are_those_of_every_setting_asked_by_itself() {
        let grid = Grid::new(None, true);
        let beside = [Setting::rule("dwell-cutoff", &[("cutoff_ms", 175.0)]).unwrap()];
        let mut tally = Tally::new(&grid, 1);
        encounters(|encounter, hold| tally.add(&grid, &beside, encounter, hold));
        let settings: Vec<Setting> = (0..grid.len()).map(|at| grid.setting(at)).chain(beside.clone()).collect();
        let mut wanted = vec![[0.0; 2]; settings.len()];
        encounters(|encounter, hold| {
            for (setting, wrong) in settings.iter().zip(&mut wanted) {
                wrong[usize::from(hold)] += f64::from(u8::from(setting.decide(encounter).is_hold() != hold));
            }
        });
        let found = tally.errors(&grid);
        for at in 0..grid.len() {
            assert_eq!(found.grid[at], wanted[at], "{}", settings[at].label());
        }
        assert_eq!(found.beside, wanted[grid.len()..]);
        // The grid tells settings apart.
        let different: std::collections::BTreeSet<[u64; 2]> =
            wanted.iter().map(|own| own.map(|count| count as u64)).collect();
        assert!(different.len() > 60, "{}", different.len());
        let mut twice = tally.clone();
        twice.merge(&tally);
        assert_eq!(twice.errors(&grid).grid[7], found.grid[7].map(|count| 2.0 * count));
    }
}

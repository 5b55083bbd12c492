//! Tables of many, made one person's: what that person's presses say, drawn to what everybody's do.

use super::fit::{Column, Regression};
use super::sample::KeySample;
use super::slots::KEY_SLOTS;
use super::tables::{Entries, FittedSet, KeyTable, KeyedTables};
use crate::learned::UNITS_PER_NAT;

/// How far a person's weights lie from everybody's, in nats: the standard deviation of the prior.
///
/// # Source
/// Chosen among 0.25, 0.5 and 1 on simulated people who type another text than the tables were trained on: the most is
/// gained with 1, see `KEYS.md` of `agogic-literature`.
pub const PERSONAL_PRIOR_NATS: f64 = 1.0;

impl KeyedTables {
    /// These tables, updated by one person's presses with known intents.
    ///
    /// # Definition
    /// Every weight has a normal prior around its entry here with standard deviation `prior_nats`; the new entries are the
    /// mode given the presses. So a cell in which the person has few presses keeps what everybody's say, and one with many
    /// says what the person's do. The sequential form is not updated.
    ///
    /// # Privacy
    /// The result says something of what that person types: see [`KEYS_CAUTION`](crate::KEYS_CAUTION).
    pub fn personal(&self, sample: &KeySample, prior_nats: f64) -> Self {
        let map = self.row_map();
        let ridge = 1.0 / (prior_nats * prior_nats).max(1e-6);
        let columns: Vec<Column> = KeyTable::ALL.iter().map(|table| sample.cells_of(*table, &map, ridge)).collect();
        let sets = self.sets.iter().map(|set| updated(set, sample, &map, &columns)).collect();
        Self { sets, ..self.clone() }
    }
}

fn updated(set: &FittedSet, sample: &KeySample, map: &[u8; KEY_SLOTS], columns: &[Column]) -> FittedSet {
    let tables = set.tables();
    let mut weights: Vec<Vec<f64>> = tables.iter().map(|table| vec![0.0; table.len()]).collect();
    let used: Vec<&Column> = columns[..tables.len()].iter().collect();
    let mut fit = Regression::new(sample.intents(), sample.sums(set, map));
    fit.fit(&used, &mut weights);
    for (table, weights) in tables.iter().zip(&mut weights) {
        let before = set.entries(*table).iter().map(|entry| f64::from(*entry) / UNITS_PER_NAT);
        weights.iter_mut().zip(before).for_each(|(weight, before)| *weight += before);
    }
    let start = f64::from(set.constant()) / UNITS_PER_NAT + fit.constant;
    FittedSet {
        start: set.table_set().in_wide_units(start),
        entries: Entries::of_weights(set.table_set(), &weights),
        ..set.clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Encounter, EvidenceTables};
    use agogic_keys::{Code, Hand, Instant, Span};

    fn lone(name: &str, ms: u64) -> Encounter<'static> {
        Encounter::new(name.parse().unwrap(), Hand::Left, Instant(0), Span(ms * 1000)).with_lull(Span(200_000))
    }

    fn sample(f_is_held: bool, presses: usize) -> KeySample {
        let mut sample = KeySample::new();
        (0..presses).for_each(|_| sample.add(&lone("KeyF", 150), f_is_held));
        (0..presses).for_each(|_| sample.add(&lone("KeyD", 150), !f_is_held));
        sample
    }

    #[test]
    fn many_presses_move_a_cell_and_few_hardly_do() {
        let everybody = sample(true, 200);
        let tables = EvidenceTables::train([(lone("KeyF", 150), true), (lone("KeyD", 90), false)]).unwrap();
        let all = everybody.tables(1.0, &tables, true).unwrap();
        let f = crate::KeySlot::of("KeyF".parse::<Code>().unwrap()).index();
        let own = |tables: &KeyedTables| tables.within(1024).entries(KeyTable::Own)[f];
        // This person uses F the other way round.
        let few = all.personal(&sample(false, 1), 0.5);
        let many = all.personal(&sample(false, 400), 0.5);
        assert!(own(&all) > 128, "{}", own(&all));
        assert!(own(&few) > own(&all) / 2 && own(&many) < own(&few) - 64, "{} {}", own(&few), own(&many));
        // Nobody's presses change nothing, and a key that the person never pressed keeps its entry.
        assert_eq!(all.personal(&KeySample::new(), 0.5), all);
        let j = crate::KeySlot::of("KeyJ".parse::<Code>().unwrap()).index();
        assert_eq!(many.within(1024).entries(KeyTable::Own)[j], all.within(1024).entries(KeyTable::Own)[j]);
    }
}

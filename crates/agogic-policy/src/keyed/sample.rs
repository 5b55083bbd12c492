//! A training sample, and the step from it to tables.

use agogic_keys::Code;

use super::cells::KeyCells;
use super::fit::{Column, NOWHERE, Regression};
use super::slots::{KEY_SLOTS, KeySlot};
use super::tables::{Entries, FittedSet, KeyTable, KeyedTables, NO_ROW, SequentialEntries, TABLE_SETS};
use crate::learned::UNITS_PER_NAT;
use crate::{BINS, Encounter, EvidenceTables, TrainingError};

/// Standard deviation of the prior of a weight that tells keys, in nats, where a text is read once.
///
/// # Source
/// Chosen among 1.8, 1 and 0.6 on the calibration half of the sample of Dhakal et al. 2018 and between texts typed by
/// simulated people; where 1 and 1.8 hardly differ, the calibration half is best served with 1.
pub const KEY_PRIOR_NATS: f64 = 1.0;

/// Standard deviation of the prior of a weight of times, in nats.
///
/// # Source
/// Our choice: far less than the sample says of any cell that matters.
pub const TIME_PRIOR_NATS: f64 = 1.0;

/// Encounters as cells, with what they were meant as.
///
/// Samples are kept in the order in which they were added or appended, so the tables are the same bits for any number
/// of threads, if whoever appends keeps to an order.
#[derive(Clone, Debug, Default)]
pub struct KeySample {
    cells: Vec<KeyCells>,
    holds: Vec<bool>,
}

impl KeySample {
    /// An empty sample.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds one encounter that was meant as a hold or as a tap.
    pub fn add(&mut self, encounter: &Encounter<'_>, is_hold: bool) {
        self.cells.push(KeyCells::of(encounter));
        self.holds.push(is_hold);
    }

    /// Adds the encounters of another sample, after those of this one.
    pub fn append(&mut self, mut other: Self) {
        self.cells.append(&mut other.cells);
        self.holds.append(&mut other.holds);
    }

    /// Encounters.
    pub fn len(&self) -> usize {
        self.holds.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.holds.is_empty()
    }

    /// The tables of this sample, for every set of [`TABLE_SETS`] and for the sequential form.
    ///
    /// `readings` is how often the text was typed in the sample: keys are weighed as if it had been typed once, since
    /// many typists say no more of a language than the one text they type. `tables` are those of
    /// [`EvidenceCounts`](crate::EvidenceCounts) from the same people; the sequential form adds its terms to their course.
    /// With `own` false nothing is learned of own keys, neither alone nor in pairs.
    ///
    /// # Definition
    /// An additive logistic regression over the cells of all tables of a set, within normal priors of mean zero and
    /// standard deviation [`TIME_PRIOR_NATS`], or [`KEY_PRIOR_NATS`]/√readings for tables that tell keys. Keys that never
    /// occur are neutral. What the priors take from the sums as a whole is given back: a shift and a slope for all entries of
    /// a set make them as sure as they may be. Sets are fitted from the smallest, each from where the last ended. The sequential form is
    /// fitted in two steps: own and previous key at the press, given the lull; the contact at the first contact, given all
    /// before.
    ///
    /// # Errors
    /// [`TrainingError::OneSided`] when there is no tap or no hold.
    pub fn tables(&self, readings: f64, tables: &EvidenceTables, own: bool) -> Result<KeyedTables, TrainingError> {
        let holds = self.holds.iter().filter(|hold| **hold).count() as u64;
        let taps = self.len() as u64 - holds;
        if taps == 0 || holds == 0 {
            return Err(TrainingError::OneSided { taps, holds });
        }
        let rows = if own { self.most_held() } else { Vec::new() };
        let map = row_map(&rows);
        let columns: Vec<Column> = KeyTable::ALL.iter().map(|table| self.column(*table, &map, readings, own)).collect();
        let mut weights: Vec<Vec<f64>> = columns.iter().map(|column| vec![0.0; column.len]).collect();
        let mut fit = Regression::new(&self.holds, vec![0.0; self.len()]);
        let mut sets: Vec<FittedSet> = Vec::with_capacity(TABLE_SETS.len());
        let mut fitted = 0;
        for set in TABLE_SETS {
            if set.tables > fitted {
                let used: Vec<&Column> = columns[..set.tables].iter().collect();
                fit.fit(&used, &mut weights[..set.tables]);
                fitted = set.tables;
            }
            let sure = fit.sureness();
            let loss = libm::round(1e6 * fit.loss(sure) / self.len() as f64) as u64;
            sets.push(FittedSet {
                bytes: set.bytes(),
                loss,
                start: set.in_wide_units(sure.of(fit.constant)),
                entries: Entries::of_weights(set, &scaled(&weights, sure.slope)),
            });
        }
        let sequential = self.sequential(&columns, tables);
        Ok(KeyedTables { rows, sets, sequential })
    }

    /// Terms of keys beside the course.
    fn sequential(&self, columns: &[Column], tables: &EvidenceTables) -> SequentialEntries {
        use KeyTable::{Contact, Own, OwnContact, OwnPrevious, Previous};
        let nats = |units: i32| f64::from(units) / UNITS_PER_NAT;
        let lull = |cells: &KeyCells| {
            let (carried, bin) = (usize::from(cells.lull) / (BINS + 1), usize::from(cells.lull) % (BINS + 1));
            nats(i32::from(tables.lull[carried][bin]))
        };
        let mut weights: Vec<Vec<f64>> = columns.iter().map(|column| vec![0.0; column.len]).collect();
        let mut fit = |fit: &mut Regression<'_>, used: [KeyTable; 2], more: Option<KeyTable>| {
            let used: Vec<KeyTable> = used.into_iter().chain(more).collect();
            let mut own: Vec<Vec<f64>> = used.iter().map(|table| weights[*table as usize].clone()).collect();
            let of: Vec<&Column> = used.iter().map(|table| &columns[*table as usize]).collect();
            fit.fit(&of, &mut own);
            used.iter().zip(own).for_each(|(table, own)| weights[*table as usize] = own);
        };
        let mut at_press = Regression::new(&self.holds, self.cells.iter().map(lull).collect());
        fit(&mut at_press, [Own, Previous], Some(OwnPrevious));
        let sure = at_press.sureness();
        weights = scaled(&weights, sure.slope);
        let start = sure.of(at_press.constant);
        // From here on those presses alone during which another key came down.
        let joined: Vec<usize> = (0..self.len()).filter(|&at| self.cells[at].contact.is_some()).collect();
        let holds: Vec<bool> = joined.iter().map(|&at| self.holds[at]).collect();
        let offsets = joined.iter().map(|&at| {
            let lead = usize::from(self.cells[at].lead);
            at_press.surely(at, sure) + nats(tables.course_to_contact(lead / BINS, lead % BINS))
        });
        let narrowed = |table: KeyTable| {
            let column = &columns[table as usize];
            let cells = joined.iter().map(|&at| column.cells[at]).collect();
            Column { cells, len: column.len, ridge: column.ridge }
        };
        let under = [narrowed(Contact), narrowed(OwnContact)];
        let mut own = [vec![0.0; under[0].len], vec![0.0; under[1].len]];
        // What all contacts have in common lies in the entries of the contact: a sum has one constant.
        let mut at_contact = Regression::new(&holds, offsets.collect());
        at_contact.fit(&[&under[0], &under[1]], &mut own);
        let sure = at_contact.sureness();
        let mut own = scaled(&own, sure.slope);
        own[0].iter_mut().for_each(|weight| *weight += sure.of(at_contact.constant));
        weights[OwnContact as usize] = own.pop().expect("two columns");
        weights[Contact as usize] = own.pop().expect("two columns");
        SequentialEntries {
            start: SequentialEntries::SET.in_wide_units(start),
            entries: Entries::of_weights(SequentialEntries::SET, &weights),
        }
    }

    /// The own keys that are held most, eight at most; of those held as often the first in the table of codes.
    fn most_held(&self) -> Vec<Code> {
        let mut counts = [0_u64; KEY_SLOTS];
        for (cells, _) in self.cells.iter().zip(&self.holds).filter(|(_, hold)| **hold) {
            counts[cells.own.index()] += 1;
        }
        let mut slots: Vec<KeySlot> = (0..KEY_SLOTS).filter_map(KeySlot::from_index).collect();
        slots.retain(|slot| counts[slot.index()] > 0 && slot.code().is_some());
        slots.sort_by_key(|slot| (std::cmp::Reverse(counts[slot.index()]), *slot));
        slots.into_iter().filter_map(KeySlot::code).take(usize::from(NO_ROW)).collect()
    }

    fn column(&self, table: KeyTable, map: &[u8; KEY_SLOTS], readings: f64, own: bool) -> Column {
        let ridge = if table.tells_keys() {
            readings.max(1.0) / (KEY_PRIOR_NATS * KEY_PRIOR_NATS)
        } else {
            1.0 / (TIME_PRIOR_NATS * TIME_PRIOR_NATS)
        };
        let mut column = self.cells_of(table, map, ridge);
        if table == KeyTable::Own && !own {
            column.cells.fill(NOWHERE);
        }
        column
    }

    /// The cell of every press in a table, by the rows of own keys.
    pub(super) fn cells_of(&self, table: KeyTable, map: &[u8; KEY_SLOTS], ridge: f64) -> Column {
        let cell = |cells: &KeyCells| cells.place(table, row_of(map, cells)).map_or(NOWHERE, |place| place as u16);
        Column { cells: self.cells.iter().map(cell).collect(), len: table.len(), ridge }
    }

    /// The log odds of every press under a set of tables, in nats.
    pub(super) fn sums(&self, set: &FittedSet, map: &[u8; KEY_SLOTS]) -> Vec<f64> {
        let sum = |cells: &KeyCells| {
            let entry = |table: &KeyTable| {
                cells.place(*table, row_of(map, cells)).map_or(0, |place| i32::from(set.entries(*table)[place]))
            };
            let units = i32::from(set.constant()) + set.tables().iter().map(entry).sum::<i32>();
            f64::from(units) / UNITS_PER_NAT
        };
        self.cells.iter().map(sum).collect()
    }

    /// Whether each press was meant as a hold.
    pub(super) fn intents(&self) -> &[bool] {
        &self.holds
    }
}

/// The row of the own key in tables of pairs.
fn row_of(map: &[u8; KEY_SLOTS], cells: &KeyCells) -> Option<usize> {
    let row = map[cells.own.index()];
    (row != NO_ROW).then_some(usize::from(row))
}

/// Weights times a slope.
fn scaled(weights: &[Vec<f64>], slope: f64) -> Vec<Vec<f64>> {
    weights.iter().map(|weights| weights.iter().map(|weight| slope * weight).collect()).collect()
}

fn row_map(rows: &[Code]) -> [u8; KEY_SLOTS] {
    let mut map = [NO_ROW; KEY_SLOTS];
    rows.iter().enumerate().for_each(|(row, code)| map[KeySlot::of(*code).index()] = row as u8);
    map
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Contact;
    use agogic_keys::{Hand, Instant, Span};

    fn code(name: &str) -> Code {
        name.parse().unwrap()
    }

    /// Taps of F and D after E with O rolled on, holds of F alone after a space with T under them.
    fn sample(presses: u64) -> (KeySample, EvidenceTables) {
        let mut keys = KeySample::new();
        let mut counts = crate::EvidenceCounts::new();
        for i in 0..presses {
            let (own, before, under, hold) = match i % 3 {
                0 => ("KeyF", "Space", "KeyT", true),
                1 => ("KeyF", "KeyE", "KeyO", false),
                _ => ("KeyD", "KeyE", "KeyO", false),
            };
            let contacts = [Contact { code: code(under), hand: Hand::Right, down: 80_000, up: 150_000 }];
            let encounter = Encounter::new(code(own), Hand::Left, Instant(0), Span(200_000))
                .with_lull(Span(150_000))
                .with_previous(code(before))
                .with_contacts(&contacts);
            keys.add(&encounter, hold);
            counts.add(&encounter, hold);
        }
        (keys, counts.tables().unwrap())
    }

    fn entry(tables: &KeyedTables, table: KeyTable, name: &str) -> i16 {
        tables.within(4096).entries(table)[KeySlot::of(code(name)).index()]
    }

    #[test]
    fn keys_speak_for_what_they_stood_beside_and_others_are_neutral() {
        let (keys, tables) = sample(300);
        let fitted = keys.tables(1.0, &tables, true).unwrap();
        for (table, hold, tap) in [
            (KeyTable::Previous, "Space", "KeyE"),
            (KeyTable::Contact, "KeyT", "KeyO"),
            (KeyTable::Own, "KeyF", "KeyD"),
        ] {
            assert!(entry(&fitted, table, hold) > 0 && entry(&fitted, table, tap) < 0, "{table:?}");
            // A name, a password, an unusual shortcut: keys that were never seen say nothing.
            assert_eq!(entry(&fitted, table, "KeyQ"), 0);
        }
        assert_eq!(fitted.rows, [code("KeyF")], "only keys that were held have rows");
        assert_eq!(fitted.within(400).entries(KeyTable::Contact), [0; KEY_SLOTS], "a small set does not keep it");
    }

    #[test]
    fn a_text_that_was_typed_again_and_again_says_no_more_than_once() {
        let (once, tables) = sample(60);
        let (often, _) = sample(6000);
        let once = once.tables(1.0, &tables, true).unwrap();
        let (weighed, trusted) =
            (often.tables(100.0, &tables, true).unwrap(), often.tables(1.0, &tables, true).unwrap());
        let of = |fitted: &KeyedTables| entry(fitted, KeyTable::Contact, "KeyT");
        assert!(
            (of(&weighed) - of(&once)).abs() < (of(&trusted) - of(&once)).abs(),
            "{} {} {}",
            of(&once),
            of(&weighed),
            of(&trusted)
        );
    }

    #[test]
    fn nothing_is_learned_of_own_keys_where_they_say_nothing() {
        let (keys, tables) = sample(300);
        let fitted = keys.tables(1.0, &tables, false).unwrap();
        assert!(fitted.rows.is_empty());
        for table in [KeyTable::Own, KeyTable::OwnContact, KeyTable::OwnPrevious] {
            assert!(fitted.within(4096).entries(table).iter().all(|units| *units == 0), "{table:?}");
        }
        assert!(entry(&fitted, KeyTable::Previous, "Space") > 0);
    }

    #[test]
    fn a_sample_of_one_kind_is_refused() {
        let (_, tables) = sample(30);
        let refused = KeySample::new().tables(1.0, &tables, true).unwrap_err();
        assert_eq!(refused, TrainingError::OneSided { taps: 0, holds: 0 });
    }
}

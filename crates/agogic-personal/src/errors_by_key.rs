//! Where a setting errs: by key and by finger.

use std::collections::BTreeMap;

use agogic_keys::{Board, Code};
use serde::Serialize;

use crate::choice::Decided;

/// Presses and wrong decisions of some keys, under the setting before and the one that is advised.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct KeyErrors {
    /// The key, or the finger.
    pub name: String,
    /// Presses meant as taps.
    pub taps: u64,
    /// Of these, decided as holds before and after.
    pub false_holds: [u64; 2],
    /// Presses meant as holds.
    pub holds: u64,
    /// Of these, decided as taps before and after.
    pub missed_holds: [u64; 2],
    /// Taps that lasted longer than 200 ms.
    pub long_taps: u64,
}

/// A tap this long is taken for a hold by many rules.
const LONG_MS: f64 = 200.0;

impl KeyErrors {
    fn add(&mut self, own: &Decided, after: bool) {
        let wrong = [own.before, after].map(|decided| u64::from(decided != own.hold));
        let (all, errors) = match own.hold {
            true => (&mut self.holds, &mut self.missed_holds),
            false => (&mut self.taps, &mut self.false_holds),
        };
        *all += 1;
        errors.iter_mut().zip(wrong).for_each(|(sum, wrong)| *sum += wrong);
        self.long_taps += u64::from(!own.hold && own.dwell.ms() > LONG_MS);
    }

    /// Wrong decisions under the setting before, and the one that is advised.
    pub fn wrong(&self) -> [u64; 2] {
        [0, 1].map(|at: usize| self.false_holds[at] + self.missed_holds[at])
    }
}

/// By key and by finger, those with most wrong decisions before first.
pub(crate) fn by_key(board: &Board, decided: &[Decided], row: usize) -> (Vec<KeyErrors>, Vec<KeyErrors>) {
    let mut keys: BTreeMap<Code, KeyErrors> = BTreeMap::new();
    let mut fingers: BTreeMap<String, KeyErrors> = BTreeMap::new();
    for own in decided {
        keys.entry(own.code).or_default().add(own, own.after[row]);
        if let Some(place) = board.place(own.code) {
            fingers.entry(place.finger_in_words()).or_default().add(own, own.after[row]);
        }
    }
    let named = |(name, errors): (String, KeyErrors)| KeyErrors { name, ..errors };
    let mut keys: Vec<KeyErrors> = keys.into_iter().map(|(code, own)| named((code.name().to_owned(), own))).collect();
    let mut fingers: Vec<KeyErrors> = fingers.into_iter().map(named).collect();
    for all in [&mut keys, &mut fingers] {
        all.sort_by_key(|own| std::cmp::Reverse(own.wrong()[0]));
    }
    (keys, fingers)
}

//! Random stories for the property tests: encounters that own what they refer to, on a coarse grid of time
//! so that ties are common.

#![allow(dead_code)]

use std::sync::Arc;

use agogic_keys::{Code, Hand, Instant, Span};
use agogic_policy::{
    BINS, Contact, CourseRow, Decision, Encounter, EvidenceTables, Guards, KeyTable, KeyedTables, Param, RULES,
    Setting, Sight, SummaryRow,
};
use proptest::prelude::*;

/// Another key of a story: press and release in steps (the press may lie before zero), and its hand.
pub type Other = (i64, i64, Hand);

#[derive(Clone, Debug)]
pub struct Story {
    /// Length of a step in µs.
    pub step: i64,
    pub dwell: i64,
    pub lull: Option<i64>,
    pub since_same_key: Option<i64>,
    pub carried: Vec<Other>,
    pub contacts: Vec<Other>,
    /// Which of [`KEYS`] was pressed before, where there is a lull.
    pub previous: usize,
}

/// Keys of stories: one that writes and has a pair with the own key, one that does not write, one without a place, a space.
pub const KEYS: [&str; 4] = ["KeyI", "Backspace", "F5", "Space"];

pub fn own_key() -> Code {
    "KeyF".parse().unwrap()
}

impl Story {
    pub fn us(&self, steps: i64) -> i64 {
        steps * self.step
    }

    pub fn span(&self, steps: i64) -> Span {
        Span(self.us(steps) as u64)
    }

    pub fn contact(&self, &(down, up, hand): &Other) -> Contact {
        // Of its press alone: what comes later must not change which key it is.
        let key = (down + 3 * i64::from(hand == Hand::Left)).rem_euclid(KEYS.len() as i64);
        Contact { code: KEYS[key as usize].parse().unwrap(), hand, down: self.us(down), up: self.us(up) }
    }

    /// Shows the encounter of this story.
    pub fn show<T>(&self, see: impl FnOnce(&Encounter<'_>) -> T) -> T {
        let contacts: Vec<Contact> =
            self.contacts.iter().filter(|other| other.0 < self.dwell).map(|other| self.contact(other)).collect();
        let carried: Vec<Contact> = self.carried.iter().map(|other| self.contact(other)).collect();
        self.show_in_order(&contacts, &carried, see)
    }

    /// The same with contacts given, put in order of press; those of one instant stay as given.
    pub fn show_in_order<T>(
        &self,
        contacts: &[Contact],
        carried: &[Contact],
        see: impl FnOnce(&Encounter<'_>) -> T,
    ) -> T {
        let mut contacts = contacts.to_vec();
        contacts.sort_by_key(|contact| contact.down);
        let mut encounter = Encounter::new(own_key(), Hand::Left, Instant(1 << 40), self.span(self.dwell))
            .with_contacts(&contacts)
            .with_carried(carried);
        encounter.lull = self.lull.map(|steps| self.span(steps));
        encounter.previous = self.lull.map(|_| KEYS[self.previous].parse().unwrap());
        encounter.since_same_key = self.since_same_key.map(|steps| self.span(steps));
        see(&encounter)
    }

    pub fn decide(&self, setting: &Setting) -> Decision {
        self.show(|encounter| setting.decide(encounter))
    }

    /// Another story with the same past up to and including `now` (µs), and another future.
    pub fn with_future(&self, now: i64, future: &Future) -> Self {
        // The first step after `now`.
        let next = now.div_euclid(self.step) + 1;
        let mut ups = future.ups.iter().cycle();
        let mut keep = |&(down, up, hand): &Other| {
            let up = if self.us(up) <= now { up } else { next + ups.next().unwrap() };
            (down, up.max(down + 1), hand)
        };
        let seen = |other: &&Other| self.us(other.0) <= now && other.0 < self.dwell;
        let mut contacts: Vec<Other> = self.contacts.iter().filter(seen).map(&mut keep).collect();
        let carried = self.carried.iter().map(&mut keep).collect();
        contacts.extend(future.later.iter().map(|&(gap, length, hand)| (next + gap, next + gap + length, hand)));
        let dwell = if self.us(self.dwell) <= now { self.dwell } else { next + future.dwell };
        Self { dwell, carried, contacts, ..self.clone() }
    }
}

/// What may come instead of what did.
#[derive(Clone, Debug)]
pub struct Future {
    dwell: i64,
    ups: Vec<i64>,
    later: Vec<Other>,
}

fn hand() -> impl Strategy<Value = Hand> {
    prop_oneof![Just(Hand::Left), Just(Hand::Right), Just(Hand::Right), Just(Hand::Either)]
}

/// Steps that meet the edges of the bins, and one of ten milliseconds.
fn step() -> impl Strategy<Value = i64> {
    prop_oneof![Just(2_048_i64), Just(10_000), Just(16_384)]
}

pub fn story() -> impl Strategy<Value = Story> {
    let contact = (0..60_i64, 1..40_i64, hand()).prop_map(|(down, length, hand)| (down, down + length, hand));
    let carried = (1..20_i64, 1..40_i64, hand()).prop_map(|(before, up, hand)| (-before, up, hand));
    (
        step(),
        1..60_i64,
        proptest::option::of(1..40_i64),
        proptest::option::of(1..40_i64),
        prop::collection::vec(carried, 0..3),
        prop::collection::vec(contact, 0..5),
        0..KEYS.len(),
    )
        .prop_map(|(step, dwell, lull, since_same_key, carried, contacts, previous)| Story {
            step,
            dwell,
            lull,
            since_same_key,
            carried,
            contacts,
            previous,
        })
}

pub fn future() -> impl Strategy<Value = Future> {
    (0..80_i64, prop::collection::vec(0..80_i64, 1..5), prop::collection::vec((0..60_i64, 1..40_i64, hand()), 0..4))
        .prop_map(|(dwell, ups, later)| Future { dwell, ups, later })
}

/// Guards in steps of a story, each on or off.
#[derive(Clone, Copy, Debug)]
pub struct GuardSteps {
    retap: Option<i64>,
    lull: Option<i64>,
    dwell_floor: Option<i64>,
    bare_hold: Option<i64>,
    other_hand: bool,
}

impl GuardSteps {
    /// No guard at all.
    pub const OFF: Self = Self { retap: None, lull: None, dwell_floor: None, bare_hold: None, other_hand: false };

    pub fn of(self, story: &Story) -> Guards {
        let span = |steps: Option<i64>| steps.map(|steps| story.span(steps));
        Guards {
            retap: span(self.retap),
            lull: span(self.lull),
            dwell_floor: span(self.dwell_floor),
            bare_hold: span(self.bare_hold),
            other_hand: self.other_hand,
        }
    }
}

pub fn guards() -> impl Strategy<Value = GuardSteps> {
    // The two that settle a press at once are rarer, or little else would be seen.
    let early = || proptest::option::weighted(0.25, 1..30_i64);
    let late = || proptest::option::of(0..50_i64);
    (early(), early(), late(), late(), any::<bool>()).prop_map(|(retap, lull, dwell_floor, bare_hold, other_hand)| {
        GuardSteps { retap, lull, dwell_floor, bare_hold, other_hand }
    })
}

/// Which rule, where its values lie within their ranges, and what its tables are made from.
#[derive(Clone, Copy, Debug)]
pub struct Pick {
    pub rule: usize,
    pub positions: [u32; 3],
    pub seed: u64,
}

pub fn pick() -> impl Strategy<Value = Pick> {
    (0..RULES.len(), [0..=50_u32, 0..=50_u32, 0..=50_u32], any::<u64>()).prop_map(|(rule, positions, seed)| Pick {
        rule,
        positions,
        seed,
    })
}

/// A value of `param` at one of 51 positions: whole steps of the story for times, so that deadlines meet
/// events; round numbers for the rest.
pub fn value_at(param: &Param, position: u32, step: i64) -> f64 {
    let position = f64::from(position);
    let raw = match param.unit {
        "ms" => position * step as f64 / 1e3,
        // Random tables hold about one nat a cell. Quarters are kept exactly.
        "nat" => param.min.max(-5.0) + position / 4.0,
        "byte" => param.min + position / 50.0 * (param.max - param.min),
        // Round shares, at which deadlines meet releases.
        _ => position / 50.0,
    };
    raw.clamp(param.min, param.max)
}

impl Pick {
    pub fn setting(self, story: &Story, guards: GuardSteps) -> Setting {
        let entry = &RULES[self.rule];
        let values: Vec<(&str, f64)> = entry
            .params
            .iter()
            .zip(self.positions)
            .map(|(param, position)| (param.name, value_at(param, position, story.step)))
            .collect();
        self.with_values(&values).with_guards(guards.of(story))
    }

    pub fn with_values(self, values: &[(&str, f64)]) -> Setting {
        Setting::trained(RULES[self.rule].name, values, &Arc::new(self.tables())).unwrap()
    }

    /// The tables of its rule; those of keys only where the rule reads them, for they are many.
    pub fn tables(self) -> EvidenceTables {
        let plain = tables(self.seed);
        if RULES[self.rule].sight < Sight::Keys { plain } else { with_keys(plain, self.seed) }
    }
}

/// Entries without any meaning, each within ±1.2 nats: whole 1/256 nat.
fn entries(seed: u64) -> impl FnMut() -> i16 {
    let mut state = seed;
    move || {
        // SplitMix64: Steele, Lea & Flood 2014.
        state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % 601) as i16 - 300
    }
}

/// Tables without any meaning; those of keys are left out.
pub fn tables(seed: u64) -> EvidenceTables {
    let mut entry = entries(seed);
    let mut tables = EvidenceTables {
        taps: 1,
        holds: 1,
        lull: [[0; BINS + 1]; 2],
        summary: [[0; BINS]; SummaryRow::ALL.len()],
        course: [[0; BINS]; CourseRow::ALL.len()],
        keyed: None,
    };
    tables.lull.iter_mut().flatten().for_each(|cell| *cell = entry());
    tables.summary.iter_mut().flatten().for_each(|cell| *cell = entry());
    tables.course.iter_mut().flatten().for_each(|cell| *cell = entry());
    tables
}

/// The same tables with tables of keys without any meaning; the own key of stories has the second row of pairs.
pub fn with_keys(tables: EvidenceTables, seed: u64) -> EvidenceTables {
    let mut entry = entries(seed ^ 0x5555);
    let rows = ["KeyJ", "KeyF"].map(|name| name.parse().unwrap());
    let constant = f64::from(entry()) / 256.0;
    tables.with_keys(KeyedTables::stated(&rows, constant, |_: KeyTable, _| f64::from(entry()) / 256.0))
}

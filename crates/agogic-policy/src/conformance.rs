//! What every rule must keep, as a test to run on a rule of one's own.
//!
//! [`check`] shows a setting many made-up presses, on a coarse grid of time so that ties are common, and says what the
//! first breach was. The rules of the registry pass it; so should yours, before a study is believed.
//!
//! # Definition
//! 1. *Causality.* A decision stays when everything after it happens otherwise: releases, further keys, the own release.
//! 2. *One answer.* The same encounter gets the same decision again, alone or within a session.
//! 3. *No order within an instant.* Keys that go down together may come in any order.
//! 4. *Sight.* A rule decides the same on other keys and with left and right exchanged, but for what its
//!    [`Sight`] says that it sees.
//! 5. *Claims.* Raising a value makes holds fewer, or more, where its [`Param`](crate::Param) says so.
//! 6. *Critical values.* Where the rule gives one, the press is a hold exactly when the value is at most that.
//!
//! ```
//! use agogic_policy::{Decision, Encounter, Policy, Setting, Sight, conformance};
//!
//! /// It looks at the whole dwell and answers at the press: no keyboard can do that.
//! #[derive(Debug)]
//! struct Peeks;
//!
//! impl Policy for Peeks {
//!     fn decide(&self, encounter: &Encounter<'_>) -> Decision {
//!         let now = agogic_keys::Span(0);
//!         if encounter.dwell.ms() > 200.0 { Decision::hold(now) } else { Decision::tap(now) }
//!     }
//! }
//!
//! let breach = conformance::check(&Setting::own("peeks", Sight::Timing, Peeks), 1000).unwrap_err();
//! assert_eq!(breach.what, "a decision depends on what comes after it");
//! assert!(conformance::check(&Setting::rule("enclosed", &[])?, 1000).is_ok());
//! # Ok::<(), agogic_policy::SettingError>(())
//! ```

use agogic_keys::{Code, Hand, Instant, Press, Span};

use crate::{Contact, Decision, Encounter, EncounterScan, Encounters, Monotone, Setting, Sight};

/// What a rule did that none may do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("`{setting}`: {what}, on {case}")]
pub struct Breach {
    /// The property, in words.
    pub what: &'static str,
    /// Label of the setting.
    pub setting: String,
    /// The press it was shown, and what it made of it.
    pub case: String,
}

/// Holds a setting to the properties of this module on so many made-up presses.
///
/// # Errors
/// The first breach. The presses are the same at every call, so it can be looked into.
pub fn check(setting: &Setting, cases: u32) -> Result<(), Breach> {
    let mut draws = Draws(u64::from(cases));
    for _ in 0..cases {
        let story = Story::draw(&mut draws);
        causality(setting, &story, &mut draws)?;
        one_instant(setting, &story, &mut draws)?;
        sight(setting, &story, &mut draws)?;
        claims(setting, &story, &mut draws)?;
        critical_values(setting, &story, &mut draws)?;
    }
    for _ in 0..cases.div_ceil(20) {
        session(setting, &mut draws)?;
    }
    Ok(())
}

fn breach(setting: &Setting, what: &'static str, case: String) -> Result<(), Breach> {
    Err(Breach { what, setting: setting.label(), case })
}

fn causality(setting: &Setting, story: &Story, draws: &mut Draws) -> Result<(), Breach> {
    let decision = story.decide(setting);
    let other = story.with_another_future(decision.after.0 as i64, draws);
    let then = other.decide(setting);
    if decision == then {
        return Ok(());
    }
    let what = "a decision depends on what comes after it";
    breach(setting, what, format!("{story:?}: {decision:?}; and on {other:?}: {then:?}"))
}

fn one_instant(setting: &Setting, story: &Story, draws: &mut Draws) -> Result<(), Breach> {
    let bunch = 1 + draws.below(7);
    let mut together = story.clone();
    together.contacts.iter_mut().for_each(|contact| contact.0 = contact.0 / bunch * bunch);
    together.contacts.retain(|contact| contact.0 < together.dwell);
    let decision = together.decide(setting);
    let mut reversed = together.clone();
    reversed.contacts.reverse();
    if decision == reversed.decide(setting) {
        return Ok(());
    }
    breach(setting, "a decision depends on the order of keys that go down together", format!("{together:?}"))
}

fn sight(setting: &Setting, story: &Story, draws: &mut Draws) -> Result<(), Breach> {
    let seen = setting.entry().sight;
    let other: Code = ["KeyJ", "KeyK", "Semicolon", "Space"][draws.below(4) as usize].parse().expect("a key");
    let exchanged = |hand: Hand| match hand {
        Hand::Left => Hand::Right,
        Hand::Right => Hand::Left,
        Hand::Either => Hand::Either,
    };
    let decision = story.decide(setting);
    let elsewhere = story.show(|e| {
        // Whatever sees more than the own key may see which the others are.
        let moved = |contact: &Contact| Contact {
            code: if seen <= Sight::OwnKey { other } else { contact.code },
            hand: exchanged(contact.hand),
            ..*contact
        };
        let contacts: Vec<Contact> = e.contacts().map(moved).collect();
        let carried: Vec<Contact> = e.carried().map(moved).collect();
        let mut e = *e;
        if seen < Sight::OwnKey {
            e.code = other;
        }
        e.hand = exchanged(e.hand);
        setting.decide(&e.with_contacts(&contacts).with_carried(&carried))
    });
    if decision == elsewhere {
        return Ok(());
    }
    breach(setting, "a decision depends on more than the rule says that it sees", format!("{story:?}"))
}

fn claims(setting: &Setting, story: &Story, draws: &mut Draws) -> Result<(), Breach> {
    for param in setting.entry().params {
        let [a, b] = [draws.value(param, story.step), draws.value(param, story.step)];
        let at = |value| setting.with_value(param.name, value).map(|own| story.decide(&own).is_hold());
        let (Ok(low), Ok(high)) = (at(a.min(b)), at(a.max(b))) else { continue };
        let in_order = match param.monotone {
            Some(Monotone::FewerHolds) => low || !high,
            Some(Monotone::MoreHolds) => !low || high,
            None => true,
        };
        if !in_order {
            let case = format!("{story:?} between {} and {} of {}", a.min(b), a.max(b), param.name);
            return breach(setting, "raising a value does what it says that it does not", case);
        }
    }
    Ok(())
}

fn critical_values(setting: &Setting, story: &Story, draws: &mut Draws) -> Result<(), Breach> {
    for param in setting.entry().params {
        let Some(critical) = story.show(|e| setting.critical_value(param.name, e)) else { continue };
        let near = (-1..=1).map(|k| param.from_steps(param.to_steps(critical).saturating_add(k)));
        let values: Vec<f64> = near.chain((0..4).map(|_| draws.value(param, story.step))).collect();
        for value in values.into_iter().filter(|value| param.accepts(*value)) {
            let Ok(own) = setting.with_value(param.name, value) else { continue };
            if story.decide(&own).is_hold() != (value <= critical) {
                let case = format!("{story:?}: critical {critical}, not so at {value} of {}", param.name);
                return breach(setting, "the critical value of a threshold is not where the decision flips", case);
            }
        }
    }
    Ok(())
}

/// Every press of a dual-role key of a session is decided once, and as if it were shown alone.
fn session(setting: &Setting, draws: &mut Draws) -> Result<(), Breach> {
    let codes = ["KeyF", "KeyJ", "KeyE", "KeyI", "Space"].map(|name| name.parse::<Code>().expect("a key"));
    let (mut now, mut free, mut presses) = (0, [0; 5], Vec::new());
    for _ in 0..40 {
        let which = draws.below(5) as usize;
        now = (now + 5_000 * draws.below(40) as u64).max(free[which]);
        let up = now + 5_000 * (1 + draws.below(59) as u64);
        // A key must come up before it can go down again.
        free[which] = up + 1;
        presses.push(Press { code: codes[which], down: Instant(now), up: Instant(up) });
    }
    let dual = |code: Code| code == codes[0] || code == codes[1];
    let hand = |code: Code| match codes.iter().position(|own| *own == code) {
        Some(0 | 2) => Hand::Left,
        Some(4) => Hand::Either,
        _ => Hand::Right,
    };
    let mut alone = Vec::new();
    EncounterScan::new().each(&presses, dual, hand, |_, encounter| alone.push(setting.decide(encounter)));
    let (mut encounters, mut together) = (Encounters::default(), Vec::new());
    encounters.fill(&presses, 0, dual, hand);
    setting.decide_all(&encounters, &mut together);
    if alone == together {
        return Ok(());
    }
    breach(setting, "a press is decided otherwise within a session than alone", format!("{presses:?}"))
}

/// Another key: press and release in steps after the press (the press may lie before it), and its hand.
type Other = (i64, i64, Hand);

/// A made-up press with the keys around it, in steps of time.
#[derive(Clone, Debug)]
struct Story {
    /// Length of a step in µs.
    step: i64,
    dwell: i64,
    lull: Option<i64>,
    since_same_key: Option<i64>,
    carried: Vec<Other>,
    contacts: Vec<Other>,
}

impl Story {
    fn draw(draws: &mut Draws) -> Self {
        // Two of the steps meet the edges of the bins of learned tables.
        let step = [2_048, 10_000, 16_384][draws.below(3) as usize];
        let dwell = 1 + draws.below(59);
        let [lull, since_same_key] = [0; 2].map(|_| (draws.below(2) == 0).then(|| 1 + draws.below(39)));
        let carried = (0..draws.below(3)).map(|_| (-1 - draws.below(19), 1 + draws.below(39), draws.hand())).collect();
        let contacts = (0..draws.below(5)).map(|_| {
            let down = draws.below(60);
            (down, down + 1 + draws.below(39), draws.hand())
        });
        let contacts = contacts.collect();
        Self { step, dwell, lull, since_same_key, carried, contacts }
    }

    fn show<T>(&self, see: impl FnOnce(&Encounter<'_>) -> T) -> T {
        let key = |name: &str| name.parse::<Code>().expect("a key");
        let us = |steps: i64| Span((steps * self.step) as u64);
        let contact =
            |&(down, up, hand): &Other| Contact { code: key("KeyI"), hand, down: down * self.step, up: up * self.step };
        let mut contacts: Vec<Contact> =
            self.contacts.iter().filter(|other| other.0 < self.dwell).map(contact).collect();
        contacts.sort_by_key(|contact| contact.down);
        let carried: Vec<Contact> = self.carried.iter().map(contact).collect();
        let mut encounter = Encounter::new(key("KeyF"), Hand::Left, Instant(1 << 40), us(self.dwell))
            .with_contacts(&contacts)
            .with_carried(&carried);
        encounter.lull = self.lull.map(us);
        encounter.since_same_key = self.since_same_key.map(us);
        see(&encounter)
    }

    fn decide(&self, setting: &Setting) -> Decision {
        self.show(|encounter| setting.decide(encounter))
    }

    /// Another story with the same past up to and including `now`, in µs.
    fn with_another_future(&self, now: i64, draws: &mut Draws) -> Self {
        // The first step after `now`.
        let next = now.div_euclid(self.step) + 1;
        let mut keep = |&(down, up, hand): &Other| {
            let up = if up * self.step <= now { up } else { next + draws.below(80) };
            (down, up.max(down + 1), hand)
        };
        let seen = |other: &&Other| other.0 * self.step <= now && other.0 < self.dwell;
        let mut contacts: Vec<Other> = self.contacts.iter().filter(seen).map(&mut keep).collect();
        let carried = self.carried.iter().map(&mut keep).collect();
        for _ in 0..draws.below(4) {
            let down = next + draws.below(60);
            contacts.push((down, down + 1 + draws.below(39), draws.hand()));
        }
        let dwell = if self.dwell * self.step <= now { self.dwell } else { next + draws.below(80) };
        Self { dwell, carried, contacts, ..self.clone() }
    }
}

/// A sequence of whole numbers that looks random and is always the same: SplitMix64 (Steele, Lea & Flood 2014).
struct Draws(u64);

impl Draws {
    /// A number from 0 on, below `n`.
    fn below(&mut self, n: u64) -> i64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % n) as i64
    }

    fn hand(&mut self) -> Hand {
        [Hand::Left, Hand::Right, Hand::Right, Hand::Either][self.below(4) as usize]
    }

    /// A value of a threshold: whole steps for times, so that deadlines meet events, and round numbers for the rest.
    fn value(&mut self, param: &crate::Param, step: i64) -> f64 {
        let position = self.below(51) as f64;
        let raw = match param.unit {
            "ms" => position * step as f64 / 1e3,
            "nat" => param.min.max(-5.0) + position / 4.0,
            _ => position / 50.0,
        };
        raw.clamp(param.min, param.max)
    }
}

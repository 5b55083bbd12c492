//! A slow, literal reference: every rule and guard once more, as a machine that is fed one event at a time.
//!
//! A machine sees presses, releases and the alarms it asked for, in the documented order, and nothing of
//! the future. The property test requires that it says the same, at the same time, as the pure function.

use crate::common::{KEYS, Story, guards, own_key, pick, story};
use crate::machines::{AtPress, Event, Machine, machine};
use agogic_keys::{Hand, Span};
use agogic_policy::{Decision, EvidenceTables, Role, Setting};
use proptest::prelude::*;

/// The events of a story in order of time and ties; `only_opposite` hides every other key.
fn events(story: &Story, only_opposite: bool) -> Vec<(i64, Event)> {
    let mut events = vec![(story.us(story.dwell), Event::OwnUp)];
    for (key, other) in story.carried.iter().chain(&story.contacts).enumerate() {
        let opposite = other.2 == Hand::Right;
        if only_opposite && !opposite {
            continue;
        }
        events.push((story.us(other.1), Event::OtherUp(key)));
        if key >= story.carried.len() {
            let down = if opposite { Event::OppositeDown(key) } else { Event::NearDown(key) };
            events.push((story.us(other.0), down));
        }
    }
    // Presses of one instant and one side come in the order of the table of codes.
    let others: Vec<_> = story.carried.iter().chain(&story.contacts).map(|other| story.contact(other).code).collect();
    events.sort_by_key(|&(time, event)| match event {
        Event::OtherUp(key) => (time, 0, Some(others[key])),
        Event::OwnUp => (time, 1, None),
        Event::OppositeDown(key) => (time, 2, Some(others[key])),
        Event::NearDown(key) => (time, 3, Some(others[key])),
    });
    events
}

/// Runs a story through the machine of a setting, guards around it.
fn run(story: &Story, setting: &Setting, tables: EvidenceTables) -> Decision {
    let guards = setting.guards();
    let us = |span: Option<Span>| span.map(|span| span.0 as i64);
    let closer = |least: Option<i64>, time: Option<i64>| matches!((least, time), (Some(l), Some(t)) if t < l);
    // retap, then lull: decided as a tap at once.
    if closer(us(guards.retap), story.since_same_key.map(|steps| story.us(steps))) {
        return Decision::tap(Span::ZERO);
    }
    let lull = story.lull.map(|steps| story.us(steps));
    if closer(us(guards.lull), lull) {
        return Decision::tap(Span::ZERO);
    }
    let carried = story.carried.iter().any(|other| !guards.other_hand || other.2 == Hand::Right);
    let mut guarded = Guarded {
        rule: machine(setting, tables),
        bare_hold: us(guards.bare_hold),
        floor: us(guards.dwell_floor),
        own_up: None,
        waits_for_floor: false,
    };
    let others = story.carried.iter().chain(&story.contacts);
    let keys = others.map(|other| story.contact(other).code).collect();
    let previous = story.lull.map(|_| KEYS[story.previous].parse().unwrap());
    let said = guarded.rule.start(&AtPress { lull, carried, own: own_key(), previous, keys });
    if let Some(role) = guarded.pass_on(0, said) {
        return Decision { role, after: Span::ZERO };
    }
    let mut events = events(story, guards.other_hand).into_iter().peekable();
    loop {
        let alarm = guarded.alarm();
        let (now, said) = match events.peek() {
            Some(&(now, event)) if alarm.is_none_or(|alarm| now <= alarm) => {
                events.next();
                (now, guarded.event(now, event))
            }
            _ => {
                let now = alarm.expect("undecided, with nothing left to come");
                (now, guarded.ring(now))
            }
        };
        if let Some(role) = said {
            return Decision { role, after: Span(now as u64) };
        }
    }
}

/// A rule with the guards that act while time passes.
struct Guarded {
    rule: Box<dyn Machine>,
    bare_hold: Option<i64>,
    floor: Option<i64>,
    own_up: Option<i64>,
    /// It is a hold if the key stays down until the floor.
    waits_for_floor: bool,
}

impl Guarded {
    /// What the floor makes of a role said from inside.
    fn pass_on(&mut self, now: i64, said: Option<Role>) -> Option<Role> {
        match (said?, self.floor) {
            (Role::Hold, Some(floor)) if now < floor => {
                self.waits_for_floor = true;
                None
            }
            (role, _) => Some(role),
        }
    }
    fn event(&mut self, now: i64, event: Event) -> Option<Role> {
        if event == Event::OwnUp {
            self.own_up = Some(now);
            if self.floor.is_some_and(|floor| now < floor) {
                return Some(Role::Tap);
            }
        }
        if self.waits_for_floor {
            return None;
        }
        let said = self.rule.event(now, event);
        self.pass_on(now, said)
    }
    fn alarm(&self) -> Option<i64> {
        if self.waits_for_floor {
            return self.floor;
        }
        self.rule.alarm().into_iter().chain(self.bare_hold).min()
    }
    fn ring(&mut self, now: i64) -> Option<Role> {
        if self.waits_for_floor {
            return Some(Role::Hold);
        }
        // The rule speaks first.
        if self.rule.alarm() == Some(now) {
            let said = self.rule.ring(now);
            if said.is_some() || self.rule.alarm() == Some(now) {
                return self.pass_on(now, said);
            }
        }
        if self.bare_hold == Some(now) {
            self.bare_hold = None;
            // Down still, or released at this very instant.
            if self.own_up.is_none_or(|up| up == now) {
                return self.pass_on(now, Some(Role::Hold));
            }
        }
        None
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60_000))]

    #[test]
    fn the_pure_function_says_what_the_machine_says(pick in pick(), guards in guards(), story in story()) {
        let setting = pick.setting(&story, guards);
        let machine = run(&story, &setting, pick.tables());
        prop_assert_eq!(story.decide(&setting), machine, "{} on {:?}", setting.label(), story);
    }
}

/// The comparison has teeth: a rule whose tie is wrong by a microsecond does not pass it.
#[test]
fn a_wrong_tie_would_be_caught() {
    let story = Story {
        step: 10_000,
        dwell: 20,
        lull: None,
        since_same_key: None,
        carried: vec![],
        contacts: vec![],
        previous: 0,
    };
    let at = |cutoff_ms: f64| Setting::rule("dwell-cutoff", &[("cutoff_ms", cutoff_ms)]).unwrap();
    assert_eq!(run(&story, &at(200.0), crate::common::tables(0)), story.decide(&at(200.0)));
    assert_ne!(run(&story, &at(200.0), crate::common::tables(0)), story.decide(&at(200.001)));
}

//! The emulator against its definition, on random sessions and decisions.

use std::collections::{BTreeSet, VecDeque};

use agogic_keys::{Instant, Modifier, ModifierSet, Span};
use agogic_policy::Role;
use agogic_score::{Arrival, HostKey};
use proptest::prelude::*;

use crate::common::{Session, emulator, session};

/// What happens at a keyboard. At equal instants in this order, presses and decisions by number.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Event {
    Release,
    Press,
    Decide,
}

/// A press that has not reached the host.
struct Waiting {
    press: usize,
    down_at_press: BTreeSet<usize>,
}

/// A slow emulator that lets events happen one after the other: every press joins a queue, and at each
/// event all that stands at its head and is decided goes to the host.
fn event_by_event(session: &Session) -> Vec<Arrival> {
    let emulator = emulator();
    let Session { presses, decided, .. } = session;
    let mut events = Vec::new();
    for (i, press) in presses.iter().enumerate() {
        events.push((press.down, Event::Press, i));
        events.push((press.up, Event::Release, i));
    }
    for one in decided {
        events.push((presses[one.press].down + one.decision.after, Event::Decide, one.press));
    }
    events.sort();

    let mut down = BTreeSet::new();
    let mut queue: VecDeque<Waiting> = VecDeque::new();
    // What each press turned out to be; `None` while nobody knows.
    let mut role: Vec<Option<Role>> = vec![None; presses.len()];
    let mut gives: Vec<Option<Modifier>> = vec![None; presses.len()];
    let mut arrivals = Vec::new();
    for (now, event, i) in events {
        let code = presses[i].code;
        match event {
            Event::Release => {
                down.remove(&i);
            }
            Event::Press => {
                queue.push_back(Waiting { press: i, down_at_press: down.clone() });
                down.insert(i);
                if emulator.held_role(code).is_none() {
                    role[i] = Some(if code.dedicated_modifier().is_some() { Role::Hold } else { Role::Tap });
                }
            }
            Event::Decide => {
                role[i] = decided.iter().find(|one| one.press == i).map(|one| one.decision.role);
            }
        }
        while queue.front().is_some_and(|head| role[head.press].is_some()) {
            let Waiting { press, down_at_press } = queue.pop_front().expect("it has a head");
            let code = presses[press].code;
            if role[press] == Some(Role::Hold) {
                let modifier = emulator.held_role(code).or(code.dedicated_modifier()).unwrap();
                gives[press] = Some(modifier);
                arrivals.push(Arrival::Modifier { press, modifier, at: now });
            } else {
                let with = down_at_press.iter().filter_map(|held| gives[*held]);
                let with = with.fold(ModifierSet::NONE, ModifierSet::with);
                let delay = now.since(presses[press].down);
                arrivals.push(Arrival::Key(HostKey { press, code, with, at: now, delay }));
            }
        }
    }
    assert!(queue.is_empty(), "every press was decided");
    arrivals
}

fn arrivals(session: &Session) -> Vec<Arrival> {
    let mut seen = Vec::new();
    emulator().arrivals(&session.presses, &session.decided, |arrival| seen.push(*arrival));
    seen
}

fn parts(arrival: &Arrival) -> (usize, Instant) {
    match arrival {
        Arrival::Key(key) => (key.press, key.at),
        Arrival::Modifier { press, at, .. } => (*press, *at),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn agrees_with_letting_events_happen(session in session(40)) {
        prop_assert_eq!(arrivals(&session), event_by_event(&session));
    }

    #[test]
    fn every_press_arrives_once_and_in_order(session in session(40)) {
        let order: Vec<usize> = arrivals(&session).iter().map(|arrival| parts(arrival).0).collect();
        prop_assert_eq!(order, (0..session.presses.len()).collect::<Vec<_>>());
    }

    #[test]
    fn no_key_arrives_before_its_press_or_before_an_earlier_key(session in session(40)) {
        let mut latest = Instant::ZERO;
        for arrival in arrivals(&session) {
            let (press, at) = parts(&arrival);
            prop_assert!(at >= session.presses[press].down && at >= latest);
            latest = at;
            if let Arrival::Key(key) = arrival {
                prop_assert_eq!(session.presses[press].down + key.delay, at);
            }
        }
    }

    #[test]
    fn no_key_waits_longer_than_the_decisions_it_waits_for(session in session(40)) {
        for arrival in arrivals(&session) {
            let (press, at) = parts(&arrival);
            let until = |one: &agogic_score::Decided| session.presses[one.press].down + one.decision.after;
            let decisions = session.decided.iter().filter(|one| one.press <= press).map(until).max();
            prop_assert_eq!(at, decisions.unwrap_or(Instant::ZERO).max(session.presses[press].down));
        }
    }

    #[test]
    fn a_key_carries_the_acting_keys_that_are_down_at_its_instant(session in session(40)) {
        let emulator = emulator();
        let acts = |i: usize| {
            let code = session.presses[i].code;
            let held = session.decided.iter().any(|one| one.press == i && one.decision.is_hold());
            code.dedicated_modifier().or(emulator.held_role(code).filter(|_| held))
        };
        for arrival in arrivals(&session) {
            match arrival {
                Arrival::Modifier { press, modifier, .. } => prop_assert_eq!(acts(press), Some(modifier)),
                Arrival::Key(key) => {
                    prop_assert_eq!(acts(key.press), None);
                    let instant = session.presses[key.press].down;
                    for modifier in Modifier::ALL {
                        let down = (0..key.press).any(|i| acts(i) == Some(modifier) && session.presses[i].up > instant);
                        prop_assert_eq!(key.with.has(modifier), down);
                    }
                }
            }
        }
    }

    #[test]
    fn keys_are_the_arrivals_that_are_no_modifiers(session in session(40)) {
        let mut keys = Vec::new();
        emulator().each(&session.presses, &session.decided, |key| keys.push(*key));
        let expected: Vec<_> = arrivals(&session)
            .into_iter()
            .filter_map(|arrival| if let Arrival::Key(key) = arrival { Some(key) } else { None })
            .collect();
        prop_assert_eq!(keys, expected);
    }

    #[test]
    fn a_bare_hold_writes_nothing_and_changes_nothing_after_it(session in session(20), after in 0_u64..400) {
        // A held key, down alone and up again, before everything else.
        let mut longer = session.clone();
        let press = agogic_keys::Press { code: "KeyF".parse().unwrap(), down: Instant(0), up: Instant(500) };
        for press in &mut longer.presses {
            press.down += Span(1000);
            press.up += Span(1000);
        }
        for one in &mut longer.decided {
            one.press += 1;
        }
        longer.presses.insert(0, press);
        let bare = agogic_score::Decided { press: 0, decision: agogic_policy::Decision::hold(Span(after)) };
        longer.decided.insert(0, bare);
        let text = |session: &Session| emulator().text(&session.presses, &session.decided);
        prop_assert_eq!(text(&longer), text(&session));
    }
}

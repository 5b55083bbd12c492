//! What every registered rule must keep, whatever its guards: causality, one decision a press, far keys
//! unseen, contacts of one instant without an order, and what its parameters claim about themselves.

use std::sync::Arc;

use crate::common::{GuardSteps, KEYS, Pick, Story, future, guards, own_key, pick, story, tables, value_at, with_keys};
use agogic_keys::{Code, Hand, Instant, Press, Span};
use agogic_policy::{
    Contact, Decision, Encounter, EncounterScan, GUARDS, Guards, Monotone, Param, Policy, RULES, Setting, Sight,
    conformance,
};
use proptest::prelude::*;

/// Sets the guard of that name.
fn guarded(mut guards: Guards, name: &str, ms: f64) -> Guards {
    let slot = match name {
        "retap_ms" => &mut guards.retap,
        "lull_ms" => &mut guards.lull,
        "dwell_floor_ms" => &mut guards.dwell_floor,
        "bare_hold_ms" => &mut guards.bare_hold,
        other => panic!("no such guard: {other}"),
    };
    *slot = Some(Span::from_ms(ms));
    guards
}

fn keeps_the_claim(param: &Param, low: Decision, high: Decision) -> bool {
    match param.monotone {
        Some(Monotone::FewerHolds) => low.is_hold() || !high.is_hold(),
        Some(Monotone::MoreHolds) => !low.is_hold() || high.is_hold(),
        None => true,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20_000))]

    #[test]
    fn no_decision_depends_on_what_comes_after_it(
        pick in pick(), guards in guards(), story in story(), future in future(),
    ) {
        let setting = pick.setting(&story, guards);
        let decision = story.decide(&setting);
        let other = story.with_future(decision.after.0 as i64, &future);
        prop_assert_eq!(decision, other.decide(&setting), "{} on {:?} and {:?}", setting.label(), story, other);
    }

    #[test]
    fn keys_pressed_from_the_own_release_on_are_not_seen(
        pick in pick(), guards in guards(), story in story(), gap in 0..60_i64,
    ) {
        let setting = pick.setting(&story, guards);
        let start = Instant(1_000_000);
        let own = Press { code: own_key(), down: start, up: start + story.span(story.dwell) };
        let down = own.up + story.span(gap);
        let late = Press { code: "KeyI".parse().unwrap(), down, up: down + story.span(1) };
        prop_assert_eq!(decisions(&setting, &[own]), decisions(&setting, &[own, late]));
    }

    #[test]
    fn contacts_of_one_instant_have_no_order(
        pick in pick(), guards in guards(), story in story(), bunch in 1..8_i64,
    ) {
        let setting = pick.setting(&story, guards);
        // Presses are moved together, so that several fall on one instant.
        let contacts: Vec<Contact> = story
            .contacts
            .iter()
            .enumerate()
            .map(|(at, &(down, up, hand))| Contact {
                code: KEYS[at % KEYS.len()].parse().unwrap(),
                ..story.contact(&(down / bunch * bunch, up, hand))
            })
            .filter(|contact| contact.down < story.us(story.dwell))
            .collect();
        let reversed: Vec<Contact> = contacts.iter().rev().copied().collect();
        let decide = |contacts: &[Contact]| story.show_in_order(contacts, &[], |e| setting.decide(e));
        prop_assert_eq!(decide(&contacts), decide(&reversed), "{}", setting.label());
    }

    #[test]
    fn a_rule_sees_no_more_than_it_says(pick in pick(), guards in guards(), story in story(), other in 0..4_usize) {
        let setting = pick.setting(&story, guards);
        let sight = RULES[pick.rule].sight;
        let decision = story.decide(&setting);
        prop_assert_eq!(decision, story.show(|e| elsewhere(e, sight, other, |seen| setting.decide(seen))));
    }

    #[test]
    fn raising_a_value_of_a_rule_keeps_its_claim(
        pick in pick(), guards in guards(), story in story(), more in 0..=50_u32,
    ) {
        let low = pick.setting(&story, guards);
        for (at, param) in RULES[pick.rule].params.iter().enumerate() {
            let mut raised = pick;
            raised.positions[at] += more;
            let high = raised.setting(&story, guards);
            prop_assert!(
                keeps_the_claim(param, story.decide(&low), story.decide(&high)),
                "{} and {} on {:?}", low.label(), high.label(), story
            );
        }
    }

    #[test]
    fn raising_a_value_of_a_guard_keeps_its_claim(
        pick in pick(), guards in guards(), story in story(), position in 0..=50_u32, more in 0..=50_u32,
    ) {
        for param in GUARDS.iter().filter_map(|guard| guard.param) {
            let at = |position| {
                let value = value_at(&param, position, story.step);
                let setting = pick.setting(&story, guards);
                let guards = guarded(*setting.guards(), param.name, value);
                story.decide(&setting.with_guards(guards))
            };
            prop_assert!(keeps_the_claim(&param, at(position), at(position + more)), "{} {:?}", param.name, story);
        }
    }

    #[test]
    fn share_one_is_enclosed_and_span_zero_is_first_contact(guards in guards(), story in story()) {
        let decide = |name: &str, values: &[(&str, f64)]| {
            story.decide(&Setting::rule(name, values).unwrap().with_guards(guards.of(&story)))
        };
        prop_assert_eq!(decide("overlap-share", &[("share", 1.0)]), decide("enclosed", &[]));
        prop_assert_eq!(decide("overlap-span", &[("span_ms", 0.0)]), decide("first-contact", &[]));
    }
}

/// Shows an encounter as it would be on other keys and with left and right exchanged, but for what `sight` tells apart.
fn elsewhere<T>(e: &Encounter<'_>, sight: Sight, other: usize, see: impl Fn(&Encounter<'_>) -> T) -> T {
    let code: Code = ["KeyJ", "KeyK", "Semicolon", "Space"][other].parse().unwrap();
    let exchanged = |hand: Hand| match hand {
        Hand::Left => Hand::Right,
        Hand::Right => Hand::Left,
        Hand::Either => Hand::Either,
    };
    let moved = |contact: &Contact| Contact { code, hand: exchanged(contact.hand), ..*contact };
    // The first contact and the first of the other hand, and whatever came down at the same instants.
    let first = e.contacts().next().map(|contact| contact.down);
    let far = e.contacts().find(|contact| contact.hand.opposite_to(e.hand)).map(|contact| contact.down);
    let visible = |contact: &Contact| match sight < Sight::Keys || ![first, far].contains(&Some(contact.down)) {
        true => moved(contact),
        false => Contact { code: contact.code, ..moved(contact) },
    };
    let contacts: Vec<Contact> = e.contacts().map(visible).collect();
    let carried: Vec<Contact> = e.carried().map(moved).collect();
    let mut seen = *e;
    if sight < Sight::OwnKey {
        seen.code = code;
    }
    if sight < Sight::Keys {
        seen.previous = seen.previous.map(|_| code);
    }
    seen.hand = exchanged(seen.hand);
    see(&seen.with_contacts(&contacts).with_carried(&carried))
}

/// That comparison has teeth: rules that look at their own key, at another key or at a side are caught.
#[test]
fn a_rule_that_sees_more_than_it_says_would_be_caught() {
    let contacts = [Contact { code: "KeyI".parse().unwrap(), hand: Hand::Right, down: 10_000, up: 90_000 }];
    let e = Encounter::new(own_key(), Hand::Left, Instant(0), Span(80_000))
        .with_contacts(&contacts)
        .with_previous("KeyE".parse().unwrap());
    type Sees = fn(&Encounter<'_>) -> bool;
    let before: Sees = |e| e.previous.is_some_and(|code| code.name() == "KeyE");
    let own: Sees = |e| e.code == own_key();
    let next: Sees = |e| e.contacts().any(|contact| contact.code.name() == "KeyI");
    let side: Sees = |e| e.hand == Hand::Left;
    for other in 0..4 {
        for sees in [own, next, side, before] {
            assert_ne!(sees(&e), elsewhere(&e, Sight::Timing, other, sees));
        }
        for (sees, sight) in [(next, Sight::OwnKey), (before, Sight::OwnKey), (side, Sight::Keys)] {
            assert_ne!(sees(&e), elsewhere(&e, sight, other, sees));
        }
        for (sees, sight) in [(own, Sight::OwnKey), (own, Sight::Keys), (next, Sight::Keys), (before, Sight::Keys)] {
            assert_eq!(sees(&e), elsewhere(&e, sight, other, sees));
        }
    }
}

/// A typed session: presses with some dual-role keys among them.
fn session() -> impl Strategy<Value = Vec<Press>> {
    let codes = ["KeyF", "KeyJ", "KeyE", "KeyI", "Space"];
    prop::collection::vec((0..40_u64, 1..60_u64, 0..codes.len()), 1..40).prop_map(move |rows| {
        let mut now = 0;
        let mut presses: Vec<Press> = Vec::new();
        for (gap, dwell, which) in rows {
            let code: Code = codes[which].parse().unwrap();
            now += gap * 5_000;
            // A key must come up before it can go down again.
            let free = presses.iter().filter(|p| p.code == code).map(|p| p.up.0 + 1).max().unwrap_or(0);
            now = now.max(free);
            presses.push(Press { code, down: Instant(now), up: Instant(now + dwell * 5_000) });
        }
        presses
    })
}

fn dual(code: Code) -> bool {
    matches!(code.name(), "KeyF" | "KeyJ")
}

fn hand(code: Code) -> Hand {
    match code.name() {
        "KeyF" | "KeyE" => Hand::Left,
        "Space" => Hand::Either,
        _ => Hand::Right,
    }
}

fn decisions(setting: &Setting, presses: &[Press]) -> Vec<(usize, Decision)> {
    let mut decided = Vec::new();
    EncounterScan::new().each(presses, dual, hand, |i, encounter| decided.push((i, setting.decide(encounter))));
    decided
}

fn shifted(presses: &[Press], by: u64) -> Vec<Press> {
    presses.iter().map(|p| Press { down: p.down + Span(by), up: p.up + Span(by), ..*p }).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8_000))]

    #[test]
    fn each_dual_role_press_is_decided_exactly_once(
        pick in pick(), guards in guards(), story in story(), presses in session(),
    ) {
        let decided = decisions(&pick.setting(&story, guards), &presses);
        let expected: Vec<usize> = (0..presses.len()).filter(|&i| dual(presses[i].code)).collect();
        prop_assert_eq!(decided.iter().map(|&(i, _)| i).collect::<Vec<_>>(), expected);
    }

    #[test]
    fn keys_far_away_in_time_change_nothing(
        pick in pick(), guards in guards(), story in story(), presses in session(), far in 10_u64..1_000,
    ) {
        // Ten seconds are more than any guard or bin reaches.
        let setting = pick.setting(&story, guards);
        let before = |code: &str, gap: u64| {
            let mut all = vec![Press { code: code.parse().unwrap(), down: Instant(0), up: Instant(50_000) }];
            all.extend(shifted(&presses, gap * 1_000_000));
            decisions(&setting, &all).into_iter().filter(|&(i, _)| i > 0).collect::<Vec<_>>()
        };
        let near = before("KeyE", 10);
        prop_assert_eq!(&near, &before("KeyE", far));
        if RULES[pick.rule].sight < Sight::Keys {
            prop_assert_eq!(&near, &before("Space", far));
        }
        let mut followed = presses.clone();
        let end = presses.iter().map(|p| p.up.0).max().unwrap() + far * 1_000_000;
        followed.push(Press { code: "KeyI".parse().unwrap(), down: Instant(end), up: Instant(end + 1) });
        prop_assert_eq!(decisions(&setting, &presses), decisions(&setting, &followed));
    }

    #[test]
    fn the_critical_value_of_a_rule_gives_the_role_at_every_threshold(
        pick in pick(), guards in guards(), story in story(),
    ) {
        let setting = pick.setting(&story, guards);
        for param in RULES[pick.rule].params.iter().filter(|param| param.monotone == Some(Monotone::FewerHolds)) {
            let critical = story.show(|e| setting.critical_value(param.name, e)).expect("it has one");
            for threshold in thresholds(param, critical, &story) {
                let at = setting.with_value(param.name, threshold).unwrap();
                prop_assert_eq!(
                    story.decide(&at).is_hold(), threshold <= critical,
                    "{}: critical {} on {:?}", at.label(), critical, story
                );
            }
        }
    }

    #[test]
    fn the_critical_value_of_a_guard_gives_the_role_at_every_threshold(
        pick in pick(), guards in guards(), story in story(),
    ) {
        let setting = pick.setting(&story, guards);
        for param in GUARDS.iter().filter_map(|guard| guard.param) {
            let critical = story.show(|e| setting.critical_value(param.name, e)).expect("guards have one each");
            for threshold in thresholds(&param, critical, &story) {
                let at = setting.with_value(param.name, threshold).unwrap();
                prop_assert_eq!(
                    story.decide(&at).is_hold(), threshold <= critical,
                    "{}: critical {} on {:?}", at.label(), critical, story
                );
            }
        }
    }
}

/// A grid over the range, and the critical value itself with its nearest neighbours.
fn thresholds(param: &Param, critical: f64, story: &Story) -> Vec<f64> {
    let unit = match param.unit {
        "ms" => 1e3,
        "nat" => 256.0,
        _ => 1e6,
    };
    let near = (-1..=1).map(|k| ((critical * unit).round() + f64::from(k)) / unit);
    (0..=50).map(|position| value_at(param, position, story.step)).chain(near).filter(|&t| param.accepts(t)).collect()
}

/// A threshold that does not exist has no critical value, nor has one whose raising makes more holds.
#[test]
fn critical_values_are_asked_for_by_name() {
    let story = Story {
        step: 10_000,
        dwell: 20,
        lull: Some(12),
        since_same_key: None,
        carried: vec![],
        contacts: vec![(5, 30, Hand::Right)],
        previous: 0,
    };
    let tables = Arc::new(with_keys(tables(1), 1));
    for entry in RULES {
        let setting = Setting::trained(entry.name, &[], &tables).unwrap();
        assert_eq!(story.show(|e| setting.critical_value("no_such_ms", e)), None);
        for param in entry.params {
            let has = story.show(|e| setting.critical_value(param.name, e)).is_some();
            assert_eq!(has, param.monotone == Some(Monotone::FewerHolds), "{}", param.name);
        }
    }
    let first_contact = Setting::rule("first-contact", &[]).unwrap();
    assert_eq!(story.show(|e| first_contact.critical_value("lull_ms", e)), Some(120.0));
    let dwell = Setting::rule("dwell-cutoff", &[]).unwrap();
    assert_eq!(story.show(|e| dwell.critical_value("cutoff_ms", e)), Some(200.0));
    let span = Setting::rule("overlap-span", &[]).unwrap();
    assert_eq!(story.show(|e| span.critical_value("span_ms", e)), Some(150.0));
}

/// Every claim can be broken: for each parameter some story's role does change with it.
#[test]
fn every_threshold_matters_to_some_story() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let stories: Vec<Story> = (0..3_000).map(|_| story().new_tree(&mut runner).unwrap().current()).collect();
    for (rule, entry) in RULES.iter().enumerate() {
        for (at, param) in entry.params.iter().enumerate() {
            let matters = stories.iter().enumerate().any(|(seed, story)| {
                let role = |position| {
                    let mut positions = [10; 3];
                    positions[at] = position;
                    let pick = Pick { rule, positions, seed: seed as u64 };
                    story.decide(&pick.setting(story, GuardSteps::OFF)).role
                };
                role(2) != role(40)
            });
            assert!(matters, "{} of {}", param.name, entry.name);
        }
    }
}

/// What a researcher runs on a rule of one's own holds of every rule here, with and without guards.
#[test]
fn every_rule_passes_the_public_check() {
    let tables = Arc::new(with_keys(tables(5), 5));
    let guards = Guards {
        retap: Some(Span::from_ms(40.96)),
        lull: Some(Span::from_ms(20.0)),
        dwell_floor: Some(Span::from_ms(32.768)),
        bare_hold: Some(Span::from_ms(200.0)),
        other_hand: true,
    };
    for entry in RULES {
        let setting = Setting::of_entry(entry, &[], Some(&tables)).unwrap();
        conformance::check(&setting, 2000).unwrap();
        conformance::check(&setting.with_guards(guards), 2000).unwrap();
    }
}

/// The public check has teeth for each of its properties.
#[test]
fn the_public_check_catches_a_breach_of_each_property() {
    type Decide = fn(&Encounter<'_>, f64) -> Decision;
    #[derive(Debug)]
    struct Bad(Decide, f64);
    impl Policy for Bad {
        fn decide(&self, encounter: &Encounter<'_>) -> Decision {
            (self.0)(encounter, self.1)
        }
        fn critical_value(&self, _: usize, encounter: &Encounter<'_>) -> Option<f64> {
            // Of a rule with a negative number it is a millisecond off.
            (self.1 < 0.0).then(|| encounter.dwell.ms() + 1.0)
        }
    }
    let order: Decide = |e, _| {
        let all_up = Span(e.contacts().map(|contact| contact.up).max().unwrap_or(0).max(e.release()) as u64);
        let odd = e.contacts().next().is_some_and(|first| first.up % 3 == 0);
        if odd { Decision::hold(all_up) } else { Decision::tap(all_up) }
    };
    let hand: Decide = |e, _| if e.hand == Hand::Left { Decision::hold(e.dwell) } else { Decision::tap(e.dwell) };
    for (decide, what) in [
        (order, "a decision depends on the order of keys that go down together"),
        (hand, "a decision depends on more than the rule says that it sees"),
    ] {
        let breach = conformance::check(&Setting::own("bad", Sight::Timing, Bad(decide, 0.0)), 3000).unwrap_err();
        assert_eq!(breach.what, what, "{breach}");
    }
    const CUTOFF: &[Param] = &[Param {
        name: "cutoff_ms",
        unit: "ms",
        default: 200.0,
        min: 1.0,
        max: 5000.0,
        monotone: Some(Monotone::FewerHolds),
        doc: "a cutoff",
    }];
    let mut wrong = *RULES.iter().find(|entry| entry.name == "dwell-cutoff").unwrap();
    wrong.params = CUTOFF;
    wrong.build = |values, _| {
        Ok(Box::new(Bad(
            |e, cutoff| {
                let cutoff = Span::from_ms(cutoff);
                if e.dwell >= cutoff { Decision::tap(cutoff) } else { Decision::hold(e.dwell) }
            },
            values[0],
        )))
    };
    let breach = conformance::check(&Setting::of_entry(&wrong, &[], None).unwrap(), 3000).unwrap_err();
    assert_eq!(breach.what, "raising a value does what it says that it does not", "{breach}");
    wrong.build = |values, _| {
        Ok(Box::new(Bad(
            |e, cutoff| {
                let cutoff = Span::from_ms(-cutoff);
                if e.dwell >= cutoff { Decision::hold(cutoff) } else { Decision::tap(e.dwell) }
            },
            -values[0],
        )))
    };
    let breach = conformance::check(&Setting::of_entry(&wrong, &[], None).unwrap(), 3000).unwrap_err();
    assert_eq!(breach.what, "the critical value of a threshold is not where the decision flips", "{breach}");
}

/// The causality test has teeth: a rule that peeks at the dwell is caught by the same comparison.
#[test]
fn a_peeking_rule_would_be_caught() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let peek = |story: &Story| if story.dwell > 25 { Decision::hold(Span(0)) } else { Decision::tap(Span(0)) };
    let caught = (0..100).any(|_| {
        let (story, future) = (story(), future()).new_tree(&mut runner).unwrap().current();
        peek(&story) != peek(&story.with_future(0, &future))
    });
    assert!(caught);
}

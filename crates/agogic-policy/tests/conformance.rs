//! What every registered rule must keep, whatever its guards: causality, one decision, far keys unseen.

use agogic_keys::{Code, Hand, Instant, Span};
use agogic_policy::{Contact, Decision, Encounter, Guards, RULES, Setting};
use proptest::prelude::*;

/// An encounter that owns its contacts. Times are in tenths of a millisecond so that ties are common.
#[derive(Clone, Debug)]
struct Story {
    dwell: u64,
    lull: Option<u64>,
    contacts: Vec<(u64, u64, bool)>,
}

const STEP: u64 = 10_000;

impl Story {
    fn decide(&self, setting: &Setting) -> Decision {
        let code: Code = "KeyF".parse().unwrap();
        let mut contacts: Vec<Contact> = self
            .contacts
            .iter()
            .filter(|(down, _, _)| *down < self.dwell)
            .map(|&(down, dwell, other)| Contact {
                code: "KeyI".parse().unwrap(),
                hand: if other { Hand::Right } else { Hand::Left },
                down: down as i64,
                up: (down + dwell) as i64,
            })
            .collect();
        contacts.sort_by_key(|c| c.down);
        let mut encounter = Encounter::new(code, Hand::Left, Instant(0), Span(self.dwell)).with_contacts(&contacts);
        encounter.lull = self.lull.map(Span);
        setting.decide(&encounter)
    }

    /// Another story with the same past up to and including `now`.
    fn with_future(&self, now: u64, dwell: u64, ups: &[u64], later: &[(u64, u64, bool)]) -> Self {
        let dwell = if self.dwell <= now { self.dwell } else { now + 1 + dwell };
        let mut contacts: Vec<_> = self
            .contacts
            .iter()
            .filter(|(down, _, _)| *down <= now && *down < self.dwell)
            .zip(ups.iter().cycle())
            .map(|(&(down, length, other), &extra)| {
                let up = if down + length <= now { down + length } else { now + 1 + extra };
                (down, up - down, other)
            })
            .collect();
        contacts.extend(later.iter().map(|&(gap, length, other)| (now + 1 + gap, length, other)));
        Self { dwell, lull: self.lull, contacts }
    }
}

fn time(steps: u64) -> impl Strategy<Value = u64> {
    (1..steps).prop_map(|t| t * STEP)
}

fn story() -> impl Strategy<Value = Story> {
    (time(60), proptest::option::of(time(40)), prop::collection::vec((time(60), time(40), any::<bool>()), 0..5))
        .prop_map(|(dwell, lull, contacts)| Story { dwell, lull, contacts })
}

fn guards() -> impl Strategy<Value = Guards> {
    let span = || proptest::option::of(time(50).prop_map(Span));
    (span(), span(), any::<bool>(), span()).prop_map(|(lull, dwell_floor, other_hand, bare_hold)| Guards {
        lull,
        dwell_floor,
        other_hand,
        bare_hold,
    })
}

/// A rule of the registry with values from the middle of its ranges, such that small times matter.
fn setting(at: usize, position: f64, guards: Guards) -> Setting {
    let entry = &RULES[at % RULES.len()];
    let values: Vec<(&str, f64)> = entry
        .params
        .iter()
        .map(|param| {
            let high = if param.unit == "ms" { param.max.min(500.0) } else { param.max };
            let raw = param.min + position * (high - param.min);
            // Whole tens of milliseconds, so that deadlines meet events.
            (param.name, if param.unit == "ms" { (raw / 10.0).round().max(1.0) * 10.0 } else { raw })
        })
        .collect();
    Setting::rule(entry.name, &values).unwrap().with_guards(guards)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20_000))]

    #[test]
    fn no_decision_depends_on_what_comes_after_it(
        which in 0..RULES.len(), position in 0.0..=1.0, guards in guards(), story in story(),
        dwell in time(80), ups in prop::collection::vec(time(80), 1..4),
        later in prop::collection::vec((time(60), time(40), any::<bool>()), 0..4),
    ) {
        let setting = setting(which, position, guards);
        let decision = story.decide(&setting);
        let other = story.with_future(decision.after.0, dwell, &ups, &later);
        prop_assert_eq!(decision, other.decide(&setting), "{} on {:?} and {:?}", setting.label(), story, other);
    }

    #[test]
    fn keys_pressed_after_everything_is_over_change_nothing(
        which in 0..RULES.len(), position in 0.0..=1.0, guards in guards(), story in story(), gap in time(60),
    ) {
        let setting = setting(which, position, guards);
        let mut far = story.clone();
        far.contacts.push((story.dwell + gap, STEP, true));
        prop_assert_eq!(story.decide(&setting), far.decide(&setting));
    }

    #[test]
    fn share_one_is_enclosed(guards in guards(), story in story()) {
        let share = Setting::rule("overlap-share", &[("share", 1.0)]).unwrap().with_guards(guards);
        let enclosed = Setting::rule("enclosed", &[]).unwrap().with_guards(guards);
        prop_assert_eq!(story.decide(&share), story.decide(&enclosed));
    }

    #[test]
    fn a_longer_cutoff_never_makes_a_hold_of_a_tap(story in story(), cutoff in 1_u32..500, more in 0_u32..500) {
        let short = Setting::rule("dwell-cutoff", &[("cutoff_ms", cutoff.into())]).unwrap();
        let long = Setting::rule("dwell-cutoff", &[("cutoff_ms", (cutoff + more).into())]).unwrap();
        prop_assert!(story.decide(&short).is_hold() || !story.decide(&long).is_hold());
    }
}

/// The causality test has teeth: a rule that peeks at the dwell is caught by the same comparison.
#[test]
fn a_peeking_rule_would_be_caught() {
    let story = Story { dwell: 30 * STEP, lull: None, contacts: vec![] };
    let peek = |story: &Story| if story.dwell > 25 * STEP { Decision::hold(Span(0)) } else { Decision::tap(Span(0)) };
    let other = story.with_future(0, STEP, &[STEP], &[]);
    assert_ne!(peek(&story), peek(&other));
}

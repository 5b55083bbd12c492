//! What a rule says it asks of those who hold, against what it decides on gestures.

use agogic_keys::{Hand, Instant, Span};
use agogic_policy::{Contact, Encounter, RULES, Setting};

use crate::common::own_key;

/// Whether a gesture comes out as a hold; all in ms.
fn held(setting: &Setting, lead: u64, release: u64, target: u64) -> bool {
    let down = 1000 * lead as i64;
    let contacts =
        [Contact { code: "KeyI".parse().unwrap(), hand: Hand::Right, down, up: down + 1000 * target as i64 }];
    let dwell = Span::from_ms((lead + release) as f64);
    setting.decide(&Encounter::new(own_key(), Hand::Left, Instant(0), dwell).with_contacts(&contacts)).is_hold()
}

#[test]
fn what_is_asked_helps_and_what_is_not_changes_nothing() {
    for entry in RULES.iter().filter(|entry| !entry.needs_training) {
        let setting = Setting::rule(entry.name, &[]).unwrap();
        let mut helped = [false; 2];
        for lead in (10..300).step_by(10) {
            for release in (10..300).step_by(10) {
                for target in (30..200).step_by(10) {
                    let before = held(&setting, lead, release, target);
                    let after =
                        [held(&setting, lead + 40, release, target), held(&setting, lead, release + 40, target)];
                    for (at, asked) in [entry.asks.lead, entry.asks.release].into_iter().enumerate() {
                        let at_gesture = format!("{}: {lead} {release} {target}", entry.name);
                        assert!(asked || before == after[at], "not asked: {at_gesture}");
                        assert!(!before || after[at], "for the worse: {at_gesture}");
                        helped[at] |= !before && after[at];
                    }
                }
            }
        }
        assert_eq!(helped, [entry.asks.lead, entry.asks.release], "{}", entry.name);
    }
}

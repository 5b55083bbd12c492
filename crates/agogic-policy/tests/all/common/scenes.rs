//! The encounters of the committed pictures, and tables to show the learning rules with.

use std::sync::Arc;

use agogic_keys::{Code, Hand, Instant, Span};
use agogic_policy::{Contact, Encounter, EvidenceCounts, EvidenceTables, KeySample, RULES, Setting};

#[path = "picture.rs"]
pub mod picture;

#[path = "picture_terms.rs"]
mod picture_terms;

use picture::{Example, timing_sheet};
use picture_terms::terms_picture;

fn encounter(lull_ms: u64, dwell_ms: u64, contacts: &[Contact]) -> Encounter<'_> {
    let code: Code = "KeyF".parse().unwrap();
    Encounter::new(code, Hand::Left, Instant(0), Span(dwell_ms * 1000))
        .with_lull(Span(lull_ms * 1000))
        .with_previous("KeyE".parse().unwrap())
        .with_contacts(contacts)
}

fn contact(down_ms: i64, up_ms: i64) -> Contact {
    Contact { code: "KeyI".parse().unwrap(), hand: Hand::Right, down: down_ms * 1000, up: up_ms * 1000 }
}

/// Tables from a lattice of made-up encounters: lone taps, rolls, chords let go in either order, bare holds.
fn illustrative_tables() -> EvidenceTables {
    let (mut counts, mut keys) = (EvidenceCounts::new(), KeySample::new());
    // Before a hold stands a space as often as a letter; before a tap rarely. Under holds another key comes down.
    let (space, target): (Code, Code) = (Code::SPACE, "KeyT".parse().unwrap());
    let mut add = |encounter: &Encounter<'_>, hold: bool| {
        counts.add(encounter, hold);
        let turn = counts.taps() + counts.holds();
        let before = if turn % (if hold { 2 } else { 9 }) == 0 { space } else { "KeyE".parse().unwrap() };
        let renamed: Vec<Contact> = encounter
            .contacts()
            .map(|contact| Contact { code: if hold && turn % 3 > 0 { target } else { contact.code }, ..*contact })
            .collect();
        keys.add(&encounter.with_previous(before).with_contacts(&renamed), hold);
    };
    for i in 0..12_i64 {
        for j in 0..12_i64 {
            let lull = (90 + 45 * i) as u64;
            for _ in 0..6 {
                add(&encounter(lull, (70 + 8 * j) as u64, &[]), false);
            }
            let lead_of_roll = 50 + 7 * i;
            let roll = [contact(lead_of_roll, 160 + 10 * j)];
            add(&encounter(lull, (lead_of_roll + 8 + 5 * j) as u64, &roll), false);
            let (lead, target) = (60 + 14 * i, 70 + 8 * j);
            let chord = [contact(lead, lead + target)];
            let calm = (110 + 50 * i) as u64;
            add(&encounter(calm, (lead + target + 30 + 10 * j) as u64, &chord), true);
            add(&encounter(calm, (lead + target - 10 - 2 * j) as u64, &chord), true);
        }
        add(&encounter(400, (400 + 60 * i) as u64, &[]), true);
    }
    let tables = counts.tables().expect("it has taps and holds");
    let keyed = keys.tables(1.0, &tables, true).expect("it has taps and holds");
    tables.with_keys(keyed)
}

/// File name and picture of every rule.
pub fn pictures() -> Vec<(String, String)> {
    let tables = Arc::new(illustrative_tables());
    let (roll, enclosed, trailing) = ([contact(85, 200)], [contact(110, 205)], [contact(110, 215)]);
    let examples = [
        Example { title: "roll", encounter: encounter(140, 120, &roll) },
        Example { title: "enclosed chord", encounter: encounter(420, 260, &enclosed) },
        Example { title: "trailing chord", encounter: encounter(420, 180, &trailing) },
    ];
    let trained = |name: &str| Setting::trained(name, &[], &tables).expect("defaults are accepted");
    let mut pictures: Vec<(String, String)> = RULES
        .iter()
        .map(|entry| (format!("{}.svg", entry.name), timing_sheet(&trained(entry.name), &examples)))
        .collect();
    let target = Contact { code: "KeyT".parse().unwrap(), ..contact(110, 215) };
    let chord = [target];
    let after_space = encounter(420, 180, &chord).with_previous(Code::SPACE);
    let terms = terms_picture(&trained("key-evidence"), "a chord after a word", &after_space);
    pictures.push(("key-evidence-terms.svg".to_owned(), terms.expect("its decision is a sum")));
    pictures
}

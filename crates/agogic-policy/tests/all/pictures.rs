//! The committed pictures are what the code draws now.

#[path = "common/scenes.rs"]
mod scenes;

use std::collections::BTreeSet;

use agogic_keys::{Hand, Instant, Span};
use agogic_policy::{Contact, Encounter, Setting};
use scenes::picture::{Example, ticks, timing_sheet};

#[test]
fn the_committed_pictures_are_up_to_date() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("pictures");
    let mut expected = BTreeSet::new();
    for (name, svg) in scenes::pictures() {
        let committed = std::fs::read_to_string(folder.join(&name)).unwrap();
        assert!(committed == svg, "{name} is out of date; run `cargo run -p agogic-policy --example pictures`");
        expected.insert(name);
    }
    let found: BTreeSet<String> =
        folder.read_dir().unwrap().map(|file| file.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(found, expected, "no picture too many and none too few");
}

#[test]
fn ticks_are_round_and_few() {
    assert_eq!(ticks(-12_000, 205_000).collect::<Vec<_>>(), [0, 50_000, 100_000, 150_000, 200_000]);
    for length in [1, 999, 7_000, 123_456, 9_000_000_000] {
        assert!(ticks(-5, length).count() <= 9, "{length}");
    }
}

#[test]
fn the_picture_tells_the_decision_in_words_and_escapes_titles() {
    let code = "KeyF".parse().unwrap();
    let contacts = [Contact { code: "KeyI".parse().unwrap(), hand: Hand::Right, down: 60_000, up: 140_000 }];
    let encounter = Encounter::new(code, Hand::Left, Instant(0), Span(180_500)).with_contacts(&contacts);
    let setting = Setting::rule("enclosed", &[]).unwrap();
    let svg = timing_sheet(&setting, &[Example { title: "a < b", encounter }]);
    let sentence =
        "a &lt; b: KeyF is down from 0 to 180.5 ms, KeyI is down from 60 to 140 ms; hold, decided at 140 ms.";
    assert!(svg.contains(sentence), "{svg}");
    // Markdown takes it as it is only if no line is empty.
    assert!(svg.lines().all(|line| !line.trim().is_empty()));
    let carried = Example { title: "", encounter: encounter.with_carried(&contacts) };
    assert!(timing_sheet(&setting, &[carried]).contains("KeyI"));
}

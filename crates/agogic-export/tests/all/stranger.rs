//! A program that somebody wrote from the page alone passes the vectors.

use std::path::Path;

use agogic_export::{Clock, cases, conform, page};

use crate::common::{guards, has, machine, setting};

#[test]
fn a_program_written_from_the_page_alone_passes_the_vectors() {
    if !has("python3") {
        return;
    }
    let stranger = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/stranger/stranger.py");
    let folder = tempfile::tempdir().unwrap();
    let wanted = [
        ("overlap-share", 0, [true; 5], Clock::Milliseconds, 8),
        ("overlap-share", 1, [false, true, true, false, true], Clock::Microseconds, 4),
        ("evidence", 1, [true, false, true, false, false], Clock::Microseconds, 8),
        ("evidence", 0, [false, false, false, true, true], Clock::Milliseconds, 3),
    ];
    for (rule, variant, on, clock, slots) in wanted {
        let setting = setting(agogic_policy::rule(rule).unwrap(), variant).with_guards(guards(on));
        let machine = machine(&setting, clock, slots);
        let path = folder.path().join("RULE.md");
        std::fs::write(&path, page(&machine)).unwrap();
        let arguments = [stranger.to_owned(), path.display().to_string()];
        let found = conform(Path::new("python3"), &arguments, &cases(&machine, 9, 1_000)).unwrap();
        assert_eq!(found.differences, Vec::<String>::new(), "{}", machine.setting.label());
        assert!(found.cases > 1_000 && found.decisions > 2_000);
    }
}

//! The documents say what the code does.

use agogic_keys::Board;
use agogic_log::{Classes, DefectKind, LogLayout, read_back, words_in};

const README: &str = include_str!("../../README.md");
const PRIVACY: &str = include_str!("../../PRIVACY.md");

#[test]
fn the_readme_lists_every_defect_and_preset_with_its_rule() {
    for kind in DefectKind::ALL {
        let row = format!("| `{}` | {} |", kind.name(), kind.rule());
        assert!(README.contains(&row), "README.md lacks the row {row}");
    }
    for (name, about) in LogLayout::presets() {
        let row = format!("| `{name}` | {about} |");
        assert!(README.contains(&row), "README.md lacks the row {row}");
    }
}

#[test]
fn the_layout_in_the_readme_is_a_layout() {
    let source = README.split("```toml\n").nth(1).unwrap().split("```").next().unwrap();
    let layout = LogLayout::from_toml(source).unwrap();
    assert_eq!(layout.names["BKSP"], agogic_keys::Code::BACKSPACE);
}

#[test]
fn the_privacy_notes_say_how_many_words_can_be_read_back() {
    let typed: Vec<String> = words_in(include_str!("../../../../data-synthetic/texts/tide-station.txt")).collect();
    let other: Vec<String> = words_in(include_str!("../../../../data-synthetic/texts/seed-library.txt")).collect();
    let board = Board::row_staggered();
    for classes in [Classes::Finger, Classes::Hand] {
        let words = || typed.iter().map(String::as_str);
        let found = read_back(words(), words().chain(other.iter().map(String::as_str)), &board, classes);
        assert_eq!(found.outside_board, 0);
        let row = format!(
            "  | {} | {} of {} ({:.0} %) | {} of {} | {:.1} |",
            classes.name(),
            found.typed_readable,
            found.typed_words,
            100.0 * found.readable_share.unwrap(),
            found.distinct_readable,
            found.distinct_words,
            found.mean_candidates.unwrap()
        );
        assert!(PRIVACY.contains(&row), "PRIVACY.md lacks the row\n{row}");
    }
}

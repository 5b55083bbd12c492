use std::collections::BTreeSet;

use super::*;
use crate::{Assignment, Board, Modifier, ModifierSet, TextError, TextPlan, Unsupported};

fn code(name: &str) -> Code {
    name.parse().unwrap()
}

fn board(letters: &str) -> Board {
    Board::row_staggered().with_letters(Letters::by_name(letters).unwrap())
}

fn resting(board: &Board) -> Assignment {
    Assignment::resting(board, [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift])
}

fn plan(letters: &str, text: &str) -> Result<TextPlan, TextError> {
    let board = board(letters);
    TextPlan::new(text, &board, &resting(&board), Unsupported::Refuse)
}

/// What a text is typed with: a code, behind `Shift+` or `Layer+` where a key is held.
fn keys(letters: &str, text: &str) -> Vec<String> {
    let plan = plan(letters, text).unwrap();
    let steps = plan.steps();
    let one = |step: &crate::Step| match step.with {
        with if with.is_empty() => step.code.to_string(),
        with => format!("{with}+{}", step.code),
    };
    // Without the space that parts one round of a text from the next.
    steps[..steps.len() - 1].iter().map(one).collect()
}

/// Known answers. DIN 2137-1:2012-06, layout T1: positions from memory; accounts of the standard say the same of Y and Z, of
/// ä, ö, ü and ß, of the dead keys and of the characters of the third level.
#[test]
fn german_words_are_typed_as_the_standard_has_them() {
    assert_eq!(keys("german", "Straße"), ["Shift+KeyS", "KeyT", "KeyR", "KeyA", "Minus", "KeyE"]);
    assert_eq!(keys("german", "Übung"), ["Shift+BracketLeft", "KeyB", "KeyU", "KeyN", "KeyG"]);
    assert_eq!(keys("german", "zynisch")[..2], ["KeyY", "KeyZ"]);
    assert_eq!(keys("german", "öÄ"), ["Semicolon", "Shift+Quote"]);
    assert_eq!(keys("german", "€@{|"), ["Layer+KeyE", "Layer+KeyQ", "Layer+Digit7", "Layer+IntlBackslash"]);
    assert_eq!(keys("german", "\";:?-"), ["Shift+Digit2", "Shift+Comma", "Shift+Period", "Shift+Minus", "Slash"]);
    // A dead key and a letter; the accent that stands alone takes the space bar.
    assert_eq!(keys("german", "éÀ^"), ["Equal", "KeyE", "Shift+Equal", "Shift+KeyA", "Backquote", "Space"]);
    // No dead key of this layout gives the cedilla: the letter is typed without it, and that is counted.
    assert_eq!(keys("german", "ça"), ["KeyC", "KeyA"]);
    assert_eq!(plan("german", "ça").unwrap().replaced(), 1);
    // The small ß has no capital of one character.
    assert_eq!(Letters::by_name("german").unwrap().strokes('ẞ'), None);
}

/// Known answers. SN 074021, the French of Switzerland: positions from memory; an account of it says that the keys of ü, ö
/// and ä give è, é and à.
#[test]
fn french_words_are_typed_as_the_swiss_standard_has_them() {
    assert_eq!(keys("swiss-french", "été"), ["Semicolon", "KeyT", "Semicolon"]);
    assert_eq!(keys("swiss-french", "à ère"), ["Quote", "Space", "BracketLeft", "KeyR", "KeyE"]);
    assert_eq!(keys("swiss-french", "ça"), ["Shift+Digit4", "KeyA"]);
    assert_eq!(keys("swiss-french", "êÎ"), ["Equal", "KeyE", "Equal", "Shift+KeyI"]);
    assert_eq!(keys("swiss-french", "Noël")[2..], ["BracketRight", "KeyE", "KeyL"]);
    // A capital with an accent: the dead key of the third level, then the letter under Shift.
    assert_eq!(keys("swiss-french", "École")[..3], ["Layer+Minus", "Shift+KeyE", "KeyC"]);
    assert_eq!(keys("swiss-french", "où"), ["KeyO", "Shift+Equal", "KeyU"]);
    // The Swiss capital Ü is a dead key and the letter too: Shift on the key of è gives the small one.
    assert_eq!(keys("swiss-french", "üÜ"), ["Shift+BracketLeft", "BracketRight", "Shift+KeyU"]);
}

#[test]
fn the_layout_of_the_us_is_that_of_the_codes() {
    let us = Letters::us();
    for (c, strokes) in us.all() {
        let (code, shift) = Code::writing(c).unwrap();
        let level = if shift { Level::Second } else { Level::First };
        assert_eq!(strokes, [Stroke { code, level }], "{c}");
    }
    assert_eq!(us.all().count(), 95 + 2);
    assert!(us.is_us() && !us.has_third_level() && us.strokes('é').is_none());
    assert!(board("us").place(Code::BESIDE_SHIFT).is_none());
    assert!(Letters::by_name("martian").is_none());
}

/// Every character of every layout is given by the keys that are said to type it, and comes out of a text again.
#[test]
fn characters_go_there_and_back_on_every_layout() {
    for name in Letters::NAMES {
        let letters = Letters::by_name(name).unwrap();
        assert_eq!(letters.name(), name);
        let mut seen = BTreeSet::new();
        for (c, strokes) in letters.all() {
            assert_eq!(letters.spell(strokes.iter().copied()), c.to_string(), "{name}");
            assert!(seen.insert(strokes.iter().map(|s| (s.code, s.level)).collect::<Vec<_>>()) || c.is_whitespace());
            if !c.is_whitespace() {
                let plan = plan(name, &format!("a{c}b")).unwrap();
                assert_eq!(plan.spell(0..plan.steps().len()), format!("a{c}b "), "{name}");
                assert_eq!((plan.replaced(), plan.skipped()), (0, 0));
            }
        }
    }
}

#[test]
fn the_third_level_is_held_with_the_right_alt_key() {
    let board = board("german");
    let assignment = resting(&board);
    let at = plan("german", "a@b").unwrap();
    assert_eq!(at.steps()[1].holder, Some(Code::ALT_RIGHT));
    assert_eq!(at.steps()[1].with, ModifierSet::NONE.with(Modifier::Layer));
    assert_eq!(assignment.dedicated(Code::ALT_RIGHT), Some(Modifier::Layer));
    assert_eq!(assignment.dedicated(code("AltLeft")), Some(Modifier::Alt));
    // Nothing of the other hand does the same, and Alt is left to the left hand.
    assert_eq!(assignment.counterpart(&board, Code::ALT_RIGHT), None);
    assert_eq!(Assignment::none_on(&board).holder(&board, code("KeyA"), Modifier::Alt), Some(code("AltLeft")));
    // A dual-role key that leads there goes before it, as one of Shift goes before Shift.
    let mut thumb = assignment.clone();
    thumb.assign(&board, Code::SPACE, Modifier::Layer).unwrap();
    assert_eq!(thumb.holder(&board, code("KeyQ"), Modifier::Layer), Some(Code::SPACE));
    // Without a third level the right Alt key is Alt.
    let us = Board::row_staggered();
    assert_eq!(Assignment::none_on(&us).dedicated(Code::ALT_RIGHT), Some(Modifier::Alt));
    assert_eq!(Assignment::none_on(&us).holder(&us, code("KeyA"), Modifier::Layer), None);
}

#[test]
fn a_run_under_one_hold_is_of_one_level() {
    let plan = plan("german", "[{AB").unwrap();
    let runs: Vec<_> = plan.steps().iter().map(|step| step.run.map(|(count, holder)| (count, holder.name()))).collect();
    // A lies under the finger of neither J nor F; B under that of F.
    assert_eq!(runs[..4], [Some((2, "AltRight")), None, Some((2, "KeyJ")), None]);
}

#[test]
fn letters_beside_the_left_shift_bring_their_key() {
    for of in Board::NAMES {
        let us = Board::by_name(of).unwrap();
        let german = us.clone().with_letters(Letters::by_name("german").unwrap());
        let (key, shift) = (*german.place(Code::BESIDE_SHIFT).unwrap(), *german.place(Code::SHIFT_LEFT).unwrap());
        assert_eq!(
            (key.x, shift.x),
            (us.place(Code::SHIFT_LEFT).unwrap().x, us.place(Code::SHIFT_LEFT).unwrap().x - 1.0)
        );
        assert_eq!(key.finger_in_words(), "left little");
        assert_eq!(german.place(code("Backslash")).unwrap().y, german.place(code("Quote")).unwrap().y);
        // Letters that are put on twice move nothing twice.
        let again = german.clone().with_letters(Letters::by_name("swiss-french").unwrap());
        assert_eq!(again.place(Code::SHIFT_LEFT), german.place(Code::SHIFT_LEFT));
        for letters in Letters::NAMES.map(|name| Letters::by_name(name).unwrap()) {
            let board = us.clone().with_letters(letters.clone());
            assert!(Code::all().filter(|key| letters.writes(*key)).all(|key| board.place(key).is_some()), "{of}");
        }
    }
}

/// Unicode Standard Annex 15: a letter and its mark are the same text as the composed letter.
#[test]
fn composed_and_decomposed_texts_are_typed_alike() {
    for (letters, text) in [("german", "Grüße"), ("swiss-french", "été à Genève"), ("us", "Café")] {
        use unicode_normalization::UnicodeNormalization;
        let apart: String = text.nfd().collect();
        assert_ne!(apart, text);
        assert_eq!(keys(letters, &apart), keys(letters, text));
        assert_eq!(plan(letters, &apart).unwrap().replaced(), plan(letters, text).unwrap().replaced());
    }
}

#[test]
fn characters_without_a_key_are_told_with_their_number() {
    let refused = plan("german", "Grüße\nдо ☃ и до").unwrap_err().to_string();
    assert!(refused.starts_with("line 2, character 1: no key writes `д` (U+0434); 6 of 11"), "{refused}");
    assert!(refused.contains("(`д` 2, `о` 2, `и` 1, `☃` 1)"), "{refused}");
    assert!(refused.contains("name other letters as `[keyboard] letters`"), "{refused}");
}

#[test]
fn mistakes_of_a_layout_are_told_key_by_key() {
    let mut draft = LettersDraft::new("mine", "");
    draft.put(Level::First, code("KeyA"), Some('a'));
    draft.put(Level::First, code("KeyB"), Some('a'));
    draft.put(Level::First, code("Space"), Some('x'));
    draft.put(Level::First, code("F1"), Some('y'));
    draft.put(Level::Third, code("KeyC"), Some('\u{A0}'));
    draft.put(Level::Third, code("KeyD"), Some('\u{302}'));
    draft.put(Level::Third, code("KeyE"), Some('\u{302}'));
    let told: Vec<String> =
        draft.build().unwrap_err().iter().map(|m| format!("{} {}: {m}", m.level.name(), m.code)).collect();
    let expected = [
        "level_1 KeyB: KeyA gives this character on the same level; keep one of them",
        "level_1 Space: Space gives what it always gives; leave it out",
        "level_1 F1: F1 is no key of a letter, digit or sign; leave it out",
        "level_3 KeyC: U+00A0 is no character that can be seen; only Space, Enter and Tab give such",
        "level_3 KeyE: KeyD gives this dead key on the same level; keep one of them",
    ];
    assert_eq!(told, expected);
}

#[test]
fn a_layout_may_start_from_another() {
    let us = Letters::us();
    let mut draft = LettersDraft::like("mine", "", &us);
    draft.put(Level::First, code("BracketLeft"), Some('å'));
    draft.put(Level::Third, code("KeyQ"), Some('@'));
    let mine = draft.build().unwrap();
    let stroke = |name, level| Stroke { code: code(name), level };
    assert_eq!(mine.strokes('Å'), Some(&[stroke("BracketLeft", Level::Second)][..]));
    assert_eq!((mine.strokes('['), mine.strokes('{')), (None, None));
    // Of two levels the lower one types it.
    assert_eq!(mine.strokes('@'), Some(&[stroke("Digit2", Level::Second)][..]));
    assert_eq!(mine.strokes('x'), us.strokes('x'));
    // A character that another key is said to give leaves its own, with its capital.
    let mut moved = LettersDraft::like("moved", "", &us);
    moved.put(Level::First, code("KeyY"), Some('z'));
    moved.put(Level::Second, code("Digit2"), Some('"'));
    let moved = moved.build().unwrap();
    let given = |name, level| moved.given(code(name), level);
    assert_eq!((given("KeyY", Level::Second), given("KeyZ", Level::First)), (Some('Z'), None));
    assert_eq!((given("KeyZ", Level::Second), moved.strokes('y')), (None, None));
    assert_eq!((given("Quote", Level::First), given("Quote", Level::Second)), (Some('\''), None));
    assert!(mine != us && LettersDraft::like("us", "", &us).build().unwrap() == us);
}

#[test]
fn a_failed_dead_key_stands_alone() {
    let letters = Letters::by_name("german").unwrap();
    let press = |name: &str| Stroke { code: code(name), level: Level::First };
    let spelled = |names: &[&str]| letters.spell(names.iter().map(|name| press(name)));
    assert_eq!(spelled(&["Equal", "KeyE", "KeyE"]), "ée");
    assert_eq!(spelled(&["Equal", "KeyT"]), "´t");
    assert_eq!(spelled(&["Equal", "Backquote", "KeyO"]), "´ô");
    assert_eq!(spelled(&["Equal", "Space", "Backquote"]), "´^");
}

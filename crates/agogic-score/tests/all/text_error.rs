//! The minimum string distance: exact on short texts, and on texts as long as a session.

use agogic_score::{Produced, TextError};
use proptest::collection::vec;
use proptest::prelude::*;

use crate::common::{emulator, session};

fn msd(presented: &[char], text: Vec<char>) -> usize {
    TextError::of(presented, &Produced { text, ..Produced::default() }).not_fixed as usize
}

/// Few different letters, so that texts have much in common; one of them is not ASCII.
fn letters(length: std::ops::Range<usize>) -> impl Strategy<Value = Vec<char>> {
    vec(prop::sample::select(vec!['a', 'b', 'c', ' ', 'ä']), length)
}

/// A long text without any capital, the same on every machine.
fn long_text(length: usize) -> Vec<char> {
    let mut state = 1_u64;
    let mut next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 59) as u8
    };
    (0..length).map(|_| char::from(b'a' + next() % 26)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    #[test]
    fn agrees_with_the_plain_table(a in letters(0..150), b in letters(0..150)) {
        let plain = strsim::generic_levenshtein(&a, &b);
        prop_assert_eq!(msd(&a, b), plain);
    }

    #[test]
    fn agrees_with_the_plain_table_on_near_equal_texts(
        a in letters(200..900),
        edits in vec((any::<prop::sample::Index>(), 0..3, prop::sample::select(vec!['a', 'x', 'ä'])), 0..60),
    ) {
        let mut b = a.clone();
        for (at, edit, letter) in &edits {
            let at = at.index(b.len());
            match edit {
                0 => b[at] = *letter,
                1 => b.insert(at, *letter),
                _ => { b.remove(at); }
            }
        }
        let plain = strsim::generic_levenshtein(&a, &b);
        prop_assert!(plain <= edits.len());
        prop_assert_eq!(msd(&a, b), plain);
    }

    #[test]
    fn a_session_decided_as_meant_produces_what_was_meant(mut session in session(60)) {
        for one in &mut session.decided {
            let hold = session.truths[one.press].hold;
            one.decision.role = if hold { agogic_policy::Role::Hold } else { agogic_policy::Role::Tap };
        }
        let emulator = emulator();
        emulator.each(&session.presses, &session.decided, |key| session.truths[key.press].with = key.with);
        let produced = Produced::of(&emulator, &session.presses, &session.decided);
        prop_assert_eq!(&produced, &Produced::meant(&session.presses, &session.truths));
        prop_assert_eq!(TextError::of(&produced.text, &produced).not_fixed, 0);
    }
}

#[test]
fn long_texts_with_known_distances_are_measured_exactly() {
    let presented = long_text(15_000);
    // Capitals do not occur in the text, so each one in the other text needs an edit of its own, and one
    // edit each is enough.
    for wrong in [0, 1, 63, 64, 65, 700, 5_000] {
        let mut substituted = presented.clone();
        for i in 0..wrong {
            substituted[i * 3] = 'X';
        }
        assert_eq!(msd(&presented, substituted), wrong);
        // Letters left out: the lengths differ by their number, which is the least and enough.
        let mut shortened = presented.clone();
        let mut i = 0;
        shortened.retain(|_| {
            i += 1;
            i % 3 != 1 || i / 3 >= wrong
        });
        assert_eq!(msd(&presented, shortened), wrong);
    }
}

#[test]
fn a_long_text_agrees_with_the_plain_table() {
    // Both insertions, deletions and substitutions, far more than fit the first band.
    let presented = long_text(4_000);
    let mut text = Vec::new();
    for (i, c) in presented.iter().enumerate() {
        match i % 11 {
            0 => text.push('e'),
            4 => {}
            7 => text.extend([*c, 'a']),
            _ => text.push(*c),
        }
    }
    let plain = strsim::generic_levenshtein(&presented, &text);
    assert!(plain > 500, "{plain}");
    assert_eq!(msd(&presented, text), plain);
}

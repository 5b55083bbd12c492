//! What a redacted log still gives away: words that their class sequence alone tells apart.

use std::collections::{BTreeMap, BTreeSet};

use agogic_keys::{Board, Code};
use serde::Serialize;

use crate::{Classes, SessionLog};

/// How much of the words typed could be read back from their class sequences.
///
/// # Definition
/// Someone who has the redacted log and a list of the words that may occur looks each class sequence up. A
/// word is *readable* when no other word of the list has its sequence. The list is the one given together
/// with the words of the log itself. Words are runs of letters and apostrophes; case does not matter.
///
/// This is a floor, not a ceiling: a reader who weighs candidates by how likely they are, and by what
/// stands around them, does better, and the timing of letter pairs narrows them further (Song, Wagner &
/// Tian 2001). A short list makes it smaller in the other direction: words that are not on it cannot be
/// mistaken for one another.
///
/// # Undefined
/// Shares are `None` where no word was typed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReadBack {
    /// The classes.
    pub classes: Classes,
    /// Words on the list, those of the log included.
    pub list_words: u64,
    /// Words typed.
    pub typed_words: u64,
    /// Of those, readable ones.
    pub typed_readable: u64,
    /// `typed_readable` over `typed_words`.
    pub readable_share: Option<f64>,
    /// Different words typed.
    pub distinct_words: u64,
    /// Of those, readable ones.
    pub distinct_readable: u64,
    /// Of the words typed, those whose sequence is shared by at most five words of the list.
    pub typed_nearly_readable: u64,
    /// Mean over the words typed of how many words of the list share the sequence.
    pub mean_candidates: Option<f64>,
    /// By length in letters: words typed, and readable ones.
    pub by_length: BTreeMap<usize, (u64, u64)>,
    /// Words typed with a letter that no key of the board writes; they are in no other number.
    pub outside_board: u64,
}

/// How few candidates count as nearly readable.
const FEW: u64 = 5;

/// Measures what class sequences give away about `typed`, to a reader who knows `list`.
pub fn read_back<'w>(
    typed: impl IntoIterator<Item = &'w str>,
    list: impl IntoIterator<Item = &'w str>,
    board: &Board,
    classes: Classes,
) -> ReadBack {
    let sequence = |word: &str| -> Option<Vec<&'static str>> {
        word.chars().map(|letter| Code::writing(letter).and_then(|(code, _)| classes.of(board, code))).collect()
    };
    let mut counts: BTreeMap<String, u64> = BTreeMap::new();
    for word in typed {
        *counts.entry(word.to_lowercase()).or_default() += 1;
    }
    let known: BTreeSet<String> =
        list.into_iter().map(str::to_lowercase).filter(|word| !word.is_empty()).chain(counts.keys().cloned()).collect();
    let mut candidates: BTreeMap<Vec<&'static str>, u64> = BTreeMap::new();
    for sequence in known.iter().filter_map(|word| sequence(word)) {
        *candidates.entry(sequence).or_default() += 1;
    }
    let mut found = ReadBack {
        classes,
        list_words: known.len() as u64,
        typed_words: 0,
        typed_readable: 0,
        readable_share: None,
        distinct_words: 0,
        distinct_readable: 0,
        typed_nearly_readable: 0,
        mean_candidates: None,
        by_length: BTreeMap::new(),
        outside_board: 0,
    };
    let mut candidates_met = 0;
    for (word, times) in counts {
        let Some(sequence) = sequence(&word) else {
            found.outside_board += times;
            continue;
        };
        let shared = candidates[&sequence];
        let readable = shared == 1;
        found.typed_words += times;
        found.distinct_words += 1;
        candidates_met += shared * times;
        let length = found.by_length.entry(word.chars().count()).or_default();
        length.0 += times;
        if readable {
            found.typed_readable += times;
            found.distinct_readable += 1;
            length.1 += times;
        }
        if shared <= FEW {
            found.typed_nearly_readable += times;
        }
    }
    if found.typed_words > 0 {
        let words = found.typed_words as f64;
        found.readable_share = Some(found.typed_readable as f64 / words);
        found.mean_candidates = Some(candidates_met as f64 / words);
    }
    found
}

/// The words of a session, in lower case, with Backspace carried out. Apostrophes belong to words; keys
/// pressed under Control, Alt or Meta write nothing.
pub fn words_of(log: &SessionLog) -> Vec<String> {
    let mut words = Vec::new();
    for run in log.runs() {
        let mut text = String::new();
        // Commands may be held by several keys at once: until the last of them is up.
        let mut command_until = agogic_keys::Instant::ZERO;
        for press in run {
            if press.code.dedicated_modifier().is_some_and(|modifier| modifier != agogic_keys::Modifier::Shift) {
                command_until = command_until.max(press.up);
            } else if press.down >= command_until {
                if press.code == Code::BACKSPACE {
                    text.pop();
                } else {
                    text.extend(press.code.character(false));
                }
            }
        }
        words.extend(words_in(&text));
    }
    words
}

/// The words of a text, in lower case: runs of letters and apostrophes.
pub fn words_in(text: &str) -> impl Iterator<Item = String> {
    text.split(|c: char| !c.is_alphabetic() && c != '\'').filter(|word| !word.is_empty()).map(str::to_lowercase)
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Instant, Press};

    #[test]
    fn a_small_list_counted_by_hand() {
        // On the fingers of the board: fun, run, gun and bum are index, index, index of left, right, right;
        // "sea" is ring, middle, little of the left and "sex" ring, middle, ring.
        let list = ["fun", "run", "gun", "sea", "sex"];
        let typed = ["Fun", "fun", "sea", "naïve", "bum"];
        let board = Board::row_staggered();
        let found = read_back(typed, list, &board, Classes::Finger);
        assert_eq!(found.outside_board, 1);
        assert_eq!((found.typed_words, found.typed_readable), (4, 1));
        assert_eq!((found.distinct_words, found.distinct_readable), (3, 1));
        assert_eq!(found.readable_share, Some(0.25));
        assert_eq!(found.mean_candidates, Some((4.0 + 4.0 + 1.0 + 4.0) / 4.0));
        assert_eq!((found.by_length[&3], found.typed_nearly_readable), ((4, 1), 4));
        // By hand alone "sea" and "sex" are the same, so nothing is readable.
        assert_eq!(read_back(typed, list, &board, Classes::Hand).typed_readable, 0);
        // To a reader without a list but the log's own words, the log stands out more.
        assert_eq!(read_back(["sea", "fun"], [], &board, Classes::Hand).readable_share, Some(1.0));
        assert_eq!(read_back([], list, &board, Classes::Hand).readable_share, None);
    }

    #[test]
    fn coarser_classes_never_give_more_away() {
        let list: Vec<String> = words_in(include_str!("../PRIVACY.md")).collect();
        let words = || list.iter().map(String::as_str);
        let board = Board::row_staggered();
        let finger = read_back(words(), words(), &board, Classes::Finger);
        let hand = read_back(words(), words(), &board, Classes::Hand);
        assert!(finger.typed_words > 100 && finger.typed_words == hand.typed_words);
        assert!(hand.typed_readable < finger.typed_readable, "{} {}", hand.typed_readable, finger.typed_readable);
        assert!(hand.mean_candidates > finger.mean_candidates);
    }

    #[test]
    fn words_of_a_log_have_their_corrections_made() {
        let mut presses = Vec::new();
        for (i, name) in
            ["ShiftLeft", "KeyH", "KeyO", "KeyP", "Backspace", "KeyT", "Space", "KeyI", "ControlLeft", "KeyS", "KeyT"]
                .iter()
                .enumerate()
        {
            let down = Instant(i as u64 * 100);
            let dwell = if *name == "ControlLeft" { 150 } else { 80 };
            presses.push(Press { code: name.parse().unwrap(), down, up: Instant(down.0 + dwell) });
        }
        let mut log = SessionLog {
            participant: "p".into(),
            session: "1".into(),
            part: 0,
            intents: vec![None; presses.len()],
            presses,
            breaks: vec![],
        };
        assert_eq!(words_of(&log), ["hot", "it"]);
        log.breaks = vec![4];
        assert_eq!(words_of(&log), ["hop", "t", "it"]);
    }
}

//! What the page asks somebody to type.

use agogic_keys::{Code, Hand};
use agogic_log::RecordPage;
use agogic_personal::LEAST_TO_SAY;
use agogic_study::Arm;
use serde_json::{Value, json};

use crate::args::Try;

/// Draws of a person, as `agogic advise --log` takes them where it is not told otherwise.
pub const DRAWS: u64 = 100;

/// Rounds of holds; each asks for every key with two meanings once.
const ROUNDS: usize = 3;

/// Letters to press under a hold, from frequent to rare in English: common practice, no source.
const TARGETS: &str = "etaoinshrlducmfgypwb";

/// All that the page is told before anybody types.
///
/// Phrases and holds take turns: what is advised is judged by blocks in time, and these should hold as much of both.
pub fn plan(arm: &Arm, args: &Try) -> Value {
    let page = RecordPage::default();
    let dual: Vec<Code> = arm.assignment.iter().map(|(code, _)| code).collect();
    let text = |text: &String| json!({ "kind": "text", "text": text });
    let holds: Vec<Value> = holds(arm, &dual).concat();
    let each = holds.len().div_ceil(page.phrases.len());
    let mut holds = holds.into_iter();
    let mut mixed = Vec::new();
    for phrase in &page.phrases {
        mixed.push(text(phrase));
        mixed.extend(holds.by_ref().take(each));
    }
    let shortcut = |code: &Code| json!({ "kind": "shortcut", "code": code });
    let mut tasks = vec![
        json!({ "name": "turns", "items": mixed }),
        json!({ "name": "capitals", "items": page.capitals.iter().map(text).collect::<Vec<_>>() }),
        json!({ "name": "shortcuts", "items": page.shortcuts.iter().map(shortcut).collect::<Vec<_>>() }),
    ];
    if args.free > 0 {
        let item = json!({ "kind": "free", "text": page.free_prompt, "minutes": args.free });
        tasks.push(json!({ "name": "free", "items": [item] }));
    }
    // The rows of letters, as they lie.
    let drawn = |code: &Code| arm.board.letters().writes(*code) && !matches!(code.name(), "Space" | "Enter" | "Tab");
    let row = |code: Code| arm.board.place(code).filter(|place| (-0.5..2.5).contains(&place.y));
    let place = |code: Code| row(code).map(|place| json!([code, place.x, place.y]));
    let board: Vec<Value> = Code::all().filter(drawn).filter_map(place).collect();
    json!({
        "tasks": tasks,
        "dual": dual,
        "board": board,
        "least": LEAST_TO_SAY,
        "now": args.now,
        "false_hold": args.false_hold_counts,
    })
}

/// Holds, round by round: in each every key with two meanings once, with another letter of the other hand. A key of either
/// hand takes letters of both.
fn holds(arm: &Arm, dual: &[Code]) -> Vec<Vec<Value>> {
    let hand = |code: Code| arm.board.place(code).map_or(Hand::Either, |place| place.hand);
    let targets: Vec<Code> = TARGETS
        .chars()
        .filter_map(|letter| format!("Key{}", letter.to_ascii_uppercase()).parse().ok())
        .filter(|code: &Code| arm.board.place(*code).is_some() && !dual.contains(code))
        .collect();
    let item = |round: usize, at: usize| {
        let key = dual[at];
        let fits: Vec<Code> = targets.iter().copied().filter(|code| !same_hand(hand(*code), hand(key))).collect();
        let target = (!fits.is_empty()).then(|| fits[(at + round * dual.len()) % fits.len()]);
        json!({ "kind": "hold", "key": key, "target": target })
    };
    let count = dual.len();
    (0..ROUNDS)
        // Hands take turns, so that no hold follows another of the same finger.
        .map(|round| (0..count).map(|place| item(round, spread(place, count))).collect())
        .collect()
}

fn same_hand(a: Hand, b: Hand) -> bool {
    a == b && a != Hand::Either
}

/// The places of a list from both ends in turn.
fn spread(place: usize, count: usize) -> usize {
    if place.is_multiple_of(2) { place / 2 } else { count - 1 - place / 2 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_study::{MAIN_STUDY, Study};

    #[test]
    fn every_finger_is_asked_and_there_is_enough_to_say() {
        let study = Study::read(MAIN_STUDY, std::path::Path::new(".")).unwrap();
        let arm = &study.arms[0];
        let dual: Vec<Code> = arm.assignment.iter().map(|(code, _)| code).collect();
        let rounds = holds(arm, &dual);
        for round in &rounds {
            let mut keys: Vec<&str> = round.iter().map(|item| item["key"].as_str().unwrap()).collect();
            keys.sort_unstable();
            let mut all: Vec<&str> = dual.iter().map(|code| code.name()).collect();
            all.sort_unstable();
            assert_eq!(keys, all);
            for item in round {
                let place = |key: &str| *arm.board.place(item[key].as_str().unwrap().parse().unwrap()).unwrap();
                assert!(place("key").hand.opposite_to(place("target").hand), "{item}");
            }
        }
        assert!(dual.iter().any(|code| arm.board.place(*code).unwrap().finger_in_words() == "left little"));
        assert!((rounds.len() * dual.len()) as u64 >= LEAST_TO_SAY[1]);
        let letters: usize = RecordPage::default().phrases.iter().map(String::len).sum();
        assert!(letters as u64 > LEAST_TO_SAY[0] / 2, "{letters}");
        let order: Vec<usize> = (0..5).map(|place| spread(place, 5)).collect();
        assert_eq!(order, [0, 4, 1, 3, 2]);
    }
}

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
pub fn plan(arm: &Arm, args: &Try) -> Value {
    let page = RecordPage::default();
    let dual: Vec<Code> = arm.assignment.iter().map(|(code, _)| code).collect();
    let half = page.phrases.len() / 2;
    let text = |name: &str, title: &str, how: &str, items: &[String]| json!({ "name": name, "title": title, "kind": "text", "how": how, "items": items });
    let phrases = |name: &str, items: &[String]| {
        let how =
            "Type the phrase as you usually would, then press Enter. Mistakes may stay or be mended, as you like.";
        text(name, "Phrases", how, items)
    };
    let rounds = holds(arm, &dual);
    let holds = |round: usize| {
        json!({
            "name": format!("holds-{}", round + 1), "title": "Holds", "kind": "holds",
            "how": "Treat the first key as if it were a Control key: hold it, press the second key, and let go. At your usual pace.",
            "items": rounds[round],
        })
    };
    let mut tasks = vec![phrases("phrases-1", &page.phrases[..half]), holds(0)];
    tasks.push(phrases("phrases-2", &page.phrases[half..]));
    tasks.push(holds(1));
    tasks.push(text(
        "capitals",
        "Capitals",
        "Type the phrase with its capitals, using Shift, then press Enter.",
        &page.capitals,
    ));
    tasks.push(holds(2));
    tasks.push(json!({
        "name": "shortcuts", "title": "Shortcuts", "kind": "shortcuts",
        "how": "Press the shortcut as you would in any program. Nothing will happen to your text.",
        "items": page.shortcuts,
    }));
    if args.free > 0 {
        let how = format!(
            "Write about anything that is not private for about {} minutes, then choose Next. The text will be in the log.",
            args.free
        );
        tasks.push(
            json!({ "name": "free", "title": "Free typing", "kind": "free", "how": how, "items": [page.free_prompt] }),
        );
    }
    // The rows of letters, as they lie.
    let drawn = |code: &Code| code.character(false).is_some_and(|c| c.is_ascii_graphic());
    let place = |code: Code| {
        arm.board
            .place(code)
            .filter(|place| (-0.5..2.5).contains(&place.y))
            .map(|place| json!([code, place.x, place.y]))
    };
    let board: Vec<Value> = Code::all().filter(drawn).filter_map(place).collect();
    json!({
        "tasks": tasks,
        "dual": dual,
        "board": board,
        "least": LEAST_TO_SAY,
        "now": args.now,
        "false_hold": args.false_hold_counts,
        "free_minutes": args.free,
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
        json!({ "key": key, "target": target })
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

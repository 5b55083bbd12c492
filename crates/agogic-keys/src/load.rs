//! What an assignment asks of the hands: presses and held time per finger, and the reach of shortcuts.

use serde::Serialize;

use crate::{Assignment, Board, Code, Finger, Hand, Interruption, Modifier, Shortcut, TextPlan, Workload};

/// How long a key is down, for the held time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeanDwells {
    /// Of a tap, in ms.
    pub tap_ms: f64,
    /// Of a hold for other keys, in ms.
    pub hold_ms: f64,
    /// Of a hold without a target and of a key held to repeat, in ms.
    pub long_ms: f64,
}

impl MeanDwells {
    /// Our own round numbers.
    ///
    /// # Source
    /// Assumed. A tap of about 100 ms lies in the range that studies of keystroke dynamics report; 300 ms is
    /// the mean of medians of ordinary Shift keys that the typist model starts from; one second for a bare
    /// hold is a guess. They scale held times alone.
    pub const ASSUMED: Self = Self { tap_ms: 100.0, hold_ms: 300.0, long_ms: 1000.0 };
}

/// What one finger does for 1000 keys of text.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct FingerLoad {
    /// Keys pressed, holds among them.
    pub presses: f64,
    /// Keys held for others, or alone.
    pub holds: f64,
    /// Time with a key down, in s.
    pub held_s: f64,
}

/// Loads of the fingers.
///
/// # Shape
/// Indexed by [`KeyPlace::digit`](crate::KeyPlace::digit): left little finger to left thumb, right little
/// finger to right thumb, either thumb.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HandLoad {
    /// One for each finger.
    pub fingers: [FingerLoad; 11],
}

impl HandLoad {
    /// Expected loads for 1000 keys of the text with its interruptions.
    ///
    /// # Definition
    /// Each key of the text is pressed once by its finger; a key with a holder adds one hold. A shortcut adds
    /// its holds and its target, a bare hold a long hold, a repeat a tap and a long press that is no hold. Where
    /// one hold could serve a run of keys, each key still counts its own: an upper bound, by few.
    pub fn of(board: &Board, plan: &TextPlan, workload: &Workload, dwells: MeanDwells) -> Self {
        let mut load = Self::default();
        let share = 1000.0 / plan.steps().len() as f64;
        for step in plan.steps() {
            load.add(board, step.code, share, dwells.tap_ms, false);
            if let Some(holder) = step.holder {
                load.add(board, holder, share, dwells.hold_ms, true);
            }
        }
        for (interruption, rate) in workload.expected() {
            let times = 1000.0 * rate;
            match interruption {
                Interruption::Shortcut { holders, target, .. } => {
                    load.add(board, target, times, dwells.tap_ms, false);
                    for holder in holders.into_iter().flatten() {
                        load.add(board, holder, times, dwells.hold_ms, true);
                    }
                }
                Interruption::BareHold(code) => load.add(board, code, times, dwells.long_ms, true),
                Interruption::Repeat(code) => {
                    load.add(board, code, times, dwells.tap_ms, false);
                    load.add(board, code, times, dwells.long_ms, false);
                }
            }
        }
        load
    }

    fn add(&mut self, board: &Board, code: Code, times: f64, dwell_ms: f64, hold: bool) {
        let Some(place) = board.place(code) else { return };
        let finger = &mut self.fingers[place.digit()];
        finger.presses += times;
        finger.holds += if hold { times } else { 0.0 };
        finger.held_s += times * dwell_ms / 1e3;
    }

    /// All fingers together.
    pub fn total(&self) -> FingerLoad {
        self.fingers.iter().fold(FingerLoad::default(), |sum, finger| FingerLoad {
            presses: sum.presses + finger.presses,
            holds: sum.holds + finger.holds,
            held_s: sum.held_s + finger.held_s,
        })
    }
}

/// How a list of shortcuts lies under the hands. Shares are of the weights.
///
/// # Units
/// Distances in key widths (19.05 mm).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Reach {
    /// Share of shortcuts whose modifiers are held with the hand that presses the target, one of them at least,
    /// when the typist holds what [`Assignment::holder`] names.
    pub same_hand: f64,
    /// Share for which a finger would have to hold and press at once, or hold two keys.
    pub same_finger: f64,
    /// Share that the left hand can make alone, as beside a mouse: every modifier and the target on keys of
    /// the left hand, each with a finger of its own. Dedicated keys count.
    pub left_alone: f64,
    /// The same for the right hand.
    pub right_alone: f64,
    /// Mean way of the fingers from where they rest to the keys of a shortcut, added up over its keys.
    pub travel_keys: f64,
    /// Mean over shortcuts held and pressed with one hand of how much farther apart, or nearer, the two keys are
    /// than where their fingers rest: a hand that has to spread or to fold. `None` when there are none.
    pub stretch_keys: Option<f64>,
}

impl Reach {
    /// The reach of `shortcuts`; `None` when there is none, or one that no key can hold.
    ///
    /// # Source
    /// Geometry alone: no weight for fingers, for we found no published one that we could check. Long reaches
    /// and spread hands are commonly said to strain; whether they do for someone, and any pain, is a
    /// matter for a clinician.
    pub fn of(board: &Board, assignment: &Assignment, shortcuts: &[Shortcut]) -> Option<Self> {
        let mut sums = [0.0; 5];
        let (mut stretch, mut one_handed, mut all) = (0.0, 0.0, 0.0);
        for shortcut in shortcuts {
            let Shortcut { target, weight, .. } = *shortcut;
            let wanted: Vec<Modifier> = [Some(shortcut.modifier), shortcut.also].into_iter().flatten().collect();
            let holders: Option<Vec<Code>> =
                wanted.iter().map(|modifier| assignment.holder(board, target, *modifier)).collect();
            let holders = holders?;
            let place = board.place(target)?;
            all += weight;
            let hand = |code: &Code| board.place(*code).map(|place| place.hand);
            if holders.iter().any(|holder| hand(holder) == Some(place.hand)) {
                sums[0] += weight;
            }
            let mut digits: Vec<usize> = holders.iter().chain([&target]).filter_map(|c| digit(board, *c)).collect();
            digits.sort_unstable();
            if digits.windows(2).any(|pair| pair[0] == pair[1]) {
                sums[1] += weight;
            }
            for (slot, alone) in [(2, Hand::Left), (3, Hand::Right)] {
                if makes_alone(board, assignment, &wanted, target, alone) {
                    sums[slot] += weight;
                }
            }
            sums[4] += weight * holders.iter().chain([&target]).map(|code| from_rest(board, *code)).sum::<f64>();
            for holder in holders.iter().filter(|holder| hand(holder) == Some(place.hand)) {
                stretch += weight * spread(board, *holder, target);
                one_handed += weight;
            }
        }
        let [same_hand, same_finger, left_alone, right_alone, travel_keys] = sums.map(|sum| sum / all);
        let stretch_keys = (one_handed > 0.0).then(|| stretch / one_handed);
        (all > 0.0).then_some(Self { same_hand, same_finger, left_alone, right_alone, travel_keys, stretch_keys })
    }
}

fn digit(board: &Board, code: Code) -> Option<usize> {
    board.place(code).map(|place| place.digit())
}

/// Whether one hand has keys for all modifiers and the target, each under a finger of its own. A key of
/// either thumb belongs to both hands.
fn makes_alone(board: &Board, assignment: &Assignment, wanted: &[Modifier], target: Code, hand: Hand) -> bool {
    // Either thumb is that hand's thumb here.
    let finger = |code: Code| {
        board.place(code).filter(|place| place.hand == hand || place.hand == Hand::Either).map(|place| place.finger)
    };
    let Some(pressing) = finger(target) else { return false };
    let keys = |modifier: Modifier| {
        let gives = move |code: &Code| {
            assignment.modifier(*code) == Some(modifier) || assignment.dedicated(*code) == Some(modifier)
        };
        Code::all().filter(gives).filter_map(finger).filter(|finger| *finger != pressing)
    };
    match wanted {
        [one] => keys(*one).next().is_some(),
        [one, two] => keys(*one).any(|first| keys(*two).any(|second| first != second)),
        _ => false,
    }
}

/// Where the finger of a key rests.
fn rest(board: &Board, code: Code) -> Option<(f64, f64)> {
    let place = board.place(code)?;
    let at = |code: Code| board.place(code).map(|place| (f64::from(place.x), f64::from(place.y)));
    if place.finger != Finger::Thumb {
        return board.resting_keys().find(|key| digit(board, *key) == Some(place.digit())).and_then(at);
    }
    // A thumb rests on its writing key nearest to the middle of the board.
    let middle = board.resting_keys().filter_map(at).map(|(x, _)| x).sum::<f64>() / 8.0;
    let own = |key: &Code| {
        board.letters().writes(*key) && board.place(*key).is_some_and(|other| other.finger == Finger::Thumb)
    };
    let of_hand =
        |key: &Code| board.place(*key).is_some_and(|other| other.hand == place.hand || other.hand == Hand::Either);
    let off = |key: &Code| at(*key).map_or(f64::INFINITY, |(x, _)| (x - middle).abs());
    Code::all().filter(own).filter(of_hand).min_by(|one, other| off(one).total_cmp(&off(other))).and_then(at)
}

fn apart(one: (f64, f64), other: (f64, f64)) -> f64 {
    (one.0 - other.0).hypot(one.1 - other.1)
}

fn from_rest(board: &Board, code: Code) -> f64 {
    let place = board.place(code).map(|place| (f64::from(place.x), f64::from(place.y)));
    place.zip(rest(board, code)).map_or(0.0, |(place, rest)| apart(place, rest))
}

fn spread(board: &Board, holder: Code, target: Code) -> f64 {
    let at = |code: Code| board.place(code).map(|place| (f64::from(place.x), f64::from(place.y)));
    let keys = at(holder).zip(at(target)).map_or(0.0, |(one, other)| apart(one, other));
    let fingers = rest(board, holder).zip(rest(board, target)).map_or(0.0, |(one, other)| apart(one, other));
    (keys - fingers).abs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Rates, Unsupported};

    const ORDER: [Modifier; 4] = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];

    fn code(name: &str) -> Code {
        name.parse().unwrap()
    }

    fn shortcut(modifier: Modifier, target: &str) -> Shortcut {
        Shortcut { modifier, also: None, target: code(target), weight: 1.0 }
    }

    #[test]
    fn a_text_loads_the_fingers_that_write_it() {
        let board = Board::row_staggered();
        let assignment = Assignment::resting(&board, ORDER);
        // F, U held with F's Shift, space: three keys and one hold.
        let plan = TextPlan::new("fU", &board, &assignment, Unsupported::Refuse).unwrap();
        let load = HandLoad::of(&board, &plan, &Workload::none(), MeanDwells::ASSUMED);
        let index = load.fingers[3];
        assert!((index.presses - 2000.0 / 3.0).abs() < 1e-9 && (index.holds - 1000.0 / 3.0).abs() < 1e-9);
        assert!((index.held_s - 400.0 / 3.0).abs() < 1e-9, "{}", index.held_s);
        assert!((load.fingers[10].presses - 1000.0 / 3.0).abs() < 1e-9);
        assert!((load.total().presses - 4000.0 / 3.0).abs() < 1e-9);
    }

    #[test]
    fn interruptions_add_their_expected_share() {
        let board = Board::row_staggered();
        let assignment = Assignment::resting(&board, ORDER);
        let plan = TextPlan::new("e", &board, &assignment, Unsupported::Refuse).unwrap();
        let rates = Rates { shortcuts: 20.0, bare_holds: 8.0, repeats: 4.0 };
        let workload = Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).unwrap();
        let load = HandLoad::of(&board, &plan, &workload, MeanDwells::ASSUMED);
        let plain = HandLoad::of(&board, &plan, &Workload::none(), MeanDwells::ASSUMED);
        // 3 of 103 shortcuts take two modifiers.
        let holds = 20.0 * (1.0 + 3.0 / 103.0) + 8.0;
        assert!((load.total().holds - holds).abs() < 1e-9, "{}", load.total().holds);
        let presses = holds + 20.0 + 2.0 * 4.0;
        assert!((load.total().presses - plain.total().presses - presses).abs() < 1e-9);
    }

    #[test]
    fn reach_tells_hands_and_fingers_apart() {
        let board = Board::row_staggered();
        let both = Assignment::resting(&board, ORDER);
        let reach = |assignment: &Assignment, shortcut: Shortcut| Reach::of(&board, assignment, &[shortcut]).unwrap();
        // Control+C: K holds for C; D and C are one finger, so the left hand needs its dedicated key.
        let copy = reach(&both, shortcut(Modifier::Control, "KeyC"));
        assert_eq!((copy.same_hand, copy.same_finger, copy.left_alone, copy.right_alone), (0.0, 0.0, 1.0, 0.0));
        assert_eq!(copy.stretch_keys, None);
        // K and D lie under resting fingers; C lies half a key to the right of D and one below.
        assert!((copy.travel_keys - 0.5_f64.hypot(1.0)).abs() < 1e-6, "{}", copy.travel_keys);
        let mut left = Assignment::none();
        left.assign(&board, code("KeyF"), Modifier::Control).unwrap();
        let select = reach(&left, shortcut(Modifier::Control, "KeyA"));
        assert_eq!((select.same_hand, select.same_finger, select.left_alone), (1.0, 0.0, 1.0));
        assert_eq!(select.stretch_keys, Some(0.0));
        assert_eq!(reach(&left, shortcut(Modifier::Control, "KeyP")).right_alone, 0.0);
        assert_eq!(Reach::of(&board, &left, &[]), None);
        assert_eq!(Reach::of(&board, &left, &[shortcut(Modifier::Layer, "KeyA")]), None);
    }

    #[test]
    fn a_finger_that_would_do_two_things_is_counted() {
        let board = Board::row_staggered();
        let mut assignment = Assignment::none();
        assignment.assign(&board, code("Semicolon"), Modifier::Control).unwrap();
        assignment.assign(&board, code("KeyP"), Modifier::Shift).unwrap();
        let two = Shortcut { also: Some(Modifier::Shift), ..shortcut(Modifier::Control, "KeyT") };
        let reach = Reach::of(&board, &assignment, &[two, shortcut(Modifier::Control, "KeyT")]).unwrap();
        assert_eq!((reach.same_finger, reach.same_hand), (0.5, 0.0));
    }
}

//! What interrupts the prose: shortcuts, holds without a target, keys held for repeat.

use rand::RngExt;

use crate::{Assignment, Board, Code, Modifier, ModifierSet, Stream};

/// One shortcut with its weight in the workload.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shortcut {
    /// The modifier to hold.
    pub modifier: Modifier,
    /// A second modifier to hold with it.
    pub also: Option<Modifier>,
    /// The key to press under it.
    pub target: Code,
    /// Relative frequency, above zero.
    pub weight: f64,
}

/// Why a workload was refused.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WorkloadError {
    /// A rate is no rate.
    #[error("{what} per 1000 keys must lie between 0 and 300, not {rate}")]
    Rate {
        /// Of what.
        what: &'static str,
        /// The rate given.
        rate: f64,
    },
    /// Two roles of one shortcut are the same.
    #[error("a shortcut cannot hold {} twice", .0.name())]
    Twice(Modifier),
    /// The weight is no weight.
    #[error("the weight of {modifier}+{target} must be above zero, not {weight}", modifier = .0.modifier.name(), target = .0.target, weight = .0.weight)]
    Weight(Shortcut),
    /// No key of the board can make it.
    #[error("no key of the board can hold {} for {target}", .modifier.name())]
    NoHolder {
        /// The modifier.
        modifier: Modifier,
        /// The target.
        target: Code,
    },
    /// Bare holds or repeats are wanted but no key has two roles.
    #[error("{0} are wanted but no key has two roles")]
    NoDualRole(&'static str),
    /// Shortcuts are wanted but none is named.
    #[error("shortcuts are wanted but the list of shortcuts is empty")]
    Empty,
}

/// How often the prose is interrupted, per 1000 keys of text.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rates {
    /// Shortcuts.
    pub shortcuts: f64,
    /// Holds of a dual-role key without a target key, as for a mouse click.
    pub bare_holds: f64,
    /// Dual-role keys tapped and pressed again at once, and then held so that the letter repeats.
    pub repeats: f64,
}

/// What comes before a key of the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Interruption {
    /// A shortcut.
    Shortcut {
        /// The keys to hold, in the order they are pressed.
        holders: [Option<Code>; 2],
        /// The key to press under them.
        target: Code,
        /// The modifiers it is meant to carry.
        with: ModifierSet,
    },
    /// A key held without a target.
    BareHold(Code),
    /// A key tapped, pressed again and held for repeat.
    Repeat(Code),
}

#[derive(Clone, Debug)]
struct Chord {
    holders: [Option<Code>; 2],
    target: Code,
    with: ModifierSet,
    /// Cumulative weight in 0..=1.
    up_to: f64,
}

/// Interruptions at stated rates, resolved to the keys that make them.
#[derive(Clone, Debug)]
pub struct Workload {
    /// Cumulative probabilities per key: shortcut, bare hold, repeat.
    up_to: [f64; 3],
    chords: Vec<Chord>,
    dual: Vec<Code>,
}

impl Workload {
    /// A workload without interruptions.
    pub fn none() -> Self {
        Self { up_to: [0.0; 3], chords: Vec::new(), dual: Vec::new() }
    }

    /// Our own example workload: editing, saving, searching and moving between windows.
    ///
    /// # Source
    /// Assumed. We found no open count of shortcuts per key; studies vary the rate.
    pub fn example_shortcuts() -> Vec<Shortcut> {
        use Modifier::{Alt, Control, Meta, Shift};
        let rows: [(Modifier, Option<Modifier>, &str, f64); 14] = [
            (Control, None, "KeyC", 20.0),
            (Control, None, "KeyV", 25.0),
            (Control, None, "KeyZ", 12.0),
            (Control, None, "KeyS", 15.0),
            (Control, None, "KeyX", 6.0),
            (Control, None, "KeyF", 6.0),
            (Control, None, "KeyA", 3.0),
            (Control, None, "KeyW", 3.0),
            (Control, Some(Shift), "KeyT", 2.0),
            (Control, Some(Shift), "KeyV", 1.0),
            (Alt, None, "Tab", 6.0),
            (Alt, None, "KeyD", 1.0),
            (Meta, None, "KeyE", 2.0),
            (Meta, None, "KeyL", 1.0),
        ];
        rows.into_iter()
            .map(|(modifier, also, target, weight)| Shortcut {
                modifier,
                also,
                target: target.parse().expect("the example names table codes"),
                weight,
            })
            .collect()
    }

    /// Another list of our own, of somebody who edits with Control and letters and goes to windows by number: none of its
    /// shortcuts is in [`example_shortcuts`](Self::example_shortcuts). What was learned with the one list is held against
    /// the other.
    ///
    /// # Source
    /// Assumed, as the example.
    pub fn other_shortcuts() -> Vec<Shortcut> {
        use Modifier::{Alt, Control, Meta};
        let rows = [
            (Control, "KeyP", 20.0),
            (Control, "KeyN", 20.0),
            (Control, "KeyE", 12.0),
            (Control, "KeyK", 10.0),
            (Control, "KeyY", 8.0),
            (Control, "KeyR", 8.0),
            (Control, "Space", 5.0),
            (Alt, "KeyB", 8.0),
            (Alt, "Period", 4.0),
            (Meta, "Digit1", 5.0),
            (Meta, "Digit2", 5.0),
            (Meta, "Enter", 5.0),
        ];
        let shortcut = |(modifier, target, weight): (Modifier, &str, f64)| Shortcut {
            modifier,
            also: None,
            target: target.parse().expect("the list names table codes"),
            weight,
        };
        rows.into_iter().map(shortcut).collect()
    }

    /// Resolves rates and shortcuts on a board.
    ///
    /// # Errors
    /// A rate outside 0–300, a weight that is not above zero, a shortcut that no key can make, bare holds
    /// or repeats without dual-role keys.
    pub fn new(
        board: &Board,
        assignment: &Assignment,
        rates: Rates,
        shortcuts: &[Shortcut],
    ) -> Result<Self, WorkloadError> {
        let named = [("shortcuts", rates.shortcuts), ("bare holds", rates.bare_holds), ("repeats", rates.repeats)];
        for (what, rate) in named {
            if !(0.0..=300.0).contains(&rate) {
                return Err(WorkloadError::Rate { what, rate });
            }
        }
        if rates.shortcuts > 0.0 && shortcuts.is_empty() {
            return Err(WorkloadError::Empty);
        }
        let dual: Vec<Code> = assignment.iter().map(|(code, _)| code).collect();
        for (what, rate) in &named[1..] {
            if *rate > 0.0 && dual.is_empty() {
                return Err(WorkloadError::NoDualRole(what));
            }
        }
        let mut chords = Vec::with_capacity(shortcuts.len());
        let mut total = 0.0;
        for shortcut in shortcuts {
            if !(shortcut.weight > 0.0 && shortcut.weight.is_finite()) {
                return Err(WorkloadError::Weight(*shortcut));
            }
            total += shortcut.weight;
            let (holders, with) = holders(board, assignment, shortcut)?;
            chords.push(Chord { holders, target: shortcut.target, with, up_to: total });
        }
        for entry in &mut chords {
            entry.up_to /= total;
        }
        let mut up_to = [rates.shortcuts, rates.bare_holds, rates.repeats].map(|rate| rate / 1000.0);
        up_to[1] += up_to[0];
        up_to[2] += up_to[1];
        Ok(Self { up_to, chords, dual })
    }

    /// Every interruption with how often it is expected per key of the text.
    pub fn expected(&self) -> impl Iterator<Item = (Interruption, f64)> + '_ {
        let [shortcuts, bare_holds, repeats] = self.up_to;
        let mut before = 0.0;
        let chords = self.chords.iter().map(move |chord| {
            let share = chord.up_to - std::mem::replace(&mut before, chord.up_to);
            let Chord { holders, target, with, .. } = *chord;
            (Interruption::Shortcut { holders, target, with }, shortcuts * share)
        });
        let each = 1.0 / self.dual.len().max(1) as f64;
        let bare = self.dual.iter().map(move |code| (Interruption::BareHold(*code), (bare_holds - shortcuts) * each));
        let again = self.dual.iter().map(move |code| (Interruption::Repeat(*code), (repeats - bare_holds) * each));
        chords.chain(bare).chain(again).filter(|(_, rate)| *rate > 0.0)
    }

    /// Before a key of the text: the interruption that comes first, if one does.
    #[inline]
    pub fn draw(&self, rng: &mut Stream) -> Option<Interruption> {
        if self.up_to[2] == 0.0 {
            return None;
        }
        let at: f64 = rng.random();
        if at >= self.up_to[2] {
            return None;
        }
        let which: f64 = rng.random();
        if at < self.up_to[0] {
            let Chord { holders, target, with, .. } =
                self.chords.iter().find(|entry| which < entry.up_to).or(self.chords.last())?;
            return Some(Interruption::Shortcut { holders: *holders, target: *target, with: *with });
        }
        let code = self.dual[((which * self.dual.len() as f64) as usize).min(self.dual.len() - 1)];
        Some(if at < self.up_to[1] { Interruption::BareHold(code) } else { Interruption::Repeat(code) })
    }
}

/// The keys that hold a shortcut's modifiers, and the modifiers as a set.
fn holders(
    board: &Board,
    assignment: &Assignment,
    shortcut: &Shortcut,
) -> Result<([Option<Code>; 2], ModifierSet), WorkloadError> {
    let Shortcut { modifier, also, target, .. } = *shortcut;
    let find =
        |modifier| assignment.holder(board, target, modifier).ok_or(WorkloadError::NoHolder { modifier, target });
    let first = find(modifier)?;
    let mut with = ModifierSet::NONE.with(modifier);
    let second = match also {
        None => None,
        Some(also) if also == modifier => return Err(WorkloadError::Twice(also)),
        Some(also) => {
            with = with.with(also);
            Some(find(also)?)
        }
    };
    Ok(([Some(first), second], with))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Purpose, stream};

    fn setting() -> (Board, Assignment) {
        let board = Board::row_staggered();
        let assignment =
            Assignment::resting(&board, [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift]);
        (board, assignment)
    }

    fn shortcuts(rate: f64) -> Rates {
        Rates { shortcuts: rate, ..Rates::default() }
    }

    #[test]
    fn both_lists_can_be_made_on_every_board() {
        for name in Board::NAMES {
            let board = Board::by_name(name).unwrap();
            for list in [Workload::example_shortcuts(), Workload::other_shortcuts()] {
                let found = Workload::new(&board, &Assignment::none(), shortcuts(8.0), &list);
                assert!(found.is_ok(), "{name}");
            }
        }
    }

    #[test]
    fn the_rates_are_kept() {
        let (board, assignment) = setting();
        let rates = Rates { shortcuts: 20.0, bare_holds: 10.0, repeats: 5.0 };
        let workload = Workload::new(&board, &assignment, rates, &Workload::example_shortcuts()).unwrap();
        let mut rng = stream(1, Purpose::Workload, 0, 0);
        let n = 200_000;
        let mut seen = [0.0; 3];
        for _ in 0..n {
            match workload.draw(&mut rng) {
                Some(Interruption::Shortcut { .. }) => seen[0] += 1.0,
                Some(Interruption::BareHold(_)) => seen[1] += 1.0,
                Some(Interruption::Repeat(_)) => seen[2] += 1.0,
                None => {}
            }
        }
        for (seen, rate) in seen.into_iter().zip([0.020, 0.010, 0.005]) {
            // Binomial; 5.2 standard deviations is alpha = 2e-7.
            let sd = (f64::from(n) * rate * (1.0_f64 - rate)).sqrt();
            assert!((seen - f64::from(n) * rate).abs() < 5.2 * sd, "{seen} at {rate}");
        }
        assert_eq!(Workload::none().draw(&mut rng), None);
        assert_eq!(Workload::none().expected().count(), 0);
        let expected: f64 = workload.expected().map(|(_, rate)| rate).sum();
        assert!((expected - 0.035).abs() < 1e-12, "{expected}");
    }

    #[test]
    fn the_lists_have_no_shortcut_in_common() {
        let example = Workload::example_shortcuts();
        let same = |other: &Shortcut| example.iter().any(|s| (s.modifier, s.target) == (other.modifier, other.target));
        assert!(!Workload::other_shortcuts().iter().any(same));
    }

    #[test]
    fn two_modifiers_take_two_keys() {
        let (board, assignment) = setting();
        let both = Shortcut {
            modifier: Modifier::Control,
            also: Some(Modifier::Shift),
            target: "KeyT".parse().unwrap(),
            weight: 1.0,
        };
        let (holders, with) = holders(&board, &assignment, &both).unwrap();
        assert_eq!(holders.map(|code| code.unwrap().name()), ["KeyK", "KeyJ"]);
        assert_eq!(with.to_string(), "Shift+Control");
        let twice = Shortcut { also: Some(Modifier::Control), ..both };
        assert_eq!(super::holders(&board, &assignment, &twice), Err(WorkloadError::Twice(Modifier::Control)));
    }

    #[test]
    fn wrong_rates_and_weights_are_refused() {
        let (board, assignment) = setting();
        let example = Workload::example_shortcuts();
        for rate in [-1.0, f64::NAN, 301.0] {
            let refused = Workload::new(&board, &assignment, shortcuts(rate), &example);
            assert!(matches!(refused, Err(WorkloadError::Rate { what: "shortcuts", .. })));
        }
        assert_eq!(Workload::new(&board, &assignment, shortcuts(1.0), &[]).unwrap_err(), WorkloadError::Empty);
        let bad = [Shortcut { weight: 0.0, ..example[0] }];
        let refused = Workload::new(&board, &assignment, shortcuts(1.0), &bad);
        assert!(matches!(refused, Err(WorkloadError::Weight(_))));
        let rates = Rates { bare_holds: 1.0, ..Rates::default() };
        let refused = Workload::new(&board, &Assignment::none(), rates, &example);
        assert_eq!(refused.unwrap_err(), WorkloadError::NoDualRole("bare holds"));
    }
}

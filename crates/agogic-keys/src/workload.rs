//! Shortcuts that interrupt the prose: how often, and which.

use rand::RngExt;

use crate::{Assignment, Board, Code, Modifier, Stream};

/// One shortcut with its weight in the workload.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shortcut {
    /// The modifier to hold.
    pub modifier: Modifier,
    /// The key to press under it.
    pub target: Code,
    /// Relative frequency, above zero.
    pub weight: f64,
}

/// Why a workload was refused.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WorkloadError {
    /// The rate is no rate.
    #[error("shortcuts per 1000 keys must lie between 0 and 500, not {0}")]
    Rate(f64),
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
    /// Shortcuts are wanted but none is named.
    #[error("shortcuts are wanted but the list of shortcuts is empty")]
    Empty,
}

/// A stream of shortcuts at a stated rate, resolved to the keys that make them.
#[derive(Clone, Debug)]
pub struct Workload {
    per_key: f64,
    /// (holder, target, cumulative weight in 0..=1)
    made: Vec<(Code, Code, Modifier, f64)>,
}

impl Workload {
    /// A workload without shortcuts.
    pub fn none() -> Self {
        Self { per_key: 0.0, made: Vec::new() }
    }

    /// Our own example workload: editing, saving, searching and moving between windows.
    ///
    /// # Source
    /// Assumed. We found no open count of shortcuts per key; studies vary the rate.
    pub fn example_shortcuts() -> Vec<Shortcut> {
        let rows: [(Modifier, &str, f64); 12] = [
            (Modifier::Control, "KeyC", 20.0),
            (Modifier::Control, "KeyV", 25.0),
            (Modifier::Control, "KeyZ", 12.0),
            (Modifier::Control, "KeyS", 15.0),
            (Modifier::Control, "KeyX", 6.0),
            (Modifier::Control, "KeyF", 6.0),
            (Modifier::Control, "KeyA", 3.0),
            (Modifier::Alt, "Tab", 6.0),
            (Modifier::Alt, "KeyD", 1.0),
            (Modifier::Meta, "KeyE", 2.0),
            (Modifier::Meta, "KeyL", 1.0),
            (Modifier::Control, "KeyW", 3.0),
        ];
        rows.into_iter()
            .map(|(modifier, target, weight)| Shortcut {
                modifier,
                target: target.parse().expect("the example names table codes"),
                weight,
            })
            .collect()
    }

    /// Resolves `shortcuts` on a board at `per_1000_keys`.
    ///
    /// # Errors
    /// A rate outside 0–500, a weight that is not above zero, a shortcut that no key can make.
    pub fn new(
        board: &Board,
        assignment: &Assignment,
        per_1000_keys: f64,
        shortcuts: &[Shortcut],
    ) -> Result<Self, WorkloadError> {
        if !(0.0..=500.0).contains(&per_1000_keys) {
            return Err(WorkloadError::Rate(per_1000_keys));
        }
        if per_1000_keys > 0.0 && shortcuts.is_empty() {
            return Err(WorkloadError::Empty);
        }
        let mut made = Vec::with_capacity(shortcuts.len());
        let mut total = 0.0;
        for shortcut in shortcuts {
            if !(shortcut.weight > 0.0 && shortcut.weight.is_finite()) {
                return Err(WorkloadError::Weight(*shortcut));
            }
            let Shortcut { modifier, target, .. } = *shortcut;
            let holder =
                assignment.holder(board, target, modifier).ok_or(WorkloadError::NoHolder { modifier, target })?;
            total += shortcut.weight;
            made.push((holder, target, modifier, total));
        }
        for entry in &mut made {
            entry.3 /= total;
        }
        Ok(Self { per_key: per_1000_keys / 1000.0, made })
    }

    /// Before a key of the text: the shortcut that comes first, if one does, as holder, target, modifier.
    #[inline]
    pub fn draw(&self, rng: &mut Stream) -> Option<(Code, Code, Modifier)> {
        if self.per_key == 0.0 || rng.random::<f64>() >= self.per_key {
            return None;
        }
        let at: f64 = rng.random();
        let (holder, target, modifier, _) = *self.made.iter().find(|entry| at < entry.3).or(self.made.last())?;
        Some((holder, target, modifier))
    }
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

    #[test]
    fn the_example_can_be_made_on_every_board() {
        for name in Board::NAMES {
            let board = Board::by_name(name).unwrap();
            let made = Workload::new(&board, &Assignment::none(), 8.0, &Workload::example_shortcuts());
            assert!(made.is_ok(), "{name}");
        }
    }

    #[test]
    fn the_rate_is_kept() {
        let (board, assignment) = setting();
        let workload = Workload::new(&board, &assignment, 20.0, &Workload::example_shortcuts()).unwrap();
        let mut rng = stream(1, Purpose::Workload, 0, 0);
        let n = 200_000;
        let seen = (0..n).filter(|_| workload.draw(&mut rng).is_some()).count() as f64;
        // Binomial(200 000, 0.02): sd 62.6; 5.2 sd is about alpha = 2e-7.
        assert!((seen - 4000.0).abs() < 5.2 * 62.6, "{seen}");
        assert_eq!(Workload::none().draw(&mut rng), None);
    }

    #[test]
    fn wrong_rates_and_weights_are_refused() {
        let (board, assignment) = setting();
        let shortcuts = Workload::example_shortcuts();
        for rate in [-1.0, f64::NAN, 501.0] {
            assert!(matches!(Workload::new(&board, &assignment, rate, &shortcuts), Err(WorkloadError::Rate(_))));
        }
        assert_eq!(Workload::new(&board, &assignment, 1.0, &[]).unwrap_err(), WorkloadError::Empty);
        let bad = [Shortcut { weight: 0.0, ..shortcuts[0] }];
        assert!(matches!(Workload::new(&board, &assignment, 1.0, &bad), Err(WorkloadError::Weight(_))));
    }
}

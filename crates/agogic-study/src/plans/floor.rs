//! The table `floor` without mistakes.

use agogic_policy::{ErrorCosts, Sight};
use serde::{Deserialize, Serialize};

/// How the floor is taken.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FloorPlan {
    /// Typists, the first of each arm, on whose presses policies and observer are compared, at most those of the study; 0
    /// for no floor.
    pub typists: u64,
    /// Presses from which an observer learns how often its typist comes into each situation.
    pub rehearsal: usize,
    /// What the observer sees: as much as the rule of the study that sees most, if the spec is silent. Only rules that
    /// see no more stand above this floor.
    pub sight: Sight,
    /// What a false and a missed hold cost where a rule is held against the observer.
    pub costs: ErrorCosts,
}

impl Default for FloorPlan {
    /// 100 typists, rehearsals of 20 000 presses, the narrowest sight, errors that cost one each.
    ///
    /// Equal costs are our choice, for two reasons. Either error wrongs the outcome of its own key and of the keys pressed
    /// meanwhile, so about as many wrong keys, which studies are judged by. And the loss is then a number of errors,
    /// which holds nothing that is assumed.
    fn default() -> Self {
        let costs = ErrorCosts { false_hold: 1.0, missed_hold: 1.0 };
        Self { typists: 100, rehearsal: Self::rehearsal_for(Sight::Timing), sight: Sight::Timing, costs }
    }
}

impl FloorPlan {
    /// Presses of a rehearsal if the spec is silent.
    ///
    /// An observer that sees its key has a model of each, and a rehearsal of 20 000 presses holds too few of the rare
    /// ones: trees that learn from ten times as many lose a little less where a false hold is cheap. With 100 000 they do
    /// not; see the figures in `crates/agogic-floor/adversary/README.md`.
    pub fn rehearsal_for(sight: Sight) -> usize {
        match sight {
            Sight::Timing => 20_000,
            Sight::OwnKey | Sight::Keys => 100_000,
        }
    }

    /// The observer, in words.
    pub fn observer(&self) -> String {
        format!("an ideal observer who knows the model and the typist and sees only {}", self.sight.words())
    }

    /// What to mind of the floor of a sight; `None` where nothing is known against it.
    ///
    /// # Source
    /// `tests/reliability.rs` of `agogic-floor`: of whole encounters the odds of the observer of keys mean what they say, at
    /// 90 ms they are off by more than chance.
    pub fn caution(&self) -> Option<&'static str> {
        (self.sight == Sight::Keys).then_some(
            "The observer of keys is calibrated for whole encounters alone: what it makes of an encounter that goes on is off by \
             more than chance, so its curves at early deadlines lie above the floor of that sight by an unknown amount, and a \
             rule that decides early may come below them.",
        )
    }

    /// What the loss above the floor is, for under a table that stands on so many `typists`.
    pub fn note(&self, typists: u64) -> String {
        let ErrorCosts { false_hold, missed_hold } = self.costs;
        let caution = self.caution().map_or(String::new(), |caution| format!(" {caution}"));
        format!(
            "Loss above floor: what the errors of a rule cost more than those of {}, on the same presses of the first \
             {typists} typists, where a false hold costs {false_hold} and a missed hold {missed_hold}. No rule that sees \
             no more is below zero but by chance; one that sees more, such as the letters around, can be.{caution}",
            self.observer()
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_floor_of_keys_says_what_to_mind() {
        let plan = |sight| FloorPlan { sight, ..FloorPlan::default() };
        assert!(plan(Sight::Keys).note(9).contains("calibrated for whole encounters alone"));
        for sight in [Sight::Timing, Sight::OwnKey] {
            assert!(plan(sight).caution().is_none() && !plan(sight).note(9).contains("calibrated"));
        }
    }
}

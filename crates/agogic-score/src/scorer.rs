//! Scoring of stored decisions, with buffers that are used again.

use agogic_keys::{Press, Truth};

use crate::counts::Counts;
use crate::emulator::{Decided, Emulator};
use crate::kinds::Kinds;
use crate::stream::ScorerStream;
use crate::transcript::Transcript;

/// Scores sessions one after the other from stored decisions.
///
/// A [`ScorerStream`] does the work; whoever judges several policies feeds one each and works out the
/// [`Transcript`] once.
#[derive(Clone, Debug, Default)]
pub struct Scorer {
    stream: ScorerStream,
}

impl Scorer {
    /// A scorer with empty buffers.
    pub fn new() -> Self {
        Self::default()
    }

    /// Scores one policy's decisions on one session.
    ///
    /// # Shape
    /// `presses` and `truths` have the same length; `decided` has one entry per dual-role press, in order.
    ///
    /// # Panics
    /// If the shapes differ: the caller mixed up sessions.
    pub fn score(
        &mut self,
        emulator: &Emulator,
        presses: &[Press],
        truths: &[Truth],
        decided: &[Decided],
        words: u64,
    ) -> Counts {
        let transcript = Transcript::new(emulator, presses, truths, words);
        self.stream.begin(&transcript);
        for Decided { press, decision } in decided {
            self.stream.decide(&transcript, *press, *decision);
        }
        self.stream.finish_counts(&transcript)
    }

    /// The wrong outcomes of the latest session by modifier and key.
    pub fn kinds(&self) -> &Kinds {
        self.stream.kinds()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_keys::{Assignment, Board, Instant, Modifier, Span};
    use agogic_policy::Decision;

    #[test]
    fn nothing_is_left_over_from_the_session_before() {
        let mut assignment = Assignment::none();
        let f = "KeyF".parse().unwrap();
        assignment.assign(&Board::row_staggered(), f, Modifier::Shift).unwrap();
        let emulator = Emulator::new(&assignment);
        let mut scorer = Scorer::new();
        let press = Press { code: f, down: Instant(0), up: Instant(300) };
        let wrong = [Decided { press: 0, decision: Decision::hold(Span(200)) }];
        let first = scorer.score(&emulator, &[press], &[Truth::default()], &wrong, 1);
        assert_eq!((first.false_holds, scorer.kinds().rows().count()), (1, 1));
        assert_eq!(scorer.score(&emulator, &[], &[], &[], 0), Counts::default());
        assert_eq!(scorer.kinds(), &Kinds::new());
    }

    #[test]
    #[should_panic(expected = "one truth per press")]
    fn sessions_are_not_mixed_up() {
        let emulator = Emulator::new(&Assignment::none());
        Scorer::new().score(&emulator, &[], &[Truth::default()], &[], 0);
    }
}

//! Who types what, for everything that measures speed on sessions of the model: one board, one text, one seed.
#![allow(dead_code, reason = "each of those that include this file needs a part of it")]

use agogic_keys::{Assignment, Board, Code, Hand, Modifier, Rates, TextPlan, Unsupported, Workload};
use agogic_typist::{Clock, Performer, Population, Session, SessionAddress, Typist};

const TEXT: &str = include_str!("../../data-synthetic/texts/tide-station.txt");

/// The seed of every stream.
pub const SEED: u64 = 1;

/// Dual-role keys under the resting fingers, a text, and eight shortcuts among a hundred words.
pub struct TypingTask {
    pub performer: Performer,
    pub plan: TextPlan,
    pub workload: Workload,
}

impl TypingTask {
    pub fn new() -> Self {
        let board = Board::row_staggered();
        let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
        let assignment = Assignment::resting(&board, order);
        let plan = TextPlan::new(TEXT, &board, &assignment, Unsupported::Refuse).expect("our own text can be typed");
        let rates = Rates { shortcuts: 8.0, bare_holds: 0.0, repeats: 0.0 };
        let shortcuts = Workload::example_shortcuts();
        let workload = Workload::new(&board, &assignment, rates, &shortcuts).expect("our own rates");
        Self { performer: Performer::new(&board, &assignment), plan, workload }
    }

    /// A typist of a population draws habits and types about `keys` keys, as the fingers made them.
    pub fn perform(&self, population: &Population, number: u64, keys: usize) -> Session {
        self.typed_by(&Typist::draw(population, SEED, number), keys)
    }

    /// A typist types about `keys` keys, as the fingers made them.
    pub fn typed_by(&self, typist: &Typist, keys: usize) -> Session {
        self.performer.perform(typist, &self.plan, &self.workload, SessionAddress { seed: SEED, replicate: 0 }, keys)
    }

    /// Sessions of the first volunteers, as the keyboard's clock shows them.
    pub fn sessions(&self, typists: u64, keys: usize) -> Vec<Session> {
        let population = Population::volunteers();
        let session = |number| {
            let mut session = self.perform(&population, number, keys);
            Clock::default().show(&mut session, number, SessionAddress { seed: SEED, replicate: 0 });
            session
        };
        (0..typists).map(session).collect()
    }

    /// Whether a key has two roles.
    pub fn is_dual(&self, code: Code) -> bool {
        self.performer.assignment().modifier(code).is_some()
    }

    /// The hand of a key.
    pub fn hand(&self, code: Code) -> Hand {
        self.performer.movement().hand(code)
    }
}

/// Presses of all sessions together.
pub fn presses(sessions: &[Session]) -> u64 {
    sessions.iter().map(|session| session.presses.len() as u64).sum()
}
